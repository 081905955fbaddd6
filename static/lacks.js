// What this browser cannot do, said once in plain words; everything else works without it.
import { canBuzz } from "./buzz.js";
import { ownVoice } from "./aloud.js";

/** @returns {[string, string][]} ability and what its lack means here */
export function lacks() {
  /** @type {[string, boolean, string][]} */
  const asked = [
    ["vibration", canBuzz(), "This browser has no vibration: cues come by sight and sound."],
    ["wake lock", "wakeLock" in navigator, "This browser cannot keep the screen on: set a longer screen time in the device's own settings."],
    ["background sync", "SyncManager" in window, "This browser sends nothing while the page is closed: counts go to the server when the page is open."],
    ["voice", Boolean(ownVoice()), "No voice is kept on this device: the count cannot be spoken aloud offline."],
    ["sound", "AudioContext" in window, "This browser makes no sounds here: cues come by sight."],
  ];
  return asked.filter(([, has]) => !has).map(([name, , text]) => [name, text]);
}

// What a browser has or lacks for hand and voice.

/** @type {Record<string, number[]>} ms on, off, on */
const PATTERNS = { tap: [12], full: [70, 60, 140], perhaps: [25, 40, 25], back: [40] };

/** Never the only sign: some browsers lack vibration, some only say they have it. */
export const canBuzz = () => typeof navigator.vibrate === "function";

/** @param {string} name */
export function buzz(name) {
  if (canBuzz()) navigator.vibrate(PATTERNS[name] ?? [12]);
}

/** A voice that is on this device: nothing spoken leaves it. @returns {SpeechSynthesisVoice | undefined} */
export function ownVoice() {
  if (!("speechSynthesis" in window)) return undefined;
  const here = speechSynthesis.getVoices().filter((v) => v.localService);
  return here.find((v) => v.lang.startsWith("en")) ?? here[0];
}

/** The newest words stand; older ones still waiting are dropped. @param {string} text */
export function aloud(text) {
  const voice = ownVoice();
  if (!voice) return false;
  const words = new SpeechSynthesisUtterance(text);
  words.voice = voice;
  words.lang = voice.lang;
  speechSynthesis.cancel();
  speechSynthesis.speak(words);
  return true;
}

/**
 * What this browser cannot do, said once in plain words; everything else works without it.
 * @returns {[string, string][]} ability and what its lack means here
 */
export function lacks() {
  /** @type {[string, boolean, string][]} */
  const asked = [
    ["vibration", canBuzz(), "This browser has no vibration: cues come by sight and sound."],
    [
      "wake lock",
      "wakeLock" in navigator,
      "This browser cannot keep the screen on: set a longer screen time in the device's own settings.",
    ],
    [
      "background sync",
      "SyncManager" in window,
      "This browser sends nothing while the page is closed: counts go to the server when the page is open.",
    ],
    [
      "voice",
      Boolean(ownVoice()),
      "No voice is kept on this device: the count cannot be spoken aloud offline.",
    ],
    ["sound", "AudioContext" in window, "This browser makes no sounds here: cues come by sight."],
  ];
  return asked.filter(([, has]) => !has).map(([name, , text]) => [name, text]);
}

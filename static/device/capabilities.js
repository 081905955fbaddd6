// What a browser has or lacks for hand and voice.
import { device as text, format } from "../texts/texts.js";

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
  const language = format.locale.split("-")[0];
  const here = speechSynthesis.getVoices().filter((v) => v.localService);
  return here.find((v) => v.lang.startsWith(language)) ?? here[0];
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
 * What this browser cannot do, named once in plain words; everything else works without it.
 * @returns {[string, string][]} ability and what its lack means here
 */
export function lacks() {
  /** @type {Record<keyof typeof text.lacks, boolean>} */
  const has = {
    vibration: canBuzz(),
    "wake lock": "wakeLock" in navigator,
    "background sync": "SyncManager" in window,
    voice: Boolean(ownVoice()),
    sound: "AudioContext" in window,
  };
  const names = /** @type {(keyof typeof text.lacks)[]} */ (Object.keys(has));
  return names.filter((name) => !has[name]).map((name) => [name, text.lacks[name]]);
}

// The count spoken by the browser, with a voice that is on this device: nothing spoken leaves it.

/** @returns {SpeechSynthesisVoice | undefined} */
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

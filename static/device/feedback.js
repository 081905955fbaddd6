// What the maker hears and feels, as switched in Setup. The sounds are made here, not played from files;
// their context is warmed at the first touch and asks not to stop the maker's own music.
import { store } from "../store/store.js";
import { aloud, buzz } from "./capabilities.js";

const RATE = 44100;
/** @type {AudioContext | null} */
let context = null;
/** @type {Map<string, AudioBuffer>} */
const made = new Map();

/** [from Hz, to Hz, ms, loudness] one after the other @type {Record<string, [number, number, number, number][]>} */
const SOUNDS = {
  tap: [[2100, 900, 16, 0.5]],
  full: [
    [520, 520, 110, 0.6],
    [780, 780, 200, 0.6],
  ],
  perhaps: [[190, 150, 110, 0.7]],
  back: [[600, 260, 120, 0.5]],
};

/** @param {AudioContext} audio @param {[number, number, number, number][]} tones */
function make(audio, tones) {
  const length = tones.reduce((sum, [, , ms]) => sum + Math.round((ms * RATE) / 1000), 0);
  const buffer = audio.createBuffer(1, length, RATE);
  const out = buffer.getChannelData(0);
  let at = 0;
  for (const [from, to, ms, loud] of tones) {
    const size = Math.round((ms * RATE) / 1000);
    let phase = 0;
    for (let k = 0; k < size; k++) {
      const part = k / size;
      phase += (2 * Math.PI * (from + (to - from) * part)) / RATE;
      out[at++] = loud * Math.sin(phase) * Math.min(1, k / 40) * (1 - part);
    }
  }
  return buffer;
}

/** Call from a touch or a key: browsers start no sound before one. */
function warm() {
  if (!("AudioContext" in window)) return;
  if (!context) {
    const session = /** @type {{audioSession?: {type: string}}} */ (navigator).audioSession;
    if (session) session.type = "ambient";
    context = new AudioContext({ latencyHint: "interactive" });
    for (const [name, tones] of Object.entries(SOUNDS)) made.set(name, make(context, tones));
  }
  if (context.state === "suspended") context.resume().catch(() => {});
}

/** @param {string} name */
function play(name) {
  const buffer = made.get(name);
  if (!context || !buffer || context.state !== "running") return;
  const source = context.createBufferSource();
  source.buffer = buffer;
  source.connect(context.destination);
  source.start();
}

class Senses {
  constructor() {
    this.click = true;
    this.buzz = true;
    this.every = 0;
    store.addEventListener("things", () => this.read());
    for (const name of ["pointerdown", "keydown"]) addEventListener(name, warm, { passive: true });
    this.read();
  }

  read() {
    this.click = store.own("click", true);
    this.buzz = store.own("buzz", true);
    this.every = store.own("speak_every", 0);
  }

  /** @param {"tap" | "full" | "perhaps" | "back"} what */
  give(what) {
    if (this.click) play(what);
    if (this.buzz) buzz(what);
  }

  /** Aloud at every so many. @param {number} before @param {number} after */
  speak(before, after) {
    if (this.every > 0 && Math.floor(after / this.every) > Math.floor(before / this.every))
      aloud(String(after));
  }
}

export const senses = new Senses();

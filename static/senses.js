// What the maker hears and feels, as switched in Setup. One reading of the switches, at each change of them.
import { store } from "./store.js";
import { aloud } from "./aloud.js";
import { buzz } from "./buzz.js";
import { play, warm } from "./sound.js";

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
    if (this.every > 0 && Math.floor(after / this.every) > Math.floor(before / this.every)) aloud(String(after));
  }
}

export const senses = new Senses();

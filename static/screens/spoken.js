// What a screen reader hears of counts: the newest, at most once a second, without moving the focus.

const EVERY_MS = 1000;

export class Spoken {
  constructor() {
    this.root = document.createElement("p");
    this.root.className = "quiet";
    this.root.setAttribute("role", "status");
    this.root.setAttribute("aria-live", "polite");
    this.newest = "";
    this.last_ms = 0;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
  }

  /** @param {string} text */
  say(text) {
    this.newest = text;
    if (this.timer) return;
    const wait = Math.max(0, this.last_ms + EVERY_MS - performance.now());
    this.timer = setTimeout(() => {
      this.timer = undefined;
      this.last_ms = performance.now();
      this.root.textContent = this.newest;
    }, wait);
  }
}

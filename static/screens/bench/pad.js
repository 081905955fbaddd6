// The pad of one lane: a button with the running count on it. Built once; a tap changes text only.
import { bench as text } from "../../texts/texts.js";
import { figure, percent } from "../../format/numbers.js";
import { Press } from "../../device/tap-gesture.js";

const PARTS = ["item", "count", "of", "place", "brief", "finish", "loose"];

export class Pad {
  /** @param {{tap: () => void, perhaps: (why: string) => void}} does */
  constructor(does) {
    this.root = document.createElement("button");
    this.root.className = "pad";
    this.root.type = "button";
    const first = document.createElement("span");
    first.className = "quiet";
    first.textContent = text.countOne;
    /** @type {Record<string, HTMLElement>} */
    this.at = {};
    for (const name of PARTS) {
      this.at[name] = document.createElement("span");
      this.at[name].className = `pad-${name}`;
    }
    this.bar = document.createElement("span");
    this.bar.className = "pad-bar";
    this.at.brief.setAttribute("aria-hidden", "true");
    const face = document.createElement("span");
    face.className = "pad-face";
    face.append(first, ...PARTS.map((name) => this.at[name]), this.bar);
    this.root.append(face);
    this.press = new Press(this.root, {
      ...does,
      press: (down) => this.root.classList.toggle("pressed", down),
    });
    this.unsaved = 0;
    this.showSaved("saved");
  }

  /** Writes only what differs, to spare the layout. @param {string} name @param {string} words */
  put(name, words) {
    if (this.at[name].textContent !== words) this.at[name].textContent = words;
  }

  /** @param {number} n */
  count(n) {
    const digits = figure(n);
    this.put("count", digits);
    const long = String(Math.max(2, digits.length));
    if (this.root.dataset.long !== long) {
      this.root.dataset.long = long;
      this.root.style.setProperty("--long", long);
    }
  }

  /** @param {number} share 0 to 1 @param {number} need */
  share(share, need) {
    this.put("of", need ? text.ofNeed(figure(need), percent(share)) : "");
    this.bar.style.setProperty("--share", String(Math.min(1, share)));
  }

  /** A press is being saved; the number turns solid once it is. @param {Promise<unknown>} saved */
  awaits(saved) {
    this.unsaved++;
    this.showSaved("pressed");
    saved.then(
      () => {
        if (!--this.unsaved) this.showSaved("saved");
      },
      () => {
        this.unsaved--;
        this.showSaved("lost");
      },
    );
  }

  /** pressed, saved here, sent to the server, or not saved. @param {"pressed" | "saved" | "sent" | "lost"} state */
  showSaved(state) {
    const { saved } = this.root.dataset;
    if (state === "sent" && this.unsaved) return;
    if (saved === "lost" && state !== "pressed") return; // stays until the next press
    this.root.dataset.saved = state;
  }

  /** Something on this lane is full: shown on the pad until the next tap. @param {string} words */
  full(words) {
    this.root.classList.toggle("full", words !== "");
    if (!words) return;
    this.put("place", words);
    this.put("brief", words);
  }
}

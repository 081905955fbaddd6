// The pad of one lane: a button with the running count on it. Built once; a tap changes text only.
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
    first.textContent = "Count one: ";
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
      look: (down) => this.root.classList.toggle("pressed", down),
    });
    this.unsaved = 0;
    this.say("saved");
  }

  /** Only what differs is written. @param {string} name @param {string} text */
  put(name, text) {
    if (this.at[name].textContent !== text) this.at[name].textContent = text;
  }

  /** @param {number} n */
  count(n) {
    const text = figure(n);
    this.put("count", text);
    const long = String(Math.max(2, text.length));
    if (this.root.dataset.long !== long) {
      this.root.dataset.long = long;
      this.root.style.setProperty("--long", long);
    }
  }

  /** @param {number} share 0 to 1 @param {number} need */
  share(share, need) {
    this.put("of", need ? `of ${figure(need)} · ${percent(share)}` : "");
    this.bar.style.setProperty("--share", String(Math.min(1, share)));
  }

  /** A press is on its way to the disk; the number is solid when it is there. @param {Promise<unknown>} saved */
  awaits(saved) {
    this.unsaved++;
    this.say("pressed");
    saved.then(
      () => {
        if (!--this.unsaved) this.say("saved");
      },
      () => {
        this.unsaved--;
        this.say("lost");
      },
    );
  }

  /** pressed, saved here, sent to the server, or not saved. @param {"pressed" | "saved" | "sent" | "lost"} state */
  say(state) {
    if (state === "sent" && this.unsaved) return;
    this.root.dataset.saved = state;
  }

  /** Something on this lane is full: told in words on the pad until the next tap. @param {string} text */
  full(text) {
    this.root.classList.toggle("full", text !== "");
    if (!text) return;
    this.put("place", text);
    this.put("brief", text);
  }
}

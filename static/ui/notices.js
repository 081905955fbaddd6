// What the whole page has to say, each once, until it is put away. Never in the way of a pad.

import { workshopMark } from "../format/words.js";

export class Notices {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    this.served = ""; // the other workshop whose server answers here
  }

  /** @param {string} key @param {string} text */
  say(key, text) {
    return this.#put(key, text);
  }

  /** @param {{why: string, way?: {href: string, words: string}}} what `way`: where something can be done about it */
  trouble({ why, way }) {
    if (!way) return this.#put("trouble", why);
    const link = document.createElement("a");
    link.href = way.href;
    link.textContent = way.words;
    return this.#put("trouble", why, link);
  }

  /** The server keeps another workshop; "": no more. @param {string} own @param {string} served */
  otherWorkshop(own, served) {
    this.served = served;
    this.#remove("workshop");
    if (!served) return;
    this.#remove("offer");
    const link = document.createElement("a");
    link.href = "#setup/workshop";
    link.textContent = "What to do";
    const whose = own ? ` to workshop ${workshopMark(own)}` : " to a workshop of their own";
    this.#put(
      "workshop",
      `The server at this address keeps another workshop, ${workshopMark(served)}. This device's counts belong${whose} and stay here. Nothing is mixed.`,
      link,
    );
  }

  /**
   * Not while another workshop's server answers: its page is no newer one of ours, and would lie over the pads.
   * @param {string} text @param {string} word @param {() => void} act
   */
  offer(text, word, act) {
    if (this.served) return;
    const button = document.createElement("button");
    button.textContent = word;
    button.addEventListener("click", act);
    this.#put("offer", text, button);
  }

  /** @param {string} key */
  #remove(key) {
    this.place.querySelector(`[data-key="${key}"]`)?.remove();
  }

  /** @param {string} key @param {string} text @param {HTMLElement} [more] */
  #put(key, text, more) {
    this.#remove(key);
    const box = document.createElement("div");
    box.className = "notice";
    box.dataset.key = key;
    box.setAttribute("role", key === "trouble" ? "alert" : "status");
    const words = document.createElement("p");
    words.textContent = text;
    const away = document.createElement("button");
    away.textContent = "Put away";
    away.addEventListener("click", () => box.remove());
    box.append(words, ...(more ? [more] : []), away);
    this.place.append(box);
  }
}

// Notices of the whole page, each once, until it is dismissed. Never over a pad.
import { ui as text } from "../texts/texts.js";
import { workshopMark } from "../format/words.js";

export class Notices {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    this.served = ""; // the other workshop whose server answers here
  }

  /** @param {string} key @param {string} words @param {{href: string, words: string}} [way] where to look */
  show(key, words, way) {
    return this.#put(key, words, way && this.#link(way));
  }

  /** @param {{href: string, words: string}} way */
  #link({ href, words }) {
    const link = document.createElement("a");
    return Object.assign(link, { href, textContent: words });
  }

  /** @param {{why: string, way?: {href: string, words: string}}} what `way`: where something can be done about it */
  trouble({ why, way }) {
    return this.#put("trouble", why, way && this.#link(way));
  }

  /** Another workshop's server answers here; "": no longer. @param {string} own @param {string} served */
  otherWorkshop(own, served) {
    this.served = served;
    this.#remove("workshop");
    if (!served) return;
    this.#remove("offer");
    const link = this.#link({ href: "#setup/workshop", words: text.whatToDo });
    const there = workshopMark(served);
    const words = own ? text.otherWorkshop(there, workshopMark(own)) : text.otherWorkshopNew(there);
    this.#put("workshop", words, link);
  }

  /**
   * Not while another workshop's server answers: its page is not a newer version of ours.
   * @param {string} words @param {string} action @param {() => void} act
   */
  offer(words, action, act) {
    if (this.served) return;
    const button = document.createElement("button");
    button.textContent = action;
    button.addEventListener("click", act);
    this.#put("offer", words, button);
  }

  /** @param {string} key */
  #remove(key) {
    this.place.querySelector(`[data-key="${key}"]`)?.remove();
  }

  /** @param {string} key @param {string} words @param {HTMLElement} [more] */
  #put(key, words, more) {
    this.#remove(key);
    const box = document.createElement("div");
    box.className = "notice";
    box.dataset.key = key;
    box.setAttribute("role", key === "trouble" ? "alert" : "status");
    const paragraph = document.createElement("p");
    paragraph.textContent = words;
    const dismiss = document.createElement("button");
    dismiss.textContent = text.dismiss;
    dismiss.addEventListener("click", () => box.remove());
    box.append(paragraph, ...(more ? [more] : []), dismiss);
    this.place.append(box);
  }
}

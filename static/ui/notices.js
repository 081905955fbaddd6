// Notices of the whole page, each once, until it is dismissed. One is shown at a time, trouble before all others;
// on the Bench it lies between the clock and what comes next, and never over a pad; where that is too little, it lies
// over the links to the other screens.
import { ui as text } from "../texts/texts.js";
import { workshopMark } from "../format/words.js";
import { store } from "../store/store.js";

/** What no notice on the Bench may lie over, below the clock: what comes next, what takes a tap back, lanes. */
const KEPT_FREE = "rw-bench :is(.sight-next, .tools, .lane)";
const CLOCK = "rw-bench .strip";
const LEAST = 54; // px of a notice: a button with its edges

export class Notices {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    this.served = ""; // the other workshop whose server answers here
    const later = () => requestAnimationFrame(() => this.#fit());
    store.addEventListener("standing", later); // what comes next may appear
    for (const name of ["resize", "hashchange"]) addEventListener(name, later);
  }

  /** @param {string} key @param {string} words @param {{href: string, words: string}} [way] where to look */
  show(key, words, way) {
    return this.#put(key, words, way && this.#link(way));
  }

  /** @param {{href: string, words: string}} way */
  #link({ href, words }) {
    const link = document.createElement("a");
    return Object.assign(link, { href, textContent: words, className: "button" });
  }

  /** @param {{why: string, way?: {href: string, words: string}}} what `way`: where something can be done about it */
  trouble({ why, way }) {
    return this.#put("trouble", why, way && this.#link(way));
  }

  /** Another workshop's server answers here; "": no longer. @param {string} own @param {string} served */
  otherWorkshop(own, served) {
    this.served = served;
    this.remove("workshop");
    if (!served) return;
    this.remove("offer");
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
  remove(key) {
    this.place.querySelector(`[data-key="${key}"]`)?.remove();
    this.#arrange();
  }

  /** The others wait until the first is dismissed. */
  #arrange() {
    const [first, ...others] = /** @type {HTMLElement[]} */ ([...this.place.children]);
    if (first) first.hidden = false;
    for (const box of others) box.hidden = true;
    this.#fit();
  }

  /** On the Bench it lies between what it must leave free; longer words are scrolled within. */
  #fit() {
    const [first] = /** @type {HTMLElement[]} */ ([...this.place.children]);
    if (!first) return;
    const { right } = first.getBoundingClientRect(),
      { top: start } = this.place.getBoundingClientRect(),
      clock = document.querySelector(CLOCK)?.getBoundingClientRect(),
      top = clock?.height ? clock.bottom : start;
    const tops = [...document.querySelectorAll(KEPT_FREE)]
      .map((element) => element.getBoundingClientRect())
      .filter((box) => box.width && box.left < right && box.bottom > top)
      .map((box) => box.top - top);
    const below = tops.length ? Math.floor(Math.min(...tops)) : Infinity,
      above = below < LEAST,
      room = above ? start : below;
    this.place.toggleAttribute("data-above", above);
    this.place.style.setProperty("--notice-top", `${above ? 0 : top - start}px`);
    this.place.style.setProperty("--notice-room", Number.isFinite(room) ? `${room}px` : "none");
  }

  /** @param {string} key @param {string} words @param {HTMLElement} [more] */
  #put(key, words, more) {
    this.remove(key);
    const box = document.createElement("div");
    box.className = "notice";
    box.dataset.key = key;
    box.setAttribute("role", key === "trouble" ? "alert" : "status");
    const paragraph = document.createElement("p");
    paragraph.textContent = words;
    const dismiss = document.createElement("button");
    dismiss.textContent = text.dismiss;
    dismiss.addEventListener("click", () => this.remove(key));
    box.append(paragraph, ...(more ? [more] : []), dismiss);
    if (key === "trouble") this.place.prepend(box);
    else this.place.append(box);
    this.#arrange();
  }
}

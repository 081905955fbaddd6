// What the desk's screens share: built once, drawn again when the store tells, not while hidden.
import { html, render } from "../vendor/lit-html.js";
import { store } from "../store/store.js";

export class Room extends HTMLElement {
  /** @param {string} title @param {string[]} events of the store that change what is shown */
  constructor(title, events) {
    super();
    this.heading = title;
    this.events = events;
    /** @type {string[]} */
    this.rest = [];
    this.waiting = 0;
    this.said = "";
  }

  connectedCallback() {
    this.classList.add("desk", "room");
    for (const name of this.events) store.addEventListener(name, () => this.soon());
    this.soon();
  }

  /** @param {string[]} rest of the way */
  show(rest) {
    this.rest = rest;
    this.soon();
  }

  soon() {
    if (this.waiting || this.hidden) return;
    this.waiting = requestAnimationFrame(() => {
      this.waiting = 0;
      this.draw();
    });
  }

  draw() {
    render(
      html`<h1>${this.heading}</h1>${this.view()}<p class="quiet" role="status">${this.said}</p>`,
      this,
    );
  }

  /** For those who hear the page: what a press has done. @param {string} words */
  say(words) {
    this.said = words;
    this.soon();
  }

  /** @returns {unknown} */
  view() {
    return null;
  }
}

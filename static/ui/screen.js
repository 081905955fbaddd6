// What every screen but the Bench shares: built once, redrawn when the store changes, not while hidden.
import { html, render } from "../vendor/lit-html.js";
import { store } from "../store/store.js";

export class Screen extends HTMLElement {
  /** @param {string} title @param {string[]} events of the store that change what is shown */
  constructor(title, events) {
    super();
    this.heading = title;
    this.events = events;
    /** @type {string[]} */
    this.rest = [];
    this.waiting = 0;
    this.message = "";
  }

  connectedCallback() {
    this.classList.add("desk", "room");
    for (const name of this.events) store.addEventListener(name, () => this.soon());
    this.soon();
  }

  /** @param {string[]} rest what follows the screen's name in the address */
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
      html`<h1>${this.heading}</h1>${this.view()}<p class="quiet" role="status">${this.message}</p>`,
      this,
    );
  }

  /** Tells those who hear the page what a press has done. @param {string} words */
  announce(words) {
    this.message = words;
    this.soon();
  }

  /** @returns {unknown} */
  view() {
    return null;
  }
}

// A piece's card.
import { html } from "../vendor/lit-html.js";

export class Cards {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
  }

  async load() {}

  view() { return html`<p></p>`; }
}

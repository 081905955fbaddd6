// How good past forecasts were.
import { html } from "../vendor/lit-html.js";

export class PastForecasts {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
  }

  async load() {}

  view() { return html`<p></p>`; }
}

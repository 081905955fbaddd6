// What to ask for a piece: the maker's rate and costs in, the engine's lines and totals out.
import { html } from "../vendor/lit-html.js";
import { store } from "../store.js";

export class Prices {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {Map<string, {asked: string, answer: any, refused: any}>} */
    this.kept = new Map();
  }

  /** @param {any} piece @param {any} said */
  view(piece, said) {
    return html`<details><summary>What to ask for it</summary><p class="soft">${store.plan(piece.id) && said ? "Rates and costs come here." : ""}</p></details>`;
  }
}

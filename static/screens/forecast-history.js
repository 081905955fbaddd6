// The sittings behind a step's pace, drawn when asked for.
import { html } from "../vendor/lit-html.js";
import { store } from "../store.js";
import { today } from "../answers.js";
import { paceOverTime } from "../pictures/pace.js";

const MOST = 200;

export class History {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {Map<string, import("../pictures/pace.js").Rivet[]>} */
    this.open = new Map();
  }

  /** @param {string} step */
  async load(step) {
    const rows = (await store.sittings({ step, most: MOST })).filter((s) => s.items > 0 && s.minutes > 0).reverse();
    this.open.set(step, rows.map((s) => ({ date: s.date, each: s.minutes / s.items, items: s.items })));
    this.redraw();
  }

  /** @param {string} step @param {string} name @param {any} pace */
  view(step, name, pace) {
    const toggle = (/** @type {Event} */ e) => {
      if (!/** @type {HTMLDetailsElement} */ (e.target).open) this.open.delete(step);
      else this.load(step).catch(() => this.open.delete(step));
    };
    const rows = this.open.get(step);
    return html`<details @toggle=${toggle}><summary>Its sittings<span class="quiet">: ${name}</span></summary>
      ${rows?.length ? paceOverTime(rows, pace?.min_per_item, today(), name) : rows ? html`<p class="soft">None is counted and timed yet.</p>` : null}</details>`;
  }
}

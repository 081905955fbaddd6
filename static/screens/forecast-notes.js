// What the forecast doubts or put right in the record, and what else weighs on it: never silently dropped.
import { html } from "../vendor/lit-html.js";
import { day } from "../plainly.js";

const DOUBTED = new Set(["clock", "taps", "odd"]);

/** @typedef {{kind: string, why: string, date?: string, step?: string}} Note */

/** @param {Note[]} notes @param {string} shape */
const list = (notes, shape) => html`<ul class="plain notes">${notes.map((note) => html`<li><span aria-hidden="true">${shape}</span>
  <span>${note.date ? html`<strong>${day(note.date)}</strong>: ` : null}${note.why}</span></li>`)}</ul>`;

/** @param {any} forecast */
export function notesSheet(forecast) {
  /** @type {Note[]} */
  const notes = forecast.notes ?? [];
  const doubted = notes.filter((n) => DOUBTED.has(n.kind)), weighed = notes.filter((n) => !DOUBTED.has(n.kind));
  return html`
    ${doubted.length ? html`<section class="sheet" aria-labelledby="doubted"><h2 id="doubted">Doubted in your record</h2>${list(doubted, "◆")}
      <p><a class="button" href="#records/sittings">Look at the sittings</a></p></section>` : null}
    ${weighed.length ? html`<section class="sheet" aria-labelledby="weighed"><h2 id="weighed">What else weighs on the dates</h2>${list(weighed, "○")}</section>` : null}`;
}

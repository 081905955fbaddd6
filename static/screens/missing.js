// Counts that must have been made, since later steps used them up. Offered here, outside the clock.
import { store } from "../store.js";
import { html } from "../vendor/lit-html.js";
import { figure } from "../figures.js";
import { several } from "../plainly.js";

/** @param {string} piece @param {any} m what the standing misses */
const made = (piece, m) => store.press({ kind: "count", piece, step: m.step, n: m.n, how: "hand" }, "done", []).saved.catch(() => {});

/** @param {string} piece */
export function missing(piece) {
  const rows = store.standing(piece)?.missing ?? [];
  if (!rows.length) return null;
  return html`<section class="missing" aria-label="Missing counts"><h3>Missing counts</h3>
    <p>Later steps used up more than was counted at ${several(rows.length, "step")}.</p>
    ${rows.map((/** @type {any} */ m) => html`<p><button type="button" @click=${() => made(piece, m)}>Count ${figure(m.n)}</button> ${m.text ?? m.why}</p>`)}</section>`;
}

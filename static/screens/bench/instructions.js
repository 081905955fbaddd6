// What the sheet of a lane says of its step: how it is done on this piece (the step's notes and the lines
// of the piece's card), and counts that must have been made, since later steps used them up.
import { html } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { figure } from "../../format/numbers.js";
import { several } from "../../format/words.js";

const HEADS = ["pierce", "close", "unit", "unit_join", "chain_join", "left_over", "panel_join"];
/** @type {[string, string, string[]][]} field of the card, its word, the steps it matters to */
const LINES = [
  ["overlap", "Overlap", ["wind", "cut", "flatten"]],
  ["heads", "Heads", HEADS],
  ["note", "Note", []],
];

/** @param {string} piece @param {string} step @returns {[string, string][]} what the card says to this step */
export function cardLines(piece, step) {
  const rules = store.thing("piece", piece)?.rules ?? {};
  return LINES.filter(
    ([field, , steps]) => rules[field] && (!steps.length || steps.includes(step)),
  ).map(([field, word]) => [word, String(rules[field]).replaceAll("_", " ")]);
}

/** @param {string} piece @param {any} planned the plan's row of the step */
export function making(piece, planned) {
  const lines = planned ? cardLines(piece, planned.step) : [];
  const notes = planned?.notes ?? [];
  if (!lines.length && !notes.length) return null;
  return html`<section class="making" aria-label="How it is done"><h3>How it is done</h3>
    ${lines.map(([word, text]) => html`<p><strong>${word}:</strong> ${text}</p>`)}
    ${notes.map((/** @type {string} */ text) => html`<p>${text}</p>`)}
    ${lines.length ? null : html`<p><a href=${`#plan/${piece}`}>Overlap, heads and notes of your own stand on its card.</a></p>`}</section>`;
}

/** @param {string} piece @param {any} m what the standing misses */
const made = (piece, m) =>
  store
    .press({ kind: "count", piece, step: m.step, n: m.n, how: "hand" }, "done", [])
    .saved.catch(() => {});

/** Softened rings counted where the wire is zinc-coated or not known to be bare. @param {string} piece */
export function heated(piece) {
  const said = store.standing(piece)?.warnings ?? [];
  return said.length
    ? html`<div class="caution" data-part="heated">${said.map((/** @type {string} */ text) => html`<p>${text}</p>`)}</div>`
    : null;
}

/** Offered here, outside the clock. @param {string} piece */
export function missing(piece) {
  const rows = store.standing(piece)?.missing ?? [];
  if (!rows.length) return null;
  return html`<section class="missing" aria-label="Missing counts"><h3>Missing counts</h3>
    <p>Later steps used up more than was counted at ${several(rows.length, "step")}.</p>
    ${rows.map((/** @type {any} */ m) => html`<p><button type="button" @click=${() => made(piece, m)}>Count ${figure(m.n)}</button> ${m.text ?? m.why}</p>`)}</section>`;
}

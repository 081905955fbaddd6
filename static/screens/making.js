// How a step is done on this piece: the notes of its step, and the lines of the piece's card that matter to it.
import { html } from "../vendor/lit-html.js";
import { store } from "../store.js";

const HEADS = ["pierce", "close", "unit", "unit_join", "chain_join", "left_over", "panel_join"];
/** @type {[string, string, string[]][]} field of the card, its word, the steps it matters to */
const LINES = [["overlap", "Overlap", ["wind", "cut", "flatten"]], ["heads", "Heads", HEADS], ["note", "Note", []]];

/** @param {string} piece @param {string} step @returns {[string, string][]} what the card says to this step */
export function cardLines(piece, step) {
  const rules = store.thing("piece", piece)?.rules ?? {};
  return LINES.filter(([field, , steps]) => rules[field] && (!steps.length || steps.includes(step)))
    .map(([field, word]) => [word, String(rules[field]).replaceAll("_", " ")]);
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

// A plan made smaller than what is counted already: shown where the plan is, since the counts stay.
import { ui as text } from "../texts/texts.js";
import { html, nothing } from "../vendor/lit-html.js";
import { figure } from "../format/numbers.js";

/** @param {{done: number, spoiled: number}} total */
const good = ({ done, spoiled }) => Math.max(0, done - spoiled);

/**
 * Steps with more counted than the plan starts.
 * @param {import("../store/store.js").store} store
 * @param {string} piece
 * @param {import("../answers").PieceAnswer | null} plan
 */
function over(store, piece, plan) {
  return (plan?.steps ?? [])
    .map((s) => ({
      name: s.name,
      wanted: Math.max(s.start, s.need),
      done: good(store.totals.of(piece, s.step)),
    }))
    .filter(({ done, wanted }) => done > wanted);
}

/** @param {import("../store/store.js").store} store @param {string} piece @param {import("../answers").PieceAnswer | null} plan */
export function overCounted(store, piece, plan) {
  const rows = over(store, piece, plan);
  if (!rows.length) return nothing;
  const words = rows
    .map(({ name, done, wanted }) => text.overCountedStep(name, figure(done), figure(wanted)))
    .join("; ");
  return html`<p class="advice" data-over>${text.overCounted(words)}</p>`;
}

// A plan made smaller than what is counted already: said where the plan is, since the counts stay.
import { html, nothing } from "../vendor/lit-html.js";
import { figure } from "../format/numbers.js";

/** @param {{done: number, spoiled: number}} total */
const good = ({ done, spoiled }) => Math.max(0, done - spoiled);

/** Steps with more counted than the plan begins. @param {import("../store/store.js").store} store @param {string} piece @param {any} plan */
function over(store, piece, plan) {
  return (plan?.steps ?? [])
    .map((/** @type {any} */ s) => ({
      name: s.name,
      wanted: Math.max(s.start ?? 0, s.need ?? 0),
      done: good(store.total(piece, s.step)),
    }))
    .filter((/** @type {any} */ { done, wanted }) => done > wanted);
}

/** @param {import("../store/store.js").store} store @param {string} piece @param {any} plan */
export function overCounted(store, piece, plan) {
  const rows = over(store, piece, plan);
  if (!rows.length) return nothing;
  const words = rows
    .map(
      (/** @type {any} */ { name, done, wanted }) =>
        `${name} ${figure(done)}, planned ${figure(wanted)}`,
    )
    .join("; ");
  return html`<p class="advice" data-over>More is counted than this plan asks for: ${words}. The counts stay as they are; make the plan larger if it was made too small.</p>`;
}

// Setup of the work itself: hours a week, the order of pieces, and for each step the maker's guess.
import { store } from "../../store/store.js";
import { html } from "../../vendor/lit-html.js";
import { upper } from "../../format/words.js";
import { guessEntry } from "../../ui/pace-guess.js";
import { number, oneOf } from "../../ui/setting-fields.js";

/** @type {[string, string][]} */
const PRACTISED = [
  ["new", "New to it"],
  ["used", "Used to it"],
  ["old_hand", "Old hand"],
];

const RESERVE = 5,
  USUAL_WEEK_H = 6; // the engine's own, where the maker sets none

/** @type {any[] | null} the engine's own table of steps */
let table = null;

/** @param {() => void} redraw */
export async function askSteps(redraw) {
  if (table) return;
  try {
    table = (await store.ask({ ask: "steps" })).steps;
    redraw();
  } catch {
    /* plans bring their steps; the engine says its trouble elsewhere */
  }
}

/** @returns {any[]} steps of the plans in work, then the rest of the table */
function steps() {
  const out = new Map();
  for (const piece of store.things("piece"))
    for (const s of store.plan(piece.id)?.steps ?? []) if (!out.has(s.step)) out.set(s.step, s);
  for (const s of table ?? []) if (!out.has(s.step)) out.set(s.step, s);
  return [...out.values()];
}

/** @param {() => void} redraw */
export function week(redraw) {
  return html`<section class="sheet"><h2>Your week</h2>
    ${number(
      {
        id: "week_hours",
        label: "Hours at the bench in a usual week",
        value: store.setting("week_hours", null),
        least: 0.25,
        most: 100,
        hint: `Only a start: the forecast soon goes by the weeks you have really worked. Left empty: ${USUAL_WEEK_H} (common practice, no published source).`,
      },
      (v) => store.setSetting("week_hours", v),
      redraw,
    )}
    <h3>Several pieces at once</h3>
    ${oneOf(
      "Order of the pieces",
      [
        ["in_order", "One after the other"],
        ["in_turns", "In turns"],
      ],
      store.setting("queue", "in_order"),
      (v) => store.setSetting("queue", v),
    )}
  </section>`;
}

/** @param {() => void} redraw */
export function pace(redraw) {
  const rows = steps();
  return html`<section class="sheet"><h2>Your steps</h2>
    <p>A guess is only where the forecast begins; your record soon weighs more. How practised you are tells it how much quicker you will still get.</p>
    ${rows.length ? null : html`<p role="status">The steps show when the engine has started.</p>`}
    ${rows.length ? html`<details><summary>${rows.length} steps: guesses, batches, practice</summary>${rows.map((s) => step(s, redraw))}</details>` : null}
  </section>`;
}

/** @param {() => void} redraw */
export function wire(redraw) {
  return html`<section class="sheet"><h2>Your wire</h2>
    ${number(
      {
        id: "wire_reserve_percent",
        label: "Wire to buy beyond what is used up, percent",
        value: store.setting("wire_reserve_percent", RESERVE),
        least: 0,
        most: 100,
        hint: `For kinked starts, wire held in the mandrel and coils that fail. Left empty: ${RESERVE} (common practice, no published source). The ends of coils are counted apart.`,
      },
      (v) => store.setSetting("wire_reserve_percent", v),
      redraw,
    )}
  </section>`;
}

/** @param {any} s a step's row @param {() => void} redraw */
function step(s, redraw) {
  const own = store.thing("step", s.step);
  const set = (/** @type {string} */ field) => (/** @type {any} */ v) =>
    store.set("step", s.step, { [field]: v });
  return html`<div class="step-row" role="group" aria-label=${s.name}><h3>${s.name}</h3><div class="trio">
    ${guessEntry(`own-guess-${s.step}`, (unit) => `${upper(unit)} for one ${s.item}`, own?.guess_min_per_item, s.guess_min_per_item, set("guess_min_per_item"))}
    ${number({ id: `lump-${s.step}`, label: "Batch of one touch", value: own?.lump ?? s.batch, least: 1, most: 100000, whole: true }, set("lump"), redraw)}
    <div class="field"><label for=${`practised-${s.step}`}>How practised</label><select id=${`practised-${s.step}`} .value=${own?.practised ?? ""} @change=${(/** @type {Event} */ e) => set("practised")(/** @type {HTMLSelectElement} */ (e.target).value || null)}>
      <option value="">Not said</option>${PRACTISED.map(([v, word]) => html`<option value=${v} ?selected=${own?.practised === v}>${word}</option>`)}</select></div></div></div>`;
}

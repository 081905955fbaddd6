// Setup of the work itself: hours a week, the order of pieces, and for each step the maker's guess.
import { store } from "../../store/store.js";
import { html } from "../../vendor/lit-html.js";
import { upper } from "../../format/words.js";
import { buttonChoice, choiceField, numberField, timeField } from "../../ui/form-fields.js";

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
    for (const s of store.answers.plan(piece.id)?.steps ?? [])
      if (!out.has(s.step)) out.set(s.step, s);
  for (const s of table ?? []) if (!out.has(s.step)) out.set(s.step, s);
  return [...out.values()];
}

export function week() {
  return html`<section class="sheet"><h2>Your week</h2>
    ${numberField("week_hours", "Hours at the bench in a usual week", store.setting("week_hours", null), (v) => store.setSetting("week_hours", v), { short: true, low: 0.25, high: 100, hint: `Only a start: the forecast soon goes by the weeks you have really worked. Left empty: ${USUAL_WEEK_H} (common practice, no published source).` })}
    <h3>Several pieces at once</h3>
    ${buttonChoice(
      "Which piece first",
      [
        ["in_order", "One after the other"],
        ["in_turns", "In turns"],
      ],
      store.setting("queue", "in_order"),
      (v) => store.setSetting("queue", v),
    )}
  </section>`;
}

export function pace() {
  const rows = steps();
  return html`<section class="sheet"><h2>Your steps</h2>
    <p>A guess is only where the forecast begins; your record soon weighs more. How practised you are tells it how much quicker you will still get.</p>
    ${rows.length ? null : html`<p role="status">The steps show when the engine has started.</p>`}
    ${rows.length ? html`<details><summary>${rows.length} steps: guesses, batches, practice</summary>${rows.map((s) => step(s))}</details>` : null}
  </section>`;
}

export function wire() {
  return html`<section class="sheet"><h2>Your wire</h2>
    ${numberField("wire_reserve_percent", "Extra wire to buy, percent", store.setting("wire_reserve_percent", RESERVE), (v) => store.setSetting("wire_reserve_percent", v), { short: true, low: 0, high: 100, hint: `For kinked starts, wire held in the mandrel and coils that fail. Left empty: ${RESERVE} (common practice, no published source). The ends of coils are counted apart.` })}
  </section>`;
}

/** @param {any} s a step's row */
function step(s) {
  const own = store.thing("step", s.step);
  const set = (/** @type {string} */ field) => (/** @type {any} */ v) =>
    store.set("step", s.step, { [field]: v });
  return html`<div class="step-row" role="group" aria-label=${s.name}><h3>${s.name}</h3><div class="trio">
    ${timeField(`own-guess-${s.step}`, (unit) => `${upper(unit)} for one ${s.item}`, own?.guess_min_per_item, s.guess_min_per_item, set("guess_min_per_item"))}
    ${numberField(`lump-${s.step}`, "One touch adds", own?.lump ?? s.batch, set("lump"), { short: true, low: 1, high: 100000, whole: true })}
    ${choiceField(`practised-${s.step}`, "Your experience", own?.practised, [["", "Not said"], ...PRACTISED], (v) => set("practised")(v || null))}</div></div>`;
}

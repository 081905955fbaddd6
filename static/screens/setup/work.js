// Setup of the work itself: hours a week, the order of pieces, and for each step the maker's guess.
import { store } from "../../store/store.js";
import { html } from "../../vendor/lit-html.js";
import { setup as text, ui } from "../../texts/texts.js";
import { figure } from "../../format/numbers.js";
import { capitalChoices, label } from "../../format/labels.js";
import { hours, upper } from "../../format/words.js";
import { buttonChoice, experienceField, numberField, timeField } from "../../ui/form-fields.js";

const RESERVE = 5,
  USUAL_WEEK_H = 6; // the engine's own, where the maker sets none

/** @typedef {import("../../answers").Step} Step */
/** @typedef {import("../../entities").StepEntity} StepEntity */

/** @type {Step[] | null} the engine's own table of steps */
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

/** @returns {Step[]} steps of the plans in work, then the rest of the table */
function steps() {
  /** @type {Map<string, Step>} */
  const out = new Map();
  for (const piece of store.things("piece"))
    for (const s of store.answers.plan(piece.id)?.steps ?? [])
      if (!out.has(s.step)) out.set(s.step, s);
  for (const s of table ?? []) if (!out.has(s.step)) out.set(s.step, s);
  return [...out.values()];
}

export function week() {
  return html`<section class="sheet"><h2>${text.week}</h2>
    ${numberField("week_hours", label("week_hours"), store.setting("week_hours", null), (v) => store.setSetting("week_hours", v), { short: true, low: 0.25, high: 100, hint: text.weekHint(ui.usualWhenEmpty(hours(USUAL_WEEK_H))) })}
    <h3>${label("queue")}</h3>
    ${buttonChoice(
      label("queue"),
      capitalChoices("queue"),
      store.setting("queue", "in_order"),
      (v) => store.setSetting("queue", v),
    )}
  </section>`;
}

export function pace() {
  const rows = steps();
  return html`<section class="sheet"><h2>${text.pace}</h2>
    <p>${text.paceHint}</p>
    ${rows.length ? null : html`<p role="status">${text.noSteps}</p>`}
    ${rows.length ? html`<details class="step-list"><summary>${text.steps(figure(rows.length))}</summary>${rows.map((s) => step(s))}</details>` : null}
  </section>`;
}

export function wire() {
  return html`<section class="sheet"><h2>${text.wire}</h2>
    ${numberField("wire_reserve_percent", label("wire_reserve_percent"), store.setting("wire_reserve_percent", RESERVE), (v) => store.setSetting("wire_reserve_percent", v), { short: true, low: 0, high: 100, hint: text.reserveHint(ui.usualWhenEmpty(RESERVE)) })}
  </section>`;
}

/** @param {Step} s a step's row */
function step(s) {
  const own = store.thing("step", s.step);
  /** @type {<F extends keyof StepEntity>(field: F) => (v: StepEntity[F] | null) => Promise<void>} */
  const set = (field) => (v) => store.set("step", s.step, { [field]: v });
  return html`<div class="step-row" role="group" aria-label=${s.name}><h3>${s.name}</h3><div class="trio">
    ${timeField(`own-guess-${s.step}`, (unit) => text.timeFor(upper(unit), s.item), own?.guess_min_per_item, s.guess_min_per_item, set("guess_min_per_item"))}
    ${numberField(`lump-${s.step}`, label("lump"), own?.lump ?? s.batch, set("lump"), { short: true, low: 1, high: 100000, whole: true })}
    ${experienceField(`practised-${s.step}`, own?.practised, set("practised"))}</div></div>`;
}

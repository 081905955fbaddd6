// What the sheet of a lane shows of its step: how it is done on this piece (the step's notes and the rules
// of the piece), and counts that must have been made, since later steps used the items.
import { bench as text } from "../../texts/texts.js";
import { html } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { choiceWord, label } from "../../format/labels.js";
import { figure } from "../../format/numbers.js";
import { richText } from "../../ui/rich-text.js";

const HEADS = ["pierce", "close", "unit", "unit_join", "chain_join", "left_over", "panel_join"];
/** @type {[string, string[]][]} a rule of the piece, and the steps it matters to; none: to all */
const RULES = [
  ["overlap", ["wind", "cut", "flatten"]],
  ["heads", HEADS],
  ["note", []],
];

/** @param {string} piece @param {string} step @returns {[string, string][]} the piece's rules for this step */
export function rulesFor(piece, step) {
  const rules = store.thing("piece", piece)?.rules ?? {};
  return RULES.filter(
    ([field, steps]) => rules[field] && (!steps.length || steps.includes(step)),
  ).map(([field]) => [label(field), choiceWord(field, rules[field]) ?? String(rules[field])]);
}

/** @param {string} piece @param {import("../../answers").PlannedStep | undefined} planned the plan's row of the step */
export function instructions(piece, planned) {
  const rules = planned ? rulesFor(piece, planned.step) : [];
  const notes = planned?.notes ?? [];
  if (!rules.length && !notes.length) return null;
  return html`<section class="making" aria-label=${text.howDone}><h3>${text.howDone}</h3>
    ${rules.map(([name, rule]) => html`<p>${richText(text.ruleLine(name, rule))}</p>`)}
    ${notes.map((note) => html`<p>${note}</p>`)}
    ${rules.length ? null : html`<p><a href=${`#plan/${piece}`}>${text.rulesInPlan}</a></p>`}</section>`;
}

/** @param {string} piece @param {import("../../answers").StepNote} m a count that is missing */
const countMissing = (piece, m) =>
  store.counting.countByHand(piece, m.step, m.n).saved.catch(() => {});

/** Warnings, such as softened rings of wire that is zinc-coated or not known to be bare. @param {string} piece */
export function warnings(piece) {
  const all = store.answers.standing(piece)?.warnings ?? [];
  return all.length
    ? html`<div class="caution" data-part="heated">${all.map((warning) => html`<p>${warning}</p>`)}</div>`
    : null;
}

/** Counts that later steps show to be missing; they are added outside the clock. @param {string} piece */
export function missing(piece) {
  const rows = store.answers.standing(piece)?.missing ?? [];
  if (!rows.length) return null;
  return html`<section class="missing" aria-label=${text.forgotten}><h3>${text.forgotten}</h3>
    <p>${text.forgottenAt(figure(rows.length))}</p>
    ${rows.map((m) => html`<p><button type="button" @click=${() => countMissing(piece, m)}>${text.countN(figure(m.n))}</button> ${m.why}</p>`)}</section>`;
}

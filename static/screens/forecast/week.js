// The weeks ahead: hours a week, pieces in order or in turns, days known to be off, and what the forecast doubts or weighs besides.
import { html } from "../../vendor/lit-html.js";
import { forecast as text, ui } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { capitalChoices, label } from "../../format/labels.js";
import {
  clearError,
  inputField,
  numberField,
  radioField,
  showError,
} from "../../ui/form-fields.js";
import { day, daysAfter, daysBetween, hours, several, withDays } from "../../format/words.js";

/** @typedef {import("../../answers").ForecastAnswer} ForecastAnswer */

const MOST_OFF = 400;

/** Days in a row as one stretch. @param {string[]} days @returns {[string, string][]} */
export function stretchesOf(days) {
  /** @type {[string, string][]} */
  const out = [];
  for (const d of [...new Set(days)].sort()) {
    const last = out[out.length - 1];
    if (last && daysBetween(last[1], d) === 1) last[1] = d;
    else out.push([d, d]);
  }
  return out;
}

/** @param {ForecastAnswer | null} forecast */
export function weekSheet(forecast) {
  const week = forecast?.week;
  const queue = store.setting("queue", "in_order");
  const many = store.things("piece").filter((p) => p.state !== "done").length > 1;
  return html`<section class="sheet" aria-labelledby="weeks-ahead"><h2 id="weeks-ahead">${text.weeksAhead}</h2>
    ${numberField("week-hours", label("week_hours"), store.setting("week_hours", ""), (v) => store.setSetting("week_hours", v), { low: 0.25, high: 100, hint: weekHint(week) })}
    ${
      many
        ? radioField("queue", label("queue"), queue, capitalChoices("queue"), (value) =>
            store.setSetting("queue", value),
          )
        : null
    }
    ${offDays()}
  </section>`;
}

/** @param {import("../../answers").Week | undefined} week of the forecast */
function weekHint(week) {
  const usual = week?.said_by === "usual" ? ui.usualWhenEmpty(hours(week.said_h)) : "";
  const worked =
    week && week.record_days >= 7 ? text.weeksWorked(hours(week.worked_h)) : text.weeksCount;
  return `${usual} ${worked}`.trim();
}

function offDays() {
  const now = today();
  const off = store.setting("off_days", []).filter((d) => d >= now);
  return html`<h3>${label("off_days")}</h3>
    ${
      off.length
        ? html`<ul class="plain">${stretchesOf(off).map(
            ([a, b]) => html`<li class="row between">
        <span>${a === b ? day(a) : text.daysFromTo(day(a), day(b))} <span class="soft">${several(daysBetween(a, b) + 1, "day")}</span></span>
        <button @click=${() => keepOff(store.setting("off_days", []).filter((d) => d < a || d > b))} aria-label=${text.removeDays(day(a))}>${ui.remove}</button></li>`,
          )}</ul>`
        : html`<p class="soft">${text.noDaysAway}</p>`
    }
    <form class="row" novalidate @submit=${addOff} @input=${clearError}>
      ${inputField("off-from", text.firstDay, { name: "from", type: "date", min: now })}
      ${inputField("off-to", text.lastDay, { name: "to", type: "date", min: now })}
      <button>${text.addDaysAway}</button>
    </form>`;
}

/** @param {string[]} days */
const keepOff = (days) =>
  store.setSetting("off_days", [...new Set(days)].filter((d) => d >= today()).sort());

/** @param {SubmitEvent} e */
function addOff(e) {
  e.preventDefault();
  const form = /** @type {HTMLFormElement} */ (e.target);
  const [first, to] = ["from", "to"].map(
      (name) => /** @type {HTMLInputElement} */ (form.elements.namedItem(name)),
    ),
    from = first.value;
  const span = from && to.value ? daysBetween(from, to.value) : 0;
  showError(first, !from ? text.firstDayNeeded : from < today() ? text.firstDayPassed : "");
  showError(
    to,
    span < 0 ? text.lastDayTooEarly : span >= MOST_OFF ? text.lastDayTooLate(MOST_OFF) : "",
  );
  if (!from || from < today() || span < 0 || span >= MOST_OFF) return;
  keepOff([
    ...store.setting("off_days", []),
    ...Array.from({ length: span + 1 }, (_, i) => daysAfter(from, i)),
  ]);
  form.reset();
}

const DOUBTED = new Set(["clock", "taps", "odd"]);

/** @typedef {import("../../answers").RecordNote} Note */

/** @param {Note[]} notes @param {string} shape */
const list = (notes, shape) =>
  html`<ul class="plain notes">${notes.map(
    (note) => html`<li><span aria-hidden="true">${shape}</span>
  <span>${note.date ? html`<strong>${text.noteOf(day(note.date))}</strong> ` : null}${withDays(note.why)}</span></li>`,
  )}</ul>`;

/** @param {ForecastAnswer} forecast */
export function notesSheet(forecast) {
  const notes = forecast.notes ?? [];
  const doubted = notes.filter((n) => DOUBTED.has(n.kind)),
    weighed = notes.filter((n) => !DOUBTED.has(n.kind));
  return html`
    ${
      doubted.length
        ? html`<section class="sheet" aria-labelledby="doubted"><h2 id="doubted">${text.doubtful}</h2>${list(doubted, "◆")}
      <p><a class="button" href="#records/sittings">${text.lookAtSittings}</a></p></section>`
        : null
    }
    ${weighed.length ? html`<section class="sheet" aria-labelledby="weighed"><h2 id="weighed">${text.weighed}</h2>${list(weighed, "○")}</section>` : null}`;
}

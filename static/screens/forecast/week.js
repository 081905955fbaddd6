// The weeks ahead: hours a week, pieces in order or in turns, days known to be off, and what the forecast doubts or weighs besides.
import { html } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { clearError, inputField, numberField, showError } from "../../ui/form-fields.js";
import { day, daysAfter, daysBetween, hours, several, withDays } from "../../format/words.js";

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

/** @param {any} forecast */
export function weekSheet(forecast) {
  const week = forecast?.week;
  const queue = store.setting("queue", "in_order");
  const many = store.things("piece").filter((p) => p.state !== "done").length > 1;
  return html`<section class="sheet" aria-labelledby="weeks-ahead"><h2 id="weeks-ahead">The weeks ahead</h2>
    ${numberField("week-hours", "Hours a week you mean to work", store.setting("week_hours", ""), (v) => store.setSetting("week_hours", v), { low: 0.25, high: 100, hint: html`${week?.said_by === "usual" ? `Left empty: ${hours(week.said_h)} (common practice, no published source). ` : ""}${week?.record_days >= 7 ? html`You have worked ${hours(week.worked_h)} a week; that counts more as the record grows.` : "The weeks you really worked soon count for more than this."}` })}
    ${
      many
        ? html`<fieldset class="choice"><legend>Several pieces on one pair of hands</legend>
      ${[
        ["in_order", "One after the other"],
        ["in_turns", "In turns, all at once"],
      ].map(
        ([value, words]) => html`
        <label class="pick"><input type="radio" name="queue" value=${value} .checked=${queue === value} @change=${() => store.setSetting("queue", value)}> ${words}</label>`,
      )}
    </fieldset>`
        : null
    }
    ${offDays()}
  </section>`;
}

function offDays() {
  const now = today();
  const off = store.setting("off_days", []).filter((/** @type {string} */ d) => d >= now);
  return html`<h3>Days off you know of</h3>
    ${
      off.length
        ? html`<ul class="plain">${stretchesOf(off).map(
            ([a, b]) => html`<li class="row between">
        <span>${a === b ? day(a) : `${day(a)} to ${day(b)}`} <span class="soft">${several(daysBetween(a, b) + 1, "day")}</span></span>
        <button @click=${() => keepOff(store.setting("off_days", []).filter((/** @type {string} */ d) => d < a || d > b))} aria-label=${`Take out: work from ${day(a)}`}>Take out</button></li>`,
          )}</ul>`
        : html`<p class="soft">None. A holiday or a fair said here moves the dates at once.</p>`
    }
    <form class="row" novalidate @submit=${addOff} @input=${clearError}>
      ${inputField("off-from", "From", { name: "from", type: "date", min: now })}
      ${inputField("off-to", "To, that day too", { name: "to", type: "date", min: now })}
      <button>Add days off</button>
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
  showError(
    first,
    !from
      ? "From: give the first day off."
      : from < today()
        ? "From: this day is over; give one from today on."
        : "",
  );
  showError(
    to,
    span < 0
      ? "To: the last day must not be before the first."
      : span >= MOST_OFF
        ? `To: ${MOST_OFF} days in one go at most; is the year right?`
        : "",
  );
  if (!from || from < today() || span < 0 || span >= MOST_OFF) return;
  keepOff([
    ...store.setting("off_days", []),
    ...Array.from({ length: span + 1 }, (_, i) => daysAfter(from, i)),
  ]);
  form.reset();
}

const DOUBTED = new Set(["clock", "taps", "odd"]);

/** @typedef {{kind: string, why: string, date?: string, step?: string}} Note */

/** @param {Note[]} notes @param {string} shape */
const list = (notes, shape) =>
  html`<ul class="plain notes">${notes.map(
    (note) => html`<li><span aria-hidden="true">${shape}</span>
  <span>${note.date ? html`<strong>${day(note.date)}</strong>: ` : null}${withDays(note.why)}</span></li>`,
  )}</ul>`;

/** @param {any} forecast */
export function notesSheet(forecast) {
  /** @type {Note[]} */
  const notes = forecast.notes ?? [];
  const doubted = notes.filter((n) => DOUBTED.has(n.kind)),
    weighed = notes.filter((n) => !DOUBTED.has(n.kind));
  return html`
    ${
      doubted.length
        ? html`<section class="sheet" aria-labelledby="doubted"><h2 id="doubted">Doubted in your record</h2>${list(doubted, "◆")}
      <p><a class="button" href="#records/sittings">Look at the sittings</a></p></section>`
        : null
    }
    ${weighed.length ? html`<section class="sheet" aria-labelledby="weighed"><h2 id="weighed">What else weighs on the dates</h2>${list(weighed, "○")}</section>` : null}`;
}

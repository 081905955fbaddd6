// One piece's forecast: the dates in words, the span drawn, the due date, and why.
import { html } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { inputField } from "../../ui/form-fields.js";
import { span } from "../../pictures/span.js";
import { mark } from "../../pictures/mark.js";
import { chance, day, daysBetween, hours, several } from "../../format/words.js";

/**
 * @param {{piece: any, said: any, place: number, of: number, inTurns: boolean, move: (by: number) => void, prices: import("./price.js").Prices}} its
 */
export function pieceCard({ piece, said, place, of, inTurns, move, prices }) {
  const name = piece.name ?? "Piece without a name";
  return html`<section class="sheet forecast" aria-label=${name}>
    <div class="row between"><h2>${mark(piece.mark)} ${name}</h2>${of > 1 ? queueButtons(name, place, of, inTurns, move) : null}</div>
    ${said ? dates(piece, said, name) : waiting(piece.id)}
    ${said ? leftOut(piece.id) : null}
    ${said ? prices.view(piece, said) : null}
  </section>`;
}

/**
 * @param {string} name
 * @param {number} place
 * @param {number} of
 * @param {boolean} inTurns
 * @param {(by: number) => void} move
 */
function queueButtons(name, place, of, inTurns, move) {
  return html`<div class="row"><span class="soft">${inTurns ? "in turns" : `${place + 1} of ${of}`}</span>
    <button ?disabled=${place === 0} @click=${() => move(-1)} aria-label=${`Earlier: ${name}`}>▲ Earlier</button>
    <button ?disabled=${place === of - 1} @click=${() => move(1)} aria-label=${`Later: ${name}`}>▼ Later</button></div>`;
}

/** @param {string} id */
function waiting(id) {
  const refused = store.answers.planRefused(id);
  if (refused) return html`<p class="told bad">${refused.why}</p>`;
  if (!store.entities.isSized(id))
    return html`<p>It has no plan yet. <a href=${`#plan/${id}`}>Enter its size</a> to get a forecast.</p>`;
  return store.answers.forecastRefused ? null : html`<p class="soft">Being worked out…</p>`;
}

/** Rows of its plan that these dates do not hold. @param {string} id */
function leftOut(id) {
  const [first] = store.answers.planFaults(id);
  return first
    ? html`<p class="told warn">A part of its plan is not in these dates: ${first.why} <a href=${`#plan/${id}`}>Open its plan</a></p>`
    : null;
}

/** @param {string | null} finish none within eleven years */
const dayOrNever = (finish) => (finish ? day(finish) : "not within eleven years at this pace");

/** @param {any} piece @param {any} said @param {string} name */
function dates(piece, said, name) {
  const now = today();
  const over = said.hours.p50 < 1 / 60;
  if (over)
    return html`<p class="verdict">Every step is counted to its end. <a href="#pieces">Mark it as done</a> when it leaves the bench.</p>${dueField(piece, said, name, now)}`;
  return html`<div class="halves"><div>
    <p class="verdict"><span class="soft">As likely before as after</span> <strong>${dayOrNever(said.finish.p50)}</strong></p>
    <p class="verdict"><span class="soft">Four chances in five by</span> <strong>${dayOrNever(said.finish.p80)}</strong></p>
    ${said.finish.p95 ? span(said.finish, now, piece.due) : null}
    </div><div>
    <p>Still <strong>${hours(said.hours.p50)}</strong> at the bench as the even guess; <strong>${hours(said.hours.p80)}</strong> covers four cases in five.</p>
    ${said.why ? html`<p class="why">${said.why}</p>` : null}
    ${dueField(piece, said, name, now)}
    <details><summary>The whole span</summary>
      <div class="scroll" tabindex="0" role="region" aria-label=${`The whole span of ${name}`}><table>
        <thead><tr><th>Chance to be done by then</th><th class="n">Bench time left</th><th>Day</th></tr></thead>
        <tbody>${[
          ["p10", "1 in 10"],
          ["p50", "1 in 2"],
          ["p80", "4 in 5"],
          ["p95", "19 in 20"],
        ].map(
          ([p, words]) => html`
          <tr><td>${words}</td><td class="n">${hours(said.hours[p])}</td><td>${dayOrNever(said.finish[p])}</td></tr>`,
        )}</tbody>
      </table></div>
    </details></div></div>`;
}

/** @param {any} piece @param {any} said @param {string} name @param {string} now */
function dueField(piece, said, name, now) {
  const id = `due-${piece.id}`;
  const set = (/** @type {Event} */ e) =>
    store.set("piece", piece.id, { due: /** @type {HTMLInputElement} */ (e.target).value || null });
  const label = html`Promised for <span class="quiet">(${name})</span>`;
  return html`<div class="due">${inputField(id, label, { type: "date", value: piece.due, onChange: set, hint: piece.due ? dueWords(piece.due, said, now) : "" })}</div>`;
}

/** @param {string} due @param {any} said @param {string} now */
function dueWords(due, said, now) {
  const left = daysBetween(now, due);
  if (left < 0)
    return `That day was ${several(-left, "day")} ago. Give a new one to see its chance.`;
  if (left === 0) return "That is today. The dates here count from tomorrow on.";
  return html`Chance to be done by then: <strong>${chance(said.p_due)}</strong>. ${weekWords(said)}`;
}

/** Hours a week really worked; and meant, where the maker's word still weighs enough to say so. @param {any} said */
function weekWords(said) {
  const worked = said.bench_h_per_week_for_due,
    meant = said.hours_per_week_for_due;
  if (worked == null)
    return said.p_due < 0.8
      ? "Four chances in five would take more than twelve hours every day."
      : "";
  const both = meant > worked && meant < 2 * worked;
  return html`For four chances in five: <strong>${hours(worked)} a week</strong> at the bench until then, held to${both ? html`; or <strong>${hours(meant)} a week</strong> meant, since most weeks bring less than was meant` : ""}.`;
}

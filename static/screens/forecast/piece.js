// One piece's forecast: the dates in words, the span drawn, the due date, and why.
import { html } from "../../vendor/lit-html.js";
import { forecast as text, ui } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { inputField } from "../../ui/form-fields.js";
import { span } from "../../pictures/span.js";
import { mark } from "../../pictures/mark.js";
import { choiceWord, label } from "../../format/labels.js";
import { chance, day, daysBetween, hours } from "../../format/words.js";
import { richText } from "../../ui/rich-text.js";

/** @typedef {import("../../entities").Entity<"piece">} Piece */
/** @typedef {import("../../answers").PieceForecast} PieceForecast */

/**
 * @param {{piece: Piece, forecast: PieceForecast | null, place: number, of: number, inTurns: boolean, move: (by: number) => void, prices: import("./price.js").Prices}} its
 */
export function pieceCard({ piece, forecast, place, of, inTurns, move, prices }) {
  const name = piece.name ?? ui.unnamedPiece;
  return html`<section class="sheet forecast" aria-label=${name}>
    <div class="row between"><h2>${mark(piece.mark)} ${name}</h2>${of > 1 ? queueButtons(name, place, of, inTurns, move) : null}</div>
    ${forecast ? dates(piece, forecast, name) : waiting(piece.id)}
    ${forecast ? leftOut(piece.id) : null}
    ${forecast ? prices.view(piece, forecast) : null}
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
  return html`<div class="row"><span class="soft">${inTurns ? choiceWord("queue", "in_turns") : text.placeOf(place + 1, of)}</span>
    <button ?disabled=${place === 0} @click=${() => move(-1)} aria-label=${ui.named(ui.earlier, name)}>▲ ${ui.earlier}</button>
    <button ?disabled=${place === of - 1} @click=${() => move(1)} aria-label=${ui.named(ui.later, name)}>▼ ${ui.later}</button></div>`;
}

/** @param {string} id */
function waiting(id) {
  const refused = store.answers.planRefused(id);
  if (refused) return html`<p class="message bad">${refused.why}</p>`;
  if (!store.entities.isSized(id)) return html`<p>${richText(text.enterSize(`#plan/${id}`))}</p>`;
  return store.answers.forecastRefused ? null : html`<p class="soft">${ui.workingOutDates}</p>`;
}

/** Rows of its plan that these dates do not hold. @param {string} id */
function leftOut(id) {
  const [first] = store.answers.planFaults(id);
  return first
    ? html`<p class="message warn">${ui.partLeftOut(first.why)} <a href=${`#plan/${id}`}>${ui.openPlan}</a></p>`
    : null;
}

/** @param {string | null} finish none within eleven years */
const dayOrNever = (finish) => (finish ? day(finish) : text.neverDone);

/** @param {Piece} piece @param {PieceForecast} forecast @param {string} name */
function dates(piece, forecast, name) {
  const now = today();
  const { p10, p50, p80, p95 } = forecast.finish;
  const over = forecast.hours.p50 < 1 / 60;
  if (over)
    return html`<p class="verdict">${richText(text.workDone)}</p>${dueField(piece, forecast, name, now)}`;
  return html`<div class="halves"><div>
    <p class="verdict"><span class="soft">${text.likely}</span> <strong>${dayOrNever(p50)}</strong></p>
    <p class="verdict"><span class="soft">${text.safe}</span> <strong>${dayOrNever(p80)}</strong></p>
    ${p10 && p50 && p80 && p95 ? span({ p10, p50, p80, p95 }, now, piece.due ?? undefined) : null}
    </div><div>
    <p>${richText(text.hoursLeft(hours(forecast.hours.p50), hours(forecast.hours.p80)))}</p>
    ${forecast.why ? html`<p class="why">${forecast.why}</p>` : null}
    ${dueField(piece, forecast, name, now)}
    <details><summary>${text.allDates}</summary>
      <div class="scroll" tabindex="0" role="region" aria-label=${text.allDatesOf(name)}><table>
        <thead><tr><th>${text.chanceDone}</th><th class="n">${text.benchTimeLeft}</th><th>${text.day}</th></tr></thead>
        <tbody>${
          /** @type {[keyof import("../../answers").Quantiles, string][]} */ (
            Object.entries(text.chances)
          ).map(
            ([p, words]) => html`
          <tr><td>${words}</td><td class="n">${hours(forecast.hours[p])}</td><td>${dayOrNever(forecast.finish[p])}</td></tr>`,
          )
        }</tbody>
      </table></div>
    </details></div></div>`;
}

/** @param {Piece} piece @param {PieceForecast} forecast @param {string} name @param {string} now */
function dueField(piece, forecast, name, now) {
  const id = `due-${piece.id}`;
  const set = (/** @type {Event} */ e) =>
    store.set("piece", piece.id, { due: /** @type {HTMLInputElement} */ (e.target).value || null });
  const called = html`${label("due")} <span class="quiet">(${name})</span>`;
  return html`<div class="due">${inputField(id, called, { type: "date", value: piece.due, onChange: set, hint: piece.due ? dueWords(piece.due, forecast, now) : "" })}</div>`;
}

/** @param {string} due @param {PieceForecast} forecast @param {string} now */
function dueWords(due, forecast, now) {
  const left = daysBetween(now, due);
  if (left < 0) return text.duePassed;
  if (left === 0) return text.dueToday;
  if (forecast.p_due == null) return ui.workingOutDates; // the date was set after this forecast
  return html`${richText(text.dueChance(chance(forecast.p_due)))} ${richText(weekWords(forecast, forecast.p_due))}`;
}

/** Hours a week really worked; and meant, where the maker's word still weighs enough to say so. @param {PieceForecast} forecast @param {number} inTime */
function weekWords(forecast, inTime) {
  const worked = forecast.bench_h_per_week_for_due,
    meant = forecast.hours_per_week_for_due;
  if (forecast.hours.p80 < 1 / 60) return ""; // nothing is left to work
  if (worked == null) return inTime < 0.8 ? text.weekImpossible : "";
  const both = meant != null && meant > worked && meant < 2 * worked;
  return both
    ? text.weekWorkedOrMeant(hours(worked), hours(meant))
    : text.weekWorked(hours(worked));
}

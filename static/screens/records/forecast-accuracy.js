// How good the past forecasts were: of those said with four chances in five, how many held.
import { html } from "../../vendor/lit-html.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { judge, keptForecasts, tally } from "../../engine/forecast-calibration.js";
import { percent } from "../../format/numbers.js";
import { day, daysAfter, hours } from "../../format/words.js";

/**
 * @typedef {import("../../engine/forecast-calibration.js").Kept & {end: string | null, name: string, verdict: import("../../engine/forecast-calibration.js").Verdict}} Row
 */
/** @type {[keyof import("../../engine/forecast-calibration.js").Verdict, string, number][]} */
const CLAIMS = [
  ["finish80", "Done by the day said with 4 chances in 5", 0.8],
  ["hours80", "Bench hours no more than said with 4 chances in 5", 0.8],
  ["span", "Finish day within the span that should hold 8 in 10", 0.8],
  ["hoursSpan", "Bench hours within the span that should hold 8 in 10", 0.8],
];
const PAGE = 30;

export class PastForecasts {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {Row[]} */
    this.rows = [];
    this.shown = PAGE;
  }

  async load() {
    const [sittings, forecasts] = await Promise.all([history.sittings(), history.forecasts()]);
    /** @type {Map<string, typeof sittings>} */
    const own = new Map();
    for (const s of sittings) {
      const all = own.get(s.piece);
      if (all) all.push(s);
      else own.set(s.piece, [s]);
    }
    this.rows = keptForecasts(forecasts)
      .map((kept) => {
        const piece = store.thing("piece", kept.piece);
        const end =
          piece?.state === "done" ? history.dayWritten("piece", kept.piece, "state") : null;
        const since = (own.get(kept.piece) ?? [])
          .filter((s) => s.start_ms >= kept.ms)
          .reduce((sum, s) => sum + s.minutes / 60, 0);
        return {
          ...kept,
          end,
          name: piece?.name ?? "a piece no longer kept",
          verdict: judge(kept, { end, today: today(), hours: since, addDays: daysAfter }),
        };
      })
      .reverse();
  }

  view() {
    if (!this.rows.length)
      return html`<p>No forecast is kept yet. From now on one a day and piece is kept here, and judged when the piece is done.</p>`;
    const verdicts = this.rows.map((r) => r.verdict);
    return html`<div class="scroll" tabindex="0" role="region" aria-label="How the forecasts held"><table>
        <thead><tr><th>What was said</th><th class="n">Held</th><th class="n">Should</th></tr></thead>
        <tbody>${CLAIMS.map(([key, words, share]) => this.claim(words, share, tally(verdicts, key)))}</tbody></table></div>
      <p class="soft">Forecasts of one piece on neighbouring days resemble one another, so a few pieces still say little.</p>
      <h2>Each forecast kept</h2>
      <ul class="plain log">${this.rows.slice(0, this.shown).map((row) => this.row(row))}</ul>
      ${
        this.rows.length > this.shown
          ? html`<button @click=${() => {
              this.shown += PAGE;
              this.redraw();
            }}>Older ones</button>`
          : null
      }`;
  }

  /** @param {string} words @param {number} share @param {{held: number, of: number}} t */
  claim(words, share, t) {
    return html`<tr><th scope="row">${words}</th><td class="n">${t.of ? html`<strong>${t.held} of ${t.of}</strong> <span class="soft">${percent(t.held / t.of)}</span>` : "none settled yet"}</td><td class="n">${percent(share)}</td></tr>`;
  }

  /** @param {Row} row */
  row({ name, day: when, said, end, verdict }) {
    const word =
      verdict.finish80 === null ? "○ open" : verdict.finish80 ? "● held" : "▲ did not hold";
    return html`<li><strong>${name}</strong>, said ${day(when)}: ${said.finish.p80 ? `by ${day(said.finish.p80)}` : "no day"} (4 in 5), ${hours(said.hours.p50)} to ${hours(said.hours.p80)} left
      <small class="soft"><span class="tag">${word}</span> ${end ? `Done on ${day(end)}.` : ""}</small></li>`;
  }
}

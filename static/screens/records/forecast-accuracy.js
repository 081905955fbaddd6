// How good the past forecasts were: of those said with four chances in five, how many held.
import { html } from "../../vendor/lit-html.js";
import { records as text } from "../../texts/texts.js";
import { richText } from "../../ui/rich-text.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { judge, keptForecasts, tally } from "../../engine/forecast-calibration.js";
import { percent } from "../../format/numbers.js";
import { day, daysAfter, hours, pieceName } from "../../format/words.js";

/**
 * @typedef {import("../../engine/forecast-calibration.js").Kept & {end: string | null, name: string, verdict: import("../../engine/forecast-calibration.js").Verdict}} Row
 */
const PAGE = 30,
  SHOULD_HOLD = 0.8; // of each claim

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
          name: pieceName(store, kept.piece),
          verdict: judge(kept, { end, today: today(), hours: since, addDays: daysAfter }),
        };
      })
      .reverse();
  }

  view() {
    if (!this.rows.length) return html`<p>${text.noForecasts}</p>`;
    const verdicts = this.rows.map((r) => r.verdict),
      claims = /** @type {(keyof typeof text.claims)[]} */ (Object.keys(text.claims));
    return html`<div class="scroll" tabindex="0" role="region" aria-label=${text.forecastsRight}><table>
        <thead><tr><th>${text.whatWeForecast}</th><th class="n">${text.held}</th><th class="n">${text.should}</th></tr></thead>
        <tbody>${claims.map((claim) => this.claim(text.claims[claim], tally(verdicts, claim)))}</tbody></table></div>
      <p class="soft">${text.forecastsAlike}</p>
      <h2>${text.eachForecast}</h2>
      <ul class="plain log">${this.rows.slice(0, this.shown).map((row) => this.row(row))}</ul>
      ${
        this.rows.length > this.shown
          ? html`<button @click=${() => {
              this.shown += PAGE;
              this.redraw();
            }}>${text.olderOnes}</button>`
          : null
      }`;
  }

  /** @param {string} words @param {{held: number, of: number}} t */
  claim(words, t) {
    return html`<tr><th scope="row">${words}</th><td class="n">${t.of ? html`<strong>${text.heldOf(t.held, t.of)}</strong> <span class="soft">${percent(t.held / t.of)}</span>` : text.noneSettled}</td><td class="n">${percent(SHOULD_HOLD)}</td></tr>`;
  }

  /** @param {Row} row */
  row({ name, day: when, said, end, verdict }) {
    const { open, right, wrong } = text.verdicts;
    const word = verdict.finish80 === null ? open : verdict.finish80 ? right : wrong;
    const [low, high] = [hours(said.hours.p50), hours(said.hours.p80)];
    const words = said.finish.p80
      ? text.forecastLine(name, day(when), day(said.finish.p80), low, high)
      : text.forecastLineNever(name, day(when), low, high);
    return html`<li>${richText(words)}
      <small class="soft"><span class="tag">${word}</span> ${end ? text.doneOn(day(end)) : ""}</small></li>`;
  }
}

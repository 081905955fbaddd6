// What to ask for a piece: the maker's rate and costs in, the engine's lines and totals out.
import { html } from "../../vendor/lit-html.js";
import { forecast as text } from "../../texts/texts.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { label } from "../../format/labels.js";
import { hours } from "../../format/words.js";
import {
  digitsOf,
  learnDigits,
  priceQuestion,
  unpriced,
  sum,
} from "../../engine/price-question.js";
import { costsForm, ratesForm } from "./rates.js";

/** @typedef {import("../../entities").Entity<"piece">} Piece */
/** @typedef {import("../../answers").PieceForecast} PieceForecast */
/** @typedef {import("../../answers").PriceAnswer} PriceAnswer */
/** @typedef {import("../../types").Fault} Fault */
/**
 * @typedef {{asked: string, answer: PriceAnswer | null, refused: Fault | null, lacks: boolean}} Kept `lacks`: currency or rate not said yet
 */

export class Prices {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {Map<string, Kept>} */
    this.kept = new Map();
    /**
     * @type {Map<string, {forecast: PieceForecast, hours: number}>} hours already worked, by piece, as they stood at that forecast
     */
    this.spent = new Map();
    /** @type {Set<string>} */
    this.open = new Set();
    /** @type {Map<string, boolean>} whether the rates stood open at first: later it is the maker's own doing */
    this.rates = new Map();
  }

  /** @param {Piece} piece @param {PieceForecast} forecast */
  view(piece, forecast) {
    const toggle = (/** @type {Event} */ e) => {
      const { open } = /** @type {HTMLDetailsElement} */ (e.target);
      if (open) this.open.add(piece.id);
      else this.open.delete(piece.id);
      if (open) this.ask(piece, forecast).catch(() => {});
    };
    if (this.open.has(piece.id)) this.ask(piece, forecast).catch(() => {});
    return html`<details @toggle=${toggle}><summary>${text.price}</summary>${this.open.has(piece.id) ? this.inside(piece) : null}</details>`;
  }

  /**
   * Read again when the forecast has changed, as it does with every sitting.
   * @param {string} piece
   * @param {PieceForecast} forecast
   */
  async worked(piece, forecast) {
    if (this.spent.get(piece)?.forecast !== forecast) {
      const rows = await history.sittings({ piece });
      this.spent.set(piece, { forecast, hours: rows.reduce((all, s) => all + s.minutes / 60, 0) });
    }
    return this.spent.get(piece)?.hours ?? 0;
  }

  /** @param {Piece} piece @param {PieceForecast} forecast */
  async ask(piece, forecast) {
    const plan = store.answers.plan(piece.id);
    if (!plan) return;
    const done = await this.worked(piece.id, forecast);
    const question = priceQuestion(store, piece, plan, {
      p50: done + forecast.hours.p50,
      p80: done + forecast.hours.p80,
    });
    const asked = JSON.stringify(question);
    if (this.kept.get(piece.id)?.asked === asked) return;
    /** @type {Kept} */
    const row = {
      asked,
      answer: null,
      refused: null,
      lacks: !question.currency || question.rate == null,
    };
    this.kept.set(piece.id, row);
    await learnDigits(store);
    try {
      if (!row.lacks) row.answer = await store.ask(question);
    } catch (error) {
      row.refused = /** @type {Fault} */ (error);
    }
    this.redraw();
  }

  /** @param {Piece} piece */
  inside(piece) {
    const kept = this.kept.get(piece.id),
      plan = store.answers.plan(piece.id);
    const missing = plan ? unpriced(store, plan) : [];
    if (kept && !this.rates.has(piece.id))
      this.rates.set(piece.id, Boolean(kept.refused || kept.lacks));
    return html`${this.total(piece, kept)}
      ${kept?.answer && missing.length ? html`<p class="message warn">${text.notPriced(missing.join(", "))}</p>` : null}
      ${costsForm(piece, plan, digitsOf(store))}
      <details ?open=${this.rates.get(piece.id)}><summary>${text.rates}</summary>${ratesForm(piece.id, digitsOf(store), kept?.refused ?? null)}</details>`;
  }

  /** @param {Piece} piece @param {Kept | undefined} kept */
  total(piece, kept) {
    if (kept?.lacks) return html`<p>${text.priceLacks}</p>`;
    if (kept?.refused)
      return html`<p class="message bad">${kept.refused.field === "currency" ? text.currencyUnknown : kept.refused.why}</p>`;
    const a = kept?.answer;
    if (!a) return html`<p class="soft">${text.workingOutPrice}</p>`;
    const line = (
      /** @type {string} */ name,
      /** @type {import("../../answers").Money} */ v,
      why = "",
      strong = false,
    ) =>
      html`<tr class=${strong ? "total" : ""}><th scope="row">${name}${why ? html` <small class="soft">${why}</small>` : null}</th><td class="n">${sum(v.p50, a)}</td><td class="n">${sum(v.p80, a)}</td></tr>`;
    return html`<p class="verdict"><span class="soft">${text.priceAbout}</span><strong>${text.priceRange(a.currency, sum(a.total.p50, a), sum(a.total.p80, a))}</strong></p>
      <p class="soft">${a.note} ${this.spent.get(piece.id)?.hours ? text.hoursIncluded(hours(this.spent.get(piece.id)?.hours)) : null}</p>
      <div class="scroll" tabindex="0" role="region" aria-label=${text.priceOf(piece.name)}><table class="money">
        <thead><tr><th>${a.currency}</th><th class="n">${text.columns.likely}</th><th class="n">${text.columns.safe}</th></tr></thead>
        <tbody>${a.lines.filter((l) => l.p80).map((l) => line(l.name, l, l.why))}
          ${line(text.total, a.total, "", true)}${a.deposit.p80 ? html`${line(label("deposit_percent"), a.deposit)}${line(text.balance, a.balance)}` : null}</tbody></table></div>`;
  }
}

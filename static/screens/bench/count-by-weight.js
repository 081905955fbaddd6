// Counting by weight: what the scale shows, what the engine works out from it, and one touch to count it.
import { bench as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { html } from "../../vendor/lit-html.js";
import { label } from "../../format/labels.js";
import { figure } from "../../format/numbers.js";
import { amount, minutes } from "../../format/words.js";
import { errorText, inputField } from "../../ui/form-fields.js";
import { typedNumber } from "../../format/parse-number.js";
import { richText } from "../../ui/rich-text.js";

const MANY_TIMES = 2; // more work than so many times the clock was not all made while it ran

/** @typedef {keyof typeof text.weighHints} WeighField */
/** @type {[WeighField, string][]} each field and where the engine has it */
const FIELDS = [
  ["rings", "reference.rings"],
  ["grams", "reference.grams"],
  ["scale_g", "scale_g"],
  ["spread_percent", "spread_percent"],
  ["batch_g", "batch_g"],
];

export class CountByWeight {
  /**
   * @param {(n: number) => void} count @param {(n: number) => void} countBefore made before the clock ran
   * @param {() => void} redraw
   */
  constructor(count, countBefore, redraw) {
    this.count = count;
    this.countBefore = countBefore;
    this.piece = "";
    this.redraw = redraw;
    this.step = "";
    /** @type {Record<string, string>} */
    this.typed = {};
    /** @type {import("../../answers").WeighAnswer | null} */
    this.answer = null;
    /** @type {import("../../types").Fault | null} */
    this.refused = null;
  }

  /** @param {string} piece @param {string} step each step has its own sample */
  open(piece, step) {
    this.piece = piece;
    this.step = step;
    this.typed = {
      scale_g: "0.1",
      spread_percent: "1.5",
      ...store.own(`weigh:${step}`, {}),
      batch_g: "",
    };
    this.answer = this.refused = null;
  }

  /** @param {Event} event */
  async ask(event) {
    event.preventDefault();
    const [rings, grams, scale_g, spread_percent, batch_g] = FIELDS.map(([name]) =>
      typedNumber(this.typed[name] ?? ""),
    );
    this.answer = this.refused = null;
    try {
      this.answer = await store.ask({
        ask: "weigh",
        reference: { rings, grams },
        scale_g,
        spread_percent,
        batch_g,
      });
      await store.setOwn(`weigh:${this.step}`, { ...this.typed, batch_g: "" });
    } catch (error) {
      this.refused = /** @type {import("../../types").Fault} */ (error);
    }
    this.redraw();
  }

  /** @param {string} name */
  #bad(name) {
    const at = this.refused?.field?.split(".").pop();
    return this.refused && at === name ? this.refused.why : "";
  }

  /** @param {string} items */
  view(items) {
    const known = FIELDS.some(([name]) => this.#bad(name));
    return html`<form class="weigh" @submit=${(/** @type {Event} */ e) => this.ask(e)}><h3>${text.countByWeight}</h3>
      <div class="pair">${FIELDS.map(([name, path]) =>
        inputField(`weigh-${name}`, label(path), {
          part: name === "batch_g" ? "weigh" : name,
          mode: "decimal",
          value: this.typed[name],
          hint: text.weighHints[name],
          error: this.#bad(name),
          alert: true,
          onInput: (/** @type {Event} */ e) => {
            this.typed[name] = /** @type {HTMLInputElement} */ (e.target).value;
          },
        }),
      )}</div>
      <button type="submit">${text.workItOut}</button>
      ${this.refused && !known ? errorText(this.refused.why) : null}
      ${this.answer ? this.#result(this.answer, items) : null}</form>`;
  }

  /**
   * Where the clock runs at this step: how much work so many are, and how long it has run, min.
   * @param {number} n
   */
  #work(n) {
    const { shown: clock } = store.clock;
    if (!clock?.running || clock.piece !== this.piece || clock.step !== this.step) return null;
    const pace = store.answers.forecast?.pace?.find((p) => p.step === this.step);
    return { work: n * (pace?.min_per_item?.p50 ?? 0), ran: store.clock.open.minutes() };
  }

  /** @param {number} n */
  #buttons(n) {
    const time = this.#work(n);
    const many = time !== null && time.work > MANY_TIMES * time.ran + 1;
    const all = html`<button type="button" class=${many ? "" : "main"} @click=${() => this.count(n)}>${text.countThese(figure(n))}</button>`;
    if (!time) return all;
    return html`${many ? html`<p role="alert">${text.weighedWork(minutes(time.work), minutes(time.ran))}</p>` : null}
      <div class="row">${all}<button type="button" class=${many ? "main" : ""} @click=${() => this.countBefore(n)}>${text.madeBefore}</button></div>`;
  }

  /** @param {import("../../answers").WeighAnswer} answer @param {string} items */
  #result(answer, items) {
    const {
      count,
      low,
      high,
      certain_within: within,
      need_reference: need,
      largest_batch: largest,
    } = answer;
    const [about, from, to] = [amount(count, items), figure(low), figure(high)];
    const result =
      within == null
        ? text.weighed(about, from, to)
        : text.weighedWithin(about, from, to, figure(within, within < 10 ? 1 : 0));
    return html`<div class="weigh-result" role="status"><p>${richText(result, "figure")}</p>
      ${need != null && need < count ? html`<p class="soft">${text.sampleNeeded(figure(need))}</p>` : null}
      ${largest != null ? html`<p class="soft">${text.largestHeap(figure(largest))}</p>` : null}
      ${this.#buttons(count)}</div>`;
  }
}

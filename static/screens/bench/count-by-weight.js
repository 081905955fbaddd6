// Counting by weight: what the scale says, what the engine makes of it, and one touch to count it.
import { store } from "../../store/store.js";
import { html } from "../../vendor/lit-html.js";
import { figure } from "../../format/numbers.js";
import { amount } from "../../format/words.js";
import { typedNumber } from "../../format/parse-number.js";

/** @type {[string, string, string][]} field, label, hint */
const FIELDS = [
  ["rings", "Reference: how many", "Counted by hand, from the mixed batch."],
  ["grams", "Reference weighs, g", ""],
  ["scale_g", "Smallest step of the scale, g", "0.1 or 0.01, as it shows."],
  [
    "spread_percent",
    "Rings differ by, %",
    "Spread of single rings around their mean; 1 to 2 where the wire is even.",
  ],
  ["batch_g", "Batch weighs, g", "In the same state as the reference: oil, scale, rivets."],
];

export class WeighPart {
  /** @param {(n: number) => void} take @param {() => void} redraw */
  constructor(take, redraw) {
    this.take = take;
    this.redraw = redraw;
    this.step = "";
    /** @type {Record<string, string>} */
    this.typed = {};
    /** @type {any} */
    this.answer = null;
    /** @type {{field: string, why: string} | null} */
    this.refused = null;
  }

  /** @param {string} step each step keeps its own reference */
  begin(step) {
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
      this.refused = /** @type {any} */ (error);
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
    return html`<form class="weigh" @submit=${(/** @type {Event} */ e) => this.ask(e)}><h3>Count by weight</h3>
      <div class="pair">${FIELDS.map(
        ([
          name,
          label,
          hint,
        ]) => html`<div class="field"><label for=${`weigh-${name}`}>${label}</label>
        <input id=${`weigh-${name}`} data-part=${name === "batch_g" ? "weigh" : name} inputmode="decimal" autocomplete="off" aria-invalid=${this.#bad(name) ? "true" : "false"}
          .value=${this.typed[name] ?? ""} @input=${(/** @type {Event} */ e) => {
            this.typed[name] = /** @type {HTMLInputElement} */ (e.target).value;
          }}>
        ${hint ? html`<p class="hint">${hint}</p>` : null}${this.#bad(name) ? html`<p class="bad" role="alert">${this.#bad(name)}</p>` : null}</div>`,
      )}</div>
      <button type="submit">Reckon</button>
      ${this.refused && !known ? html`<p class="bad" role="alert">${this.refused.why}</p>` : null}
      ${this.answer ? this.#result(items) : null}</form>`;
  }

  /** @param {string} items */
  #result(items) {
    const {
      count,
      low,
      high,
      certain_within: within,
      need_reference: need,
      largest_batch: largest,
    } = this.answer;
    return html`<div class="weigh-result" role="status"><p><b class="figure">About ${amount(count, items)}</b>, between ${figure(low)} and ${figure(high)} in 95 of 100 such weighings${within != null ? ` (give or take ${figure(within, within < 10 ? 1 : 0)})` : ""}.</p>
      ${need != null ? html`<p class="soft">For a count right to one: weigh a reference of ${figure(need)}.</p>` : null}
      ${largest != null ? html`<p class="soft">With this reference, batches up to ${figure(largest)} are right to one.</p>` : null}
      <button type="button" class="main" @click=${() => this.take(count)}>Count these ${figure(count)}</button></div>`;
  }
}

// 'Set the count to what is here': what the maker counts by hand at a step overrules the log.
import { ui as text } from "../texts/texts.js";
import { store } from "../store/store.js";
import { html } from "../vendor/lit-html.js";
import { figure } from "../format/numbers.js";
import { upper } from "../format/words.js";
import { hereBy, setCount } from "../store/stocktake.js";
import { inputField } from "./form-fields.js";
import { stocktakeWords } from "../format/count-words.js";

const MOST = 1000000,
  MANY = 100;

/** @param {string} typed @returns {number | null} a whole number from 0 */
const counted = (typed) => {
  const n = Number(typed.replace(/\s/g, ""));
  return typed.trim() && Number.isInteger(n) && n >= 0 && n <= MOST ? n : null;
};

/**
 * What is to be counted, and the count so far.
 * @param {import("../store/stocktake.js").Here} here
 * @param {import("../answers").PlannedStep | undefined} planned
 */
function question({ what, n }, planned) {
  const items = planned?.items ?? text.items,
    count = n < 0 ? text.noneAndMissing(figure(-n)) : figure(n);
  return what === "loose" ? text.notUsed(items, count) : text.doneInAll(items, count);
}

export class SetCountForm {
  /**
   * @param {string} id of its field: it stands on more than one screen
   * @param {() => void} redraw
   * @param {(words: string) => void} done called when the count is set
   */
  constructor(id, redraw, done) {
    this.id = id;
    this.redraw = redraw;
    this.done = done;
    this.piece = this.step = this.typed = this.why = this.message = "";
    /** @type {import("../store/stocktake.js").Here | null} */
    this.here = null;
    /** @type {number | null} found, but so far from the count that it is asked about */
    this.far = null;
  }

  /** @param {string} piece @param {string} step */
  async open(piece, step) {
    Object.assign(this, { piece, step, typed: "", why: "", message: "", far: null, here: null });
    await this.load();
  }

  /** Reads the count so far. */
  async load() {
    const { piece, step } = this,
      here = piece && step ? await hereBy(store, piece, step) : null;
    if (piece !== this.piece || step !== this.step) return;
    this.here = here;
    this.redraw();
  }

  /** @param {Event} event */
  async submit(event) {
    event.preventDefault();
    const found = counted(this.typed);
    this.message = "";
    this.why = found === null ? text.countToSet : "";
    const off = found === null || !this.here ? 0 : Math.abs(found - this.here.n);
    this.far = found !== null && off > Math.max(MANY, this.here?.n ?? 0) ? found : null;
    if (found === null || this.far !== null) return this.redraw();
    await this.set(found);
  }

  /** @param {number} found */
  async set(found) {
    this.far = null;
    const change = await setCount(store, this.piece, this.step, found).catch(() => undefined); // the store reports what was not saved
    if (change === undefined) return this.redraw();
    this.typed = "";
    this.message = change
      ? `${upper(stocktakeWords(change))}.`
      : text.countIsAlready(figure(found));
    await this.load();
    if (change) this.done(this.message);
  }

  /** @param {import("../answers").PlannedStep | undefined} planned the plan's row of the step */
  view(planned) {
    const { here, why, far } = this;
    return html`<form class="here" aria-label=${text.setCountToHere} @submit=${(/** @type {Event} */ e) => this.submit(e)}>
      ${inputField(this.id, here ? question(here, planned) : text.howMany, {
        part: "here",
        mode: "numeric",
        value: this.typed,
        error: why,
        alert: true,
        beside: html`<button type="submit" ?disabled=${!here}>${text.setCount}</button>`,
        onInput: (e) => {
          this.typed = e.target.value;
          this.far = null;
        },
      })}
      ${
        far !== null && here
          ? html`<div class="caution" role="alert"><p>${(far > here.n ? text.moreThanCount : text.fewerThanCount)(figure(Math.abs(far - here.n)), figure(far))}</p>
        <div class="row"><button type="button" @click=${() => this.set(far)}>${text.setCountTo(figure(far))}</button>
        <button type="button" @click=${() => {
          this.far = null;
          this.redraw();
        }}>${text.no}</button></div></div>`
          : null
      }
      ${this.message ? html`<p role="status">${this.message}</p>` : html`<p class="soft">${text.paceUnchanged}</p>`}</form>`;
  }
}

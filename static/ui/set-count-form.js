// 'Set the count to what lies here': the number the maker counts by hand at a step goes before what the log says.
import { store } from "../store/store.js";
import { html } from "../vendor/lit-html.js";
import { figure } from "../format/numbers.js";
import { hereBy, setCount } from "../store/stocktake.js";
import { saidStocktake } from "../format/count-words.js";

const MOST = 1000000,
  MANY = 100;

/** @param {string} typed @returns {number | null} a whole number from 0 */
const counted = (typed) => {
  const n = Number(typed.replace(/\s/g, ""));
  return typed.trim() && Number.isInteger(n) && n >= 0 && n <= MOST ? n : null;
};

/** What is to be counted, and what the log says of it. @param {import("../store/stocktake.js").Here} here @param {any} planned */
function wanted({ what, n }, planned) {
  const items = planned?.items ?? "items",
    says = n < 0 ? `none, and ${figure(-n)} ${n === -1 ? "is" : "are"} missing` : figure(n);
  return what === "loose"
    ? `How many ${items} lie here, not yet used? By the count: ${says}.`
    : `How many good ${items} are done in all? By the count: ${says}.`;
}

export class HerePart {
  /** @param {string} id of its field: it stands on more than one screen @param {() => void} redraw @param {(words: string) => void} done told when the count is set */
  constructor(id, redraw, done) {
    this.id = id;
    this.redraw = redraw;
    this.done = done;
    this.piece = this.step = this.typed = this.why = this.said = "";
    /** @type {import("../store/stocktake.js").Here | null} */
    this.here = null;
    /** @type {number | null} found, but so far from the count that it is asked about */
    this.far = null;
  }

  /** @param {string} piece @param {string} step */
  async begin(piece, step) {
    Object.assign(this, { piece, step, typed: "", why: "", said: "", far: null, here: null });
    await this.look();
  }

  /** What the log says now. */
  async look() {
    const { piece, step } = this,
      here = piece && step ? await hereBy(store, piece, step) : null;
    if (piece !== this.piece || step !== this.step) return;
    this.here = here;
    this.redraw();
  }

  /** @param {Event} event */
  async take(event) {
    event.preventDefault();
    const found = counted(this.typed);
    this.said = "";
    this.why =
      found === null ? "Type how many you counted: a whole number from 0 to 1 000 000." : "";
    const off = found === null || !this.here ? 0 : Math.abs(found - this.here.n);
    this.far = found !== null && off > Math.max(MANY, this.here?.n ?? 0) ? found : null;
    if (found === null || this.far !== null) return this.redraw();
    await this.set(found);
  }

  /** @param {number} found */
  async set(found) {
    this.far = null;
    const change = await setCount(store, this.piece, this.step, found).catch(() => undefined); // what was not saved is told above
    if (change === undefined) return this.redraw();
    this.typed = "";
    this.said = change
      ? `C${saidStocktake(change).slice(1)}.`
      : `The count says ${figure(found)} already. Nothing is changed.`;
    await this.look();
    if (change) this.done(this.said);
  }

  /** @param {any} planned the plan's row of the step */
  view(planned) {
    const { here, why, far } = this;
    return html`<form class="here field" aria-label="Set the count to what lies here" @submit=${(/** @type {Event} */ e) => this.take(e)}>
      <label for=${this.id}>${here ? wanted(here, planned) : "How many lie here?"}</label>
      <div class="row narrow"><input id=${this.id} data-part="here" inputmode="numeric" autocomplete="off" aria-invalid=${why ? "true" : "false"} .value=${this.typed}
        @input=${(/** @type {Event} */ e) => {
          this.typed = /** @type {HTMLInputElement} */ (e.target).value;
          this.far = null;
        }}>
      <button type="submit" ?disabled=${!here}>Set the count</button></div>
      ${why ? html`<p class="bad" role="alert">${why}</p>` : null}
      ${
        far !== null && here
          ? html`<div class="caution" role="alert"><p>That is ${figure(Math.abs(far - here.n))} ${far > here.n ? "more" : "fewer"} than the count says. Set it to ${figure(far)}?</p>
        <div class="row"><button type="button" @click=${() => this.set(far)}>Set it to ${figure(far)}</button>
        <button type="button" @click=${() => {
          this.far = null;
          this.redraw();
        }}>No</button></div></div>`
          : null
      }
      ${this.said ? html`<p role="status">${this.said}</p>` : html`<p class="soft">Neither your pace nor your losses change: the difference was not made or spoiled now.</p>`}</form>`;
  }
}

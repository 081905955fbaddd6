// The newest count and how to take it back; the last fifty in a list, each with what it was.
import { store } from "../../store/store.js";
import { html, render } from "../../vendor/lit-html.js";
import { saidCount } from "../../format/count-words.js";
import { figure } from "../../format/numbers.js";

/** @typedef {import("../../types").Change} Change */

const clock = new Intl.DateTimeFormat("en-GB", {
  hour: "2-digit",
  minute: "2-digit",
  second: "2-digit",
});

/** In the two lines of the button. @param {Change} change @param {string} name of its lane */
const shortly = (change, name) =>
  change.how === "stocktake"
    ? `the count set to ${figure(change.found ?? 0)} in ${name}`
    : saidCount(change, name);

export class Undo {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.root = document.createElement("div");
    this.root.className = "undo";
    this.button = document.createElement("button");
    this.button.type = "button";
    this.button.className = "undo-last";
    this.button.addEventListener("click", () => this.back());
    this.what = document.createElement("span");
    this.button.append(this.what);
    this.list = document.createElement("button");
    this.list.type = "button";
    this.list.className = "undo-list";
    this.list.textContent = "Last 50";
    this.list.addEventListener("click", () => this.open());
    this.root.append(this.button, this.list);
    this.dialog = document.createElement("dialog");
    this.dialog.className = "sheet-up";
    this.dialog.setAttribute("aria-label", "The last 50 counts");
    addEventListener("hashchange", () => this.dialog.close());
    this.root.append(this.dialog);
    this.newest(null);
  }

  /** @param {Change | null | undefined} change */
  newest(change) {
    this.button.disabled = !change;
    const text = change
      ? `Undo ${shortly(change, this.bench.nameOf(change.piece ?? "", change.step ?? ""))}`
      : "Nothing to undo";
    if (this.what.textContent !== text) this.what.textContent = text; // the same words again would lay the screen out anew
  }

  async look() {
    this.newest((await store.undoable())[0]);
  }

  /** @param {Change} [which] */
  async back(which) {
    await store.undo(which);
    await this.look();
    if (this.dialog.open) await this.open();
  }

  async open() {
    const rows = await store.undoable();
    const name = (/** @type {Change} */ c) => this.bench.nameOf(c.piece ?? "", c.step ?? "");
    render(
      html`<h2>The last ${rows.length === 1 ? "count" : `${rows.length} counts`} of this device</h2>
      <ul class="undo-rows">${rows.map(
        (
          c,
        ) => html`<li><span>${saidCount(c, name(c))}<br><span class="soft">${clock.format(new Date(c.at))}</span></span>
        <button type="button" @click=${() => this.back(c)} aria-label=${`Undo ${saidCount(c, name(c))}, ${clock.format(new Date(c.at))}`}>Undo</button></li>`,
      )}</ul>
      <button type="button" class="main" @click=${() => this.dialog.close()}>Done</button>`,
      this.dialog,
    );
    if (!this.dialog.open) this.dialog.showModal();
  }
}

// The newest count and how to take it back; the last fifty in a list.
import { bench as text, format } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { html, render } from "../../vendor/lit-html.js";
import { countWords, shortCountWords } from "../../format/count-words.js";

/** @typedef {import("../../types").Change} Change */

const clock = new Intl.DateTimeFormat(format.locale, {
  hour: "2-digit",
  minute: "2-digit",
  second: "2-digit",
});

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
    this.list.textContent = text.lastTaps;
    this.list.addEventListener("click", () => this.open());
    this.root.append(this.button, this.list);
    this.dialog = document.createElement("dialog");
    this.dialog.className = "sheet-up";
    this.dialog.setAttribute("aria-label", text.lastTaps);
    addEventListener("hashchange", () => this.dialog.close());
    this.root.append(this.dialog);
    this.newest(null);
  }

  /** @param {Change | null | undefined} change */
  newest(change) {
    this.button.disabled = !change;
    const words = change
      ? text.undoOf(
          shortCountWords(change, this.bench.nameOf(change.piece ?? "", change.step ?? "")),
        )
      : text.nothingToUndo;
    if (this.what.textContent !== words) this.what.textContent = words; // else the browser would lay out the screen again
  }

  async refresh() {
    this.newest((await store.counting.undoable())[0]);
  }

  /** @param {Change} [which] */
  async back(which) {
    await store.counting.undo(which);
    await this.refresh();
    if (this.dialog.open) await this.open();
  }

  async open() {
    const rows = await store.counting.undoable();
    const name = (/** @type {Change} */ c) => this.bench.nameOf(c.piece ?? "", c.step ?? "");
    render(
      html`<h2>${text.lastCounts(`${rows.length}`)}</h2>
      <ul class="undo-rows">${rows.map(
        (
          c,
        ) => html`<li><span>${countWords(c, name(c))}<br><span class="soft">${clock.format(new Date(c.at))}</span></span>
        <button type="button" @click=${() => this.back(c)}
          aria-label=${text.undoAt(countWords(c, name(c)), clock.format(new Date(c.at)))}>${text.undo}</button></li>`,
      )}</ul>
      <button type="button" class="main" @click=${() => this.dialog.close()}>${text.done}</button>`,
      this.dialog,
    );
    if (!this.dialog.open) this.dialog.showModal();
  }
}

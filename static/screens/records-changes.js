// Every change ever said, newest first: what, when, on which device, and whether it was taken back.
import { html } from "../vendor/lit-html.js";
import { store } from "../store.js";
import { moment } from "../plainly.js";
import { deviceName, inWords } from "./change-words.js";

const PAGE = 40;

export class Changes {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {(import("../types").Change & {undone: boolean})[]} */
    this.rows = [];
    this.more = true;
  }

  async load() {
    this.rows = await store.changes(PAGE);
    this.more = this.rows.length === PAGE;
  }

  async older() {
    const next = await store.changes(PAGE, this.rows[this.rows.length - 1]);
    this.rows.push(...next);
    this.more = next.length === PAGE;
    this.redraw();
  }

  view() {
    if (!this.rows.length) return html`<p>Nothing has been said yet.</p>`;
    return html`<ol class="plain log">${this.rows.map((c) => html`<li><span class=${c.undone ? "gone" : ""}>${inWords(c)}</span>${c.undone ? html` <span class="tag">↶ taken back</span>` : null}
        <small class="soft">${moment(c.at)} · ${deviceName(c.device)}</small></li>`)}</ol>
      ${this.more ? html`<button @click=${() => this.older()}>Older changes</button>` : html`<p class="soft">That is the beginning.</p>`}`;
  }
}

// The same field said by two devices: the later holds, the other stays readable and can be put back.
import { html } from "../vendor/lit-html.js";
import { store } from "../store.js";
import { moment } from "../plainly.js";
import { deviceName, fieldWords, valueWords } from "./change-words.js";
import { saidTwice } from "../twice.js";

export class TwoValues {
  /** @param {() => void} redraw @param {(words: string) => void} say */
  constructor(redraw, say) {
    this.redraw = redraw;
    this.say = say;
    /** @type {ReturnType<typeof saidTwice>} */
    this.rows = [];
  }

  async load() {
    this.rows = saidTwice(await store.sets());
  }

  /** @param {import("../types").Change} lost */
  async restore(lost) {
    await store.set(lost.thing ?? "", lost.id ?? "", { [lost.field ?? ""]: lost.value });
    await this.load();
    this.say(`${valueWords(lost.value)} is put back.`);
  }

  view() {
    if (!this.rows.length) return html`<p>No value was said differently on two devices.</p>`;
    return html`<p class="soft">Where two devices said different things of the same field, the later holds. Nothing is lost: put the other back if it was right.</p>
      <ul class="plain">${this.rows.map(({ won, lost }) => html`<li class="sheet"><h3>${store.thing(won.thing ?? "", won.id ?? "")?.name ?? won.thing}: ${fieldWords(won.field ?? "")}</h3>
        <p>● Holds: <strong>${valueWords(won.value)}</strong> <small class="soft">${moment(won.at)}, ${deviceName(won.device)}</small></p>
        ${lost.map((c) => html`<p class="row between"><span>○ Gave way: <strong>${valueWords(c.value)}</strong> <small class="soft">${moment(c.at)}, ${deviceName(c.device)}</small></span>
          <button @click=${() => this.restore(c)} aria-label=${`Put back ${valueWords(c.value)}`}>Put it back</button></p>`)}</li>`)}</ul>`;
  }
}

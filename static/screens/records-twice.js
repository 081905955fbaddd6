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

  /** @param {import("../types").Change} lost @param {unknown} value @param {string} words */
  async decide(lost, value, words) {
    await store.decide(lost, value);
    await this.load();
    this.say(words);
  }

  view() {
    if (!this.rows.length) return html`<p>No value was said differently on two devices.</p>`;
    return html`<p class="soft">Two devices said different things of the same field before they met. The later holds until you decide; nothing is lost.</p>
      <ul class="plain">${this.rows.map((row) => this.row(row))}</ul>`;
  }

  /** @param {ReturnType<typeof saidTwice>[number]} row */
  row({ won, lost }) {
    const name = store.thing(won.thing ?? "", won.id ?? "")?.name ?? won.thing, holds = valueWords(won.value);
    return html`<li class="sheet"><h2>${name}: ${fieldWords(won.field ?? "")}</h2>
      <p>● Holds: <strong>${holds}</strong> <small class="soft">${moment(won.at)}, ${deviceName(won.device)}</small></p>
      ${lost.map((c) => html`<p>○ Gave way: <strong>${valueWords(c.value)}</strong> <small class="soft">${moment(c.at)}, ${deviceName(c.device)}</small></p>
        <div class="row"><button @click=${() => this.decide(c, c.value, `${valueWords(c.value)} is put back.`)} aria-label=${`Put back ${valueWords(c.value)}`}>Put back</button>
          <button @click=${() => this.decide(c, won.value, `${holds} stays.`)} aria-label=${`Leave ${holds}`}>Leave</button></div>`)}</li>`;
  }
}

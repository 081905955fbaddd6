// The log as it can be read: every change ever said, newest first; and what counts nothing yet: changes
// the server set aside, and contacts held as perhaps one tap; and what two devices said of one field:
// the later holds, the other stays readable and can be put back.
import { html } from "../../vendor/lit-html.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { moment, several, stepName } from "../../format/words.js";
import { inFormWords } from "../../format/labels.js";
import { deviceName, fieldLabel, inWords, thingName, valueWords } from "./change-words.js";
import { conflicts } from "../../log/conflicts.js";

/** @typedef {import("../../types").Change} Change */

const PAGE = 40;

export class Changes {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {(Change & {undone: boolean})[]} */
    this.rows = [];
    this.more = true;
  }

  async load() {
    this.rows = await history.changesByTime(PAGE);
    this.more = this.rows.length === PAGE;
  }

  async older() {
    const next = await history.changesByTime(PAGE, this.rows[this.rows.length - 1]);
    this.rows.push(...next);
    this.more = next.length === PAGE;
    this.redraw();
  }

  view() {
    if (!this.rows.length) return html`<p>Nothing has been said yet.</p>`;
    return html`<ol class="plain log">${this.rows.map(
      (
        c,
      ) => html`<li><span class=${c.undone ? "gone" : ""}>${inWords(c)}</span>${c.undone ? html` <span class="tag">↶ taken back</span>` : null}
        <small class="soft">${moment(c.at)} · ${deviceName(c.device)}</small></li>`,
    )}</ol>
      ${this.more ? html`<button @click=${() => this.older()}>Older changes</button>` : html`<p class="soft">That is the beginning.</p>`}`;
  }
}

export class PutAside {
  /** @param {() => void} redraw @param {(words: string) => void} say */
  constructor(redraw, say) {
    this.redraw = redraw;
    this.say = say;
    /** @type {{seq: number, why: string, change: Change | null}[]} */
    this.refused = [];
    /** @type {Change[]} */
    this.holds = [];
  }

  async load() {
    const refused = await history.refused();
    this.refused = await Promise.all(
      refused.map(async (r) => ({ ...r, change: await history.change(store.device, r.seq) })),
    );
    this.holds = await history.unansweredHolds();
  }

  /** @param {Change} c */
  async count(c) {
    await store.counting.count(c.piece ?? "", c.step ?? "", c.n ?? 1, {
      how: "hand",
      holds: { device: c.device, seq: c.seq },
    }).saved;
    await this.load();
    this.say(`Counted ${several(c.n ?? 1, "item")}.`);
  }

  view() {
    return html`<h2>Set aside by the server</h2>
      ${this.refused.length ? html`<p class="soft">These could not be taken there; everything else was. They stay on this device.</p><ul class="plain">${this.refused.map((r) => html`<li class="sheet"><p>${r.change ? inWords(r.change) : "A change of this device"}</p><p class="told bad">${inFormWords(r.why)}</p></li>`)}</ul>` : html`<p>Nothing was set aside.</p>`}
      <h2>Perhaps taps</h2>
      ${
        this.holds.length
          ? html`<p class="soft">A second contact too soon after the first is held apart. It counts only if you say so.</p>
        <ul class="plain">${this.holds.map(
          (
            c,
          ) => html`<li class="row between"><span>${several(c.n ?? 1, "item")}, ${stepName(store, c.step ?? "")}, ${store.thing("piece", c.piece ?? "")?.name ?? "a piece no longer kept"} <small class="soft">${moment(c.at)}</small></span>
          <button @click=${() => this.count(c)} aria-label=${`Count it: the contact of ${moment(c.at)}`}>Count it</button></li>`,
        )}</ul>`
          : html`<p>No contact is held apart.</p>`
      }`;
  }
}

export class TwoValues {
  /** @param {() => void} redraw @param {(words: string) => void} say */
  constructor(redraw, say) {
    this.redraw = redraw;
    this.say = say;
    /** @type {ReturnType<typeof conflicts>} */
    this.rows = [];
  }

  async load() {
    this.rows = conflicts(await history.sets());
  }

  /** @param {Change} lost @param {unknown} value @param {string} words */
  async decide(lost, value, words) {
    await history.resolveConflict(lost, value);
    await this.load();
    this.say(words);
  }

  view() {
    if (!this.rows.length) return html`<p>No value was said differently on two devices.</p>`;
    return html`<p class="soft">Two devices said different things of the same field before they met. The later holds until you decide; nothing is lost.</p>
      <ul class="plain">${this.rows.map((row) => this.row(row))}</ul>`;
  }

  /** @param {ReturnType<typeof conflicts>[number]} row */
  row({ won, lost }) {
    const thing = won.thing ?? "",
      field = won.field ?? "";
    const words = (/** @type {unknown} */ value) => valueWords(thing, field, value),
      holds = words(won.value);
    return html`<li class="sheet"><h2>${thingName(thing, won.id ?? "")}: ${fieldLabel(thing, field)}</h2>
      <p>● Holds: <strong>${holds}</strong> <small class="soft">${moment(won.at)}, ${deviceName(won.device)}</small></p>
      ${lost.map(
        (
          c,
        ) => html`<p>○ Gave way: <strong>${words(c.value)}</strong> <small class="soft">${moment(c.at)}, ${deviceName(c.device)}</small></p>
        <div class="row"><button @click=${() => this.decide(c, c.value, `${words(c.value)} is put back.`)} aria-label=${`Put back ${words(c.value)}`}>Put back</button>
          <button @click=${() => this.decide(c, won.value, `${holds} stays.`)} aria-label=${`Leave ${holds}`}>Leave</button></div>`,
      )}</li>`;
  }
}

// The log as it can be read: every change ever made, newest first; and what counts nothing yet: changes
// the server set aside, and contacts held as perhaps one tap; and what two devices wrote in one field:
// the later holds, the other stays readable and can be put back.
import { html } from "../../vendor/lit-html.js";
import { records as text, ui } from "../../texts/texts.js";
import { richText } from "../../ui/rich-text.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { moment, pieceName, several, stepName } from "../../format/words.js";
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
    if (!this.rows.length) return html`<p>${text.noChanges}</p>`;
    return html`<ol class="plain log">${this.rows.map(
      (
        c,
      ) => html`<li><span class=${c.undone ? "gone" : ""}>${inWords(c)}</span>${c.undone ? html` <span class="tag">${text.takenBack}</span>` : null}
        <small class="soft">${moment(c.at)} · ${deviceName(c.device)}</small></li>`,
    )}</ol>
      ${this.more ? html`<button @click=${() => this.older()}>${text.olderChanges}</button>` : html`<p class="soft">${text.firstChange}</p>`}`;
  }
}

export class PutAside {
  /** @param {() => void} redraw @param {(words: string) => void} say */
  constructor(redraw, say) {
    this.redraw = redraw;
    this.say = say;
    /** @type {Awaited<ReturnType<typeof history.refused>>} */
    this.refused = [];
    /** @type {Change[]} */
    this.holds = [];
  }

  async load() {
    this.refused = await history.refused();
    this.holds = await history.unansweredHolds();
  }

  /** @param {Change} c */
  async count(c) {
    await store.counting.count(c.piece ?? "", c.step ?? "", c.n ?? 1, {
      how: "hand",
      holds: { device: c.device, seq: c.seq },
    }).saved;
    await this.load();
    this.say(text.countedNow(several(c.n ?? 1, "item")));
  }

  /** It no longer counts here either. @param {Change} c */
  async takeOut(c) {
    await store.counting.undo(c);
    await this.load();
    this.say(text.takenOut(several(c.n ?? 0, "item")));
  }

  /** The same again, as a new entry that the server has not seen yet. @param {Change} c */
  async countAgain(c) {
    const { kind, piece = "", step = "", panel, n = 0, why } = c;
    await store.counting.undo(c);
    await (
      kind === "scrap"
        ? store.counting.scrap(piece, step, n, why)
        : store.counting.countByHand(piece, step, n, panel)
    ).saved;
    await this.load();
    this.say(text.countedAgain(several(n, "item")));
  }

  /** @param {PutAside["refused"][number]} row */
  putAside({ why, change, undone }) {
    const counts = change && (change.kind === "count" || change.kind === "scrap") && !change.undoes;
    return html`<li class="sheet"><p>${change ? inWords(change) : text.unknownChange}${undone ? html` <span class="tag">${text.takenBack}</span>` : null}</p>
      <p class="message bad">${inFormWords(why)}</p>
      ${
        counts && !undone
          ? html`<p>${text.countsHereOnly}</p><div class="row"><button @click=${() => this.countAgain(change)}>${text.countAgain}</button>
          <button @click=${() => this.takeOut(change)}>${text.takeOut}</button></div>`
          : null
      }</li>`;
  }

  view() {
    return html`<h2>${text.notUsed}</h2>
      ${this.refused.length ? html`<p class="soft">${text.notUsedAbout}</p><ul class="plain">${this.refused.map((r) => this.putAside(r))}</ul>` : html`<p>${text.nothingUnused}</p>`}
      <h2>${text.doubtfulTaps}</h2>
      ${
        this.holds.length
          ? html`<p class="soft">${text.doubtfulTapsAbout}</p>
        <ul class="plain">${this.holds.map(
          (
            c,
          ) => html`<li class="row between"><span>${text.withMore(several(c.n ?? 1, "item"), text.stepOf(stepName(store, c.step ?? ""), pieceName(store, c.piece)))} <small class="soft">${moment(c.at)}</small></span>
          <button @click=${() => this.count(c)} aria-label=${text.countTouch(moment(c.at))}>${ui.countIt}</button></li>`,
        )}</ul>`
          : html`<p>${text.noDoubtfulTaps}</p>`
      }`;
  }
}

/** When and where something was entered. @param {Change} c */
const when = (c) => text.withMore(moment(c.at), deviceName(c.device));

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
    if (!this.rows.length) return html`<p>${text.neverTwice}</p>`;
    return html`<p class="soft">${text.twiceAbout}</p>
      <ul class="plain">${this.rows.map((row) => this.row(row))}</ul>`;
  }

  /** @param {ReturnType<typeof conflicts>[number]} row */
  row({ won, lost }) {
    const thing = won.thing ?? "",
      field = won.field ?? "";
    const words = (/** @type {unknown} */ value) => valueWords(thing, field, value),
      now = words(won.value);
    return html`<li class="sheet"><h2>${text.of(thingName(thing, won.id ?? ""), fieldLabel(thing, field))}</h2>
      <p>${richText(text.usedNow(now))} <small class="soft">${when(won)}</small></p>
      ${lost.map(
        (
          c,
        ) => html`<p>${richText(text.replaced(words(c.value)))} <small class="soft">${when(c)}</small></p>
        <div class="row"><button @click=${() => this.decide(c, c.value, text.valueRestored(words(c.value)))} aria-label=${text.called(text.restore, words(c.value))}>${text.restore}</button>
          <button @click=${() => this.decide(c, won.value, text.valueStays(now))} aria-label=${text.called(text.keep, now)}>${text.keep}</button></div>`,
      )}</li>`;
  }
}

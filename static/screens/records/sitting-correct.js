// One sitting put right: piece, step, day, beginning, minutes, items; or deleted. What was said before stays in
// the log; a correction is a change of its own and can itself be corrected.
import { html } from "../../vendor/lit-html.js";
import { records as text, ui } from "../../texts/texts.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { day, minutes, several, some, stepName } from "../../format/words.js";
import { typedNumber } from "../../format/parse-number.js";
import { readSitting, showQuestion, sittingFields, stepsOf, tooEarly } from "./sitting-fields.js";

/** @typedef {import("./sitting-fields.js").Draft} Draft */
/** @typedef {import("./sittings.js").Row} Row */

/** @param {number} min of the day */
export const clockTime = (min) =>
  `${String(Math.floor(min / 60) % 24).padStart(2, "0")}:${String(min % 60).padStart(2, "0")}`;

/** Whether it was written in by hand, beginning and end in one breath. @param {Row} row */
const byHand = ({ events }) => {
  const start = events.find((e) => e.event === "start"),
    stop = events.find((e) => e.event === "stop");
  return Boolean(start && stop && start.at === stop.at && start.device === stop.device);
};

/**
 * All that a correction altered, as it is now.
 * @param {Row} row as it was
 * @param {Draft} draft
 * @param {{piece: string, step: string, minutes: number | null, items: number}} now
 *   `minutes` null where the time stays
 */
function altered(row, draft, now) {
  const corrected = [
    now.piece !== row.piece && store.thing("piece", now.piece)?.name,
    now.step !== row.step && stepName(store, now.step),
    draft.date !== row.date && day(draft.date),
    draft.time !== clockTime(row.start_min) && text.fromTime(draft.time),
    now.minutes !== null && minutes(now.minutes),
    now.items !== row.items && several(now.items, "item"),
  ].filter(Boolean);
  return corrected.length ? text.corrected(corrected.join(", ")) : text.nothingChanged;
}

export class CorrectSitting {
  /**
   * @param {() => void} redraw
   * @param {(words: string) => Promise<void>} done corrected: read the record again and say so
   */
  constructor(redraw, done) {
    this.redraw = redraw;
    this.done = done;
    this.id = "";
    /** @type {Draft} */
    this.draft = { piece: "", step: "", date: "", time: "", minutes: "", items: "" };
    /** @type {import("./sitting-fields.js").Fault | null} */
    this.fault = null;
    /** @type {"" | "early" | "delete"} */
    this.asks = "";
    this.question = "";
  }

  /** @param {Row} row @param {boolean} open */
  turn(row, open) {
    if (open === (this.id === row.sitting)) return;
    this.id = open ? row.sitting : "";
    this.fault = null;
    this.asks = "";
    this.draft = {
      piece: row.piece,
      step: row.step,
      date: row.date,
      time: clockTime(row.start_min),
      minutes: some(row.minutes, 4),
      items: String(row.items),
    };
    this.redraw();
  }

  /** @param {keyof Draft} field @param {string} value */
  set(field, value) {
    this.draft = { ...this.draft, [field]: value };
    if (
      field === "piece" &&
      stepsOf(value).length &&
      !stepsOf(value).some((s) => s.step === this.draft.step)
    )
      this.draft.step = stepsOf(value)[0].step;
    this.fault = null;
    this.asks = "";
    this.redraw();
  }

  /** @param {Row} row @param {Row[]} rows all sittings */
  view(row, rows) {
    if (store.clock.shown?.sitting === row.sitting) {
      return html`<p>${text.stopFirst}</p>
        <button type="button" class="wide" @click=${async () => {
          await store.clock.stop();
          await this.done(text.clockStopped);
        }}>${ui.stopClock}</button>`;
    }
    if (this.asks === "delete") return this.deletion(row);
    return html`<form novalidate @submit=${(/** @type {SubmitEvent} */ e) => {
      e.preventDefault();
      this.check(row, rows);
    }}>
      ${sittingFields("sit", this.draft, this.fault, (field, value) => this.set(field, value))}
      ${row.untimed ? html`<p class="hint">${text.withUntimed(several(row.untimed, "item"))}</p>` : null}
      ${
        this.asks === "early"
          ? html`<div class="ask" role="alert"><p>${this.question}</p><div class="row">
          <button type="button" class="main" @click=${() => this.correct(row)}>${text.correctYes}</button>
          <button type="button" @click=${() => {
            this.asks = "";
            this.redraw();
          }}>${text.changeDay}</button></div></div>`
          : html`<div class="row ends"><button class="main">${text.correct}</button><button type="button" @click=${() => {
              this.asks = "delete";
              this.redraw();
              showQuestion();
            }}>${text.deleteSitting}</button></div>`
      }</form>`;
  }

  /** @param {Row} row */
  deletion(row) {
    const hand = byHand(row),
      n = several(row.items, "item");
    const [words, ways] = !row.items
      ? [text.deleteEmpty, /** @type {[string, boolean][]} */ ([[text.deleteIt, false]])]
      : hand
        ? [text.deleteHand(n), /** @type {[string, boolean][]} */ ([[text.deleteItWith(n), true]])]
        : [
            text.deleteTapped(n),
            /** @type {[string, boolean][]} */ ([
              [text.deleteTimeKeep(n), false],
              [text.deleteTimeWith(n), true],
            ]),
          ];
    return html`<div class="ask" role="alert"><p>${words}</p><div class="row ends">
      ${ways.map(([label, uncounted], k) => html`<button type="button" class=${k ? "" : "main"} @click=${() => this.remove(row, uncounted)}>${label}</button>`)}
      <button type="button" @click=${() => {
        this.asks = "";
        this.redraw();
      }}>${text.keepSitting}</button></div></div>`;
  }

  /** @param {Row} row @param {Row[]} rows */
  check(row, rows) {
    const { read, fault } = readSitting(this.draft, { minutes: 0 });
    this.fault = fault;
    const moved = this.draft.date !== row.date || this.draft.piece !== row.piece;
    this.question = read && moved ? tooEarly(read.piece, this.draft.date, rows, row.sitting) : "";
    this.asks = this.question ? "early" : "";
    if (read && !this.question) {
      this.correct(row);
      return;
    }
    this.redraw();
    showQuestion();
  }

  /** Only what was altered is said: a time shown in whole minutes is not meant to the second. @param {Row} row */
  async correct(row) {
    const { read } = readSitting(this.draft, { minutes: 0 });
    if (!read) return this.redraw();
    const same = {
      time: this.draft.date === row.date && this.draft.time === clockTime(row.start_min),
      minutes: read.minutes === typedNumber(some(row.minutes, 4)),
    };
    const { from_ms, minutes: worked, ...rest } = read;
    await history.correctSitting(row.sitting, {
      ...rest,
      ...(same.time ? {} : { from_ms }),
      ...(same.minutes ? {} : { minutes: worked }),
    });
    this.id = "";
    this.asks = "";
    await this.done(altered(row, this.draft, { ...read, minutes: same.minutes ? null : worked }));
  }

  /** @param {Row} row @param {boolean} uncounted its counts go too */
  async remove(row, uncounted) {
    await history.correctSitting(row.sitting, { deleted: true, uncounted });
    this.id = "";
    this.asks = "";
    await this.done(uncounted ? text.deletedWith(several(row.items, "item")) : text.deleted);
  }
}

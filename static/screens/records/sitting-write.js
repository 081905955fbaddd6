// A sitting that was not tapped, written in afterwards. Piece, step and day stay for the next one, which
// begins where this one ended.
import { html } from "../../vendor/lit-html.js";
import { records as text } from "../../texts/texts.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { day, daysAfter, minutes, several, stepName } from "../../format/words.js";
import {
  after,
  piecesToSitAt,
  readSitting,
  showQuestion,
  sittingFields,
  stepsOf,
  tooEarly,
} from "./sitting-fields.js";

/** @typedef {import("./sitting-fields.js").Draft} Draft */

const LEAST_MIN = 0.1,
  EVENING = "19:00",
  OVER_H = 20;

/** The last evening that can have held a sitting: today's once it is over, else yesterday's. */
const lastEvening = () => (new Date().getHours() < OVER_H ? daysAfter(today(), -1) : today());

export class WriteSitting {
  /**
   * @param {() => void} redraw
   * @param {(words: string) => Promise<void>} done written: read the record again and say so
   */
  constructor(redraw, done) {
    this.redraw = redraw;
    this.done = done;
    /** @type {Draft} */
    this.draft = {
      piece: "",
      step: "",
      date: lastEvening(),
      time: EVENING,
      minutes: "",
      items: "",
    };
    /** @type {import("./sitting-fields.js").Fault | null} */
    this.fault = null;
    this.question = "";
    this.last = "";
  }

  /** @param {keyof Draft} field @param {string} value */
  set(field, value) {
    this.draft = { ...this.draft, [field]: value };
    if (field === "piece" && !stepsOf(value).some((s) => s.step === this.draft.step))
      this.draft.step = stepsOf(value)[0]?.step ?? "";
    if (this.fault?.field === field || (this.fault?.field === "time" && field === "minutes"))
      this.fault = null;
    this.question = "";
    this.redraw();
  }

  /** @param {{piece: string, date: string, sitting: string}[]} rows the sittings so far */
  view(rows) {
    const pieces = piecesToSitAt();
    if (!pieces.length) return null;
    if (!this.draft.piece)
      this.draft = { ...this.draft, piece: pieces[0].id, step: stepsOf(pieces[0].id)[0].step };
    return html`<details class="sheet"><summary>${text.addByHand}</summary>
      <form novalidate @submit=${(/** @type {SubmitEvent} */ e) => {
        e.preventDefault();
        this.check(rows);
      }}>
        ${sittingFields("fg", this.draft, this.fault, (field, value) => this.set(field, value))}
        ${
          this.question
            ? html`<div class="ask" role="alert"><p>${this.question}</p><div class="row">
            <button type="button" class="main" @click=${() => this.write()}>${text.addItYes}</button>
            <button type="button" @click=${() => {
              this.question = "";
              this.redraw();
            }}>${text.changeDay}</button></div></div>`
            : html`<button class="main wide">${text.addIt}</button>`
        }
        ${this.last ? html`<p role="status">${this.last}</p>` : null}
      </form></details>`;
  }

  /** @param {{piece: string, date: string, sitting: string}[]} rows */
  check(rows) {
    const { read, fault } = readSitting(this.draft, { minutes: LEAST_MIN });
    this.fault = fault;
    this.last = "";
    this.question = read ? tooEarly(read.piece, this.draft.date, rows) : "";
    if (read && !this.question) {
      this.write();
      return;
    }
    this.redraw();
    showQuestion();
  }

  async write() {
    const { read } = readSitting(this.draft, { minutes: LEAST_MIN });
    this.question = "";
    if (!read) return this.redraw();
    await history.writeSitting(
      read.piece,
      read.step,
      read.from_ms,
      read.from_ms + Math.round(read.minutes * 60000),
      read.items,
    );
    this.last = text.added(
      [
        stepName(store, read.step),
        day(this.draft.date),
        minutes(read.minutes),
        several(read.items, "item"),
      ].join(", "),
    );
    this.draft = { ...this.draft, ...after(this.draft, read.minutes), minutes: "", items: "" };
    await this.done(this.last);
  }
}

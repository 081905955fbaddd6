// The clock as the maker works it: start, pause, stop, and the gaps it asks about afterwards.
import * as log from "../log/log.js";
import { SittingClock, usualGapMinutes } from "./sitting-clock.js";

/** @typedef {import("../types").NewChange} NewChange */
/** @typedef {import("../types").Gap} Gap */

const MOST_MIN = 100000; // as much as a change may hold; a longer gap is a broken clock's

export class Clock {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {Gap[]} to be asked about, the oldest first */
    this.gaps = [];
    this.open = new SittingClock(null, (row) => this.usualMinutes(row));
  }

  /** @param {import("../types").Sitting | null} row the sitting that is open by the log */
  setSitting(row) {
    this.open = new SittingClock(row, (row) => this.usualMinutes(row));
  }

  /**
   * What a tap adds to the log besides itself, and whether it only starts the clock.
   * @param {string} piece
   * @param {string} step
   */
  tap(piece, step) {
    const closes = !this.open.isOn(piece, step); // a tap elsewhere ends the sitting at its last sign
    return this.open.tap(piece, step, this.store.newId(), this.noteGap(closes));
  }

  get sitting() {
    return this.open.row?.sitting;
  }

  /** What the screens show; null while no sitting is open. @returns {import("../types").ClockShown | null} */
  get shown() {
    const { row, state } = this.open;
    if (!row) return null;
    return {
      sitting: row.sitting,
      piece: row.piece,
      step: row.step,
      running: state === "running",
      paused: state === "paused",
      minutes: (now = Date.now()) => this.open.minutes(now),
    };
  }

  /** @param {NewChange[]} entries */
  async #save(entries) {
    if (!entries.length) return;
    this.store.emit("clock");
    await this.store.append(entries, { clock: this.sitting ?? null });
    this.store.emit("clock");
    this.store.answers.soon();
  }

  /** @param {string} piece @param {string} step */
  start(piece, step) {
    return this.#save(this.open.start(piece, step, this.store.newId(), this.noteGap()));
  }
  pause() {
    this.noteGap();
    return this.#save(this.open.pause(Date.now()));
  }
  resume() {
    return this.#save(this.open.resume(Date.now()));
  }
  stop() {
    this.noteGap();
    return this.#save(this.open.stop(Date.now()));
  }

  /** What stops the clock if it runs for this piece. @param {string} piece */
  stopOf(piece) {
    if (this.shown?.piece !== piece) return [];
    this.noteGap();
    return this.open.stop(Date.now());
  }

  /** @param {{piece: string, step: string}} place */
  usualMinutes({ piece, step }) {
    return usualGapMinutes(this.store.answers.minutesPerTap(piece, step));
  }

  /**
   * Look for a gap that ends now, and ask about it.
   * @param {boolean} [outside] the sitting ends before it
   * @returns {number} now
   */
  noteGap(outside = false) {
    const now = Date.now();
    const gap = this.open.gap(now);
    if (gap) this.#ask(outside ? { ...gap, outside } : gap);
    return now;
  }

  /** The page is looked at again. */
  awake() {
    this.noteGap();
    this.store.emit("clock");
  }

  /** @param {Gap} gap */
  #ask(gap) {
    this.gaps = [
      ...this.gaps.filter((g) => g.sitting !== gap.sitting || g.from_ms !== gap.from_ms),
      gap,
    ];
    log.setMeta({ gaps: this.gaps }).catch(() => {});
    this.store.emit("gap", { gap });
  }

  /** @param {number} keep_min of the oldest gap that is asked about */
  async answerGap(keep_min) {
    const gap = this.gaps.shift();
    if (!gap) return;
    const entries = this.open.answerGap(gap, Math.min(keep_min, MOST_MIN));
    if (entries.length) await this.store.append(entries);
    await log.setMeta({ gaps: this.gaps });
    this.store.emit("clock");
    this.store.answers.soon();
  }
}

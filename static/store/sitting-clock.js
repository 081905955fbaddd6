// The clock of the open sitting: one pair of hands, so one sitting is open at a time. It makes the
// changes (start, stop, pause) and never writes; the store saves them in one transaction with the tap.
import { benchMinutes, stateOf } from "../log/sitting.js";

/** @typedef {import("../types").NewChange} NewChange */
/** @typedef {import("../types").Sitting} Sitting */

const LONG_GAP_MIN = 10;

/**
 * The longest time without a tap that is usual at a step: thrice what the next tap should take.
 * @param {number} perTap minutes
 */
export const usualGapMinutes = (perTap) => Math.max(LONG_GAP_MIN, 3 * perTap);

export class SittingClock {
  /** @param {Sitting | null} row @param {(row: {piece: string, step: string}) => number} usualMinutes longest gap that is usual there */
  constructor(row, usualMinutes) {
    this.row = row && stateOf(row) !== "stopped" ? row : null;
    this.usualMinutes = usualMinutes;
  }

  get state() {
    return this.row ? stateOf(this.row) : "stopped";
  }

  /** When the bench last gave a sign, ms. */
  get lastSign() {
    if (!this.row) return 0;
    return this.row.events.reduce((last, e) => Math.max(last, e.t, e.to_ms ?? 0), this.row.last_ms);
  }

  /** @param {string} piece @param {string} step */
  isOn(piece, step) {
    return this.row !== null && this.row.piece === piece && this.row.step === step;
  }

  /** @param {number} now */
  minutes(now = Date.now()) {
    if (!this.row) return 0;
    return benchMinutes(
      this.row,
      this.state === "running" ? Math.max(now, this.row.last_ms) : this.row.last_ms,
    );
  }

  /** A stretch without a sign, longer than usual at this step. @param {number} now */
  gap(now) {
    if (!this.row || this.state !== "running") return null;
    const from = this.lastSign;
    if (now - from <= this.usualMinutes(this.row) * 60000) return null;
    const { sitting, piece, step } = this.row;
    return { sitting, piece, step, from_ms: from, to_ms: now, minutes: (now - from) / 60000 };
  }

  /** @param {NewChange["event"]} event @param {number} t @param {Partial<NewChange>} [more] @returns {NewChange} */
  #add(event, t, more = {}) {
    const row = /** @type {Sitting} */ (this.row);
    row.events.push({
      event: event ?? "",
      t,
      at: t,
      device: "",
      seq: 0,
      tz: 0 - new Date().getTimezoneOffset(),
      ...more,
    });
    return {
      kind: "sitting",
      sitting: row.sitting,
      piece: row.piece,
      step: row.step,
      event,
      ...more,
    };
  }

  /** Close what is open at `t`. @param {number} t @param {number} now @returns {NewChange[]} */
  #close(t, now) {
    if (!this.row) return [];
    const entries =
      this.state === "stopped" ? [] : [this.#add("stop", t, t === now ? {} : { from_ms: t })];
    this.row = null;
    return entries;
  }

  /** @param {string} piece @param {string} step @param {string} id @param {number} t @param {number} now */
  #start(piece, step, id, t, now) {
    this.row = {
      sitting: id,
      piece,
      step,
      events: [],
      items: 0,
      untimed: 0,
      last_ms: 0,
      seen_ms: 0,
    };
    return this.#add("start", t, t === now ? {} : { from_ms: t });
  }

  /**
   * A touch on the clock of a lane.
   * @param {string} piece
   * @param {string} step
   * @param {string} id
   * @param {number} now
   * @returns {NewChange[]}
   */
  start(piece, step, id, now) {
    if (this.isOn(piece, step)) return this.state === "paused" ? this.resume(now) : [];
    return [...this.#close(now, now), this.#start(piece, step, id, now, now)];
  }

  /**
   * What a tap adds to the log besides itself. Time since the last sign belongs to the item just made, also
   * across a change of lane; after a stop, a pause or an unusual gap the tap only opens the clock.
   * @param {string} piece @param {string} step @param {string} id @param {number} now
   * @returns {{entries: NewChange[], opens: boolean}}
   */
  tap(piece, step, id, now) {
    if (this.isOn(piece, step)) {
      const paused = this.state === "paused";
      const entries = paused ? this.resume(now) : [];
      /** @type {Sitting} */ (this.row).last_ms = now;
      return { entries, opens: paused };
    }
    const running = this.state === "running" && !this.gap(now);
    const from = running ? this.lastSign : now;
    const entries = this.#close(this.state === "running" ? this.lastSign : now, now);
    entries.push(this.#start(piece, step, id, from, now));
    /** @type {Sitting} */ (/** @type {unknown} */ (this.row)).last_ms = now;
    return { entries, opens: !running };
  }

  /** @param {number} now @returns {NewChange[]} */
  pause(now) {
    return this.state === "running" ? [this.#add("pause", now)] : [];
  }

  /** @param {number} now @returns {NewChange[]} */
  resume(now) {
    return this.state === "paused" ? [this.#add("go", now)] : [];
  }

  /** @param {number} now @returns {NewChange[]} */
  stop(now) {
    return this.#close(now, now);
  }

  /**
   * Of a gap only `keep_min` counts; one that the sitting ended before is put in again as far as it
   * was work.
   * @param {import("../types").Gap} gap
   * @param {number} keep_min
   * @returns {NewChange[]}
   */
  answerGap(gap, keep_min) {
    const { sitting, piece, step, from_ms, to_ms } = gap;
    if (gap.outside) {
      const at = (/** @type {"go" | "stop"} */ event, /** @type {number} */ t) => ({
        kind: /** @type {const} */ ("sitting"),
        sitting,
        piece,
        step,
        event,
        from_ms: t,
      });
      return keep_min > 0
        ? [at("go", from_ms), at("stop", Math.min(to_ms, Math.round(from_ms + keep_min * 60000)))]
        : [];
    }
    const trim = { from_ms, to_ms, keep_min };
    if (this.row?.sitting === sitting) this.#add("trim", to_ms, trim);
    return [{ kind: "sitting", sitting, piece, step, event: "trim", ...trim }];
  }
}

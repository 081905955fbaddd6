// The clock as the maker works it: start, pause, stop, and the gaps it asks about afterwards.
import * as journal from "../log/log.js";
import { BenchClock } from "./sitting-clock.js";

/** @typedef {import("../types").Saying} Saying */
/** @typedef {import("../types").Gap} Gap */

const LONG_GAP_MIN = 10;
const MOST_MIN = 100000; // as much as a change may keep; a longer gap is a broken clock's

export class Timing {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {Gap[]} */
    this.gaps = [];
    this.bench = new BenchClock(null, (step) => this.usualMinutes(step));
  }

  /** @param {import("../types").Sitting | null} row the sitting that is open by the journal */
  stand(row) {
    this.bench = new BenchClock(row, (step) => this.usualMinutes(step));
  }

  /** What has to be said of the clock besides a tap, and whether the tap only opens it. @param {string} piece @param {string} step */
  tap(piece, step) {
    const closes = !this.bench.isOn(piece, step); // a tap elsewhere ends the sitting at its last sign
    return this.bench.tap(piece, step, this.store.newId(), this.noteGap(closes));
  }

  get sitting() {
    return this.bench.row?.sitting;
  }

  get shown() {
    const { row, state } = this.bench;
    if (!row) return null;
    return {
      sitting: row.sitting,
      piece: row.piece,
      step: row.step,
      running: state === "running",
      paused: state === "paused",
      minutes: (/** @type {number} */ now = Date.now()) => this.bench.minutes(now),
    };
  }

  /** @param {Saying[]} sayings */
  async say(sayings) {
    if (!sayings.length) return;
    this.store.emit("clock");
    await this.store.say(sayings, { clock: this.sitting ?? null });
    this.store.emit("clock");
    this.store.answers.soon();
  }

  /** @param {string} piece @param {string} step */
  start(piece, step) {
    return this.say(this.bench.start(piece, step, this.store.newId(), this.noteGap()));
  }
  pause() {
    this.noteGap();
    return this.say(this.bench.pause(Date.now()));
  }
  go() {
    return this.say(this.bench.go(Date.now()));
  }
  stop() {
    this.noteGap();
    return this.say(this.bench.stop(Date.now()));
  }

  /** The longest time without a tap that is usual at this step: thrice what the next tap should take. @param {string} step */
  usualMinutes(step) {
    return Math.max(LONG_GAP_MIN, 3 * this.store.answers.minutesPerTap(step));
  }

  /** Look for a gap that ends now, and ask about it. @param {boolean} [outside] the sitting ends before it @returns {number} now */
  noteGap(outside = false) {
    const now = Date.now();
    const gap = this.bench.gap(now);
    if (gap) this.ask(outside ? { ...gap, outside } : gap);
    return now;
  }

  /** The page is looked at again. */
  awake() {
    const gap = this.bench.gap(Date.now());
    if (gap) this.ask(gap);
    this.store.emit("clock");
  }

  /** @param {Gap} gap */
  ask(gap) {
    this.gaps = [
      ...this.gaps.filter((g) => g.sitting !== gap.sitting || g.from_ms !== gap.from_ms),
      gap,
    ];
    journal.setMeta({ gaps: this.gaps }).catch(() => {});
    this.store.emit("gap", gap);
  }

  /** @param {number} keep_min of the oldest gap that is asked about */
  async answer(keep_min) {
    const gap = this.gaps.shift();
    if (!gap) return;
    const said = this.bench.answerGap(gap, Math.min(keep_min, MOST_MIN));
    if (said.length) await this.store.say(said);
    await journal.setMeta({ gaps: this.gaps });
    this.store.emit("clock");
    this.store.answers.soon();
  }
}

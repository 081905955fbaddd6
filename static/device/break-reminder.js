// Rest for the hands: how long the maker has worked without one, from the log's own sittings.
import { sittingsSince } from "../store/history.js";
import { holding, stands, stretches } from "../log/sitting.js";

/** @typedef {import("../types").Sitting} Sitting */

/**
 * Under an hour of repetitive work without a break is the lowest band of the Health and Safety
 * Executive's ART leaflet INDG438 (band from memory). The maker's own interval goes before it.
 */
export const BREAK_MIN = 60;
/** A pause this long counts as a rest. Common practice, no published source. */
const REST_MIN = 5;
const LOOK_BACK_MS = 16 * 3600000;
/** Whether there was a rest in so long a time without a tap is not known, however much of it was work. */
const UNKNOWN_MS = 2 * 3600000;

/**
 * Cut out of a stretch what the maker called no work, and what nobody can know.
 * @param {[number, number][]} worked @param {Sitting} sitting @returns {[number, number][]}
 */
function withoutGaps(worked, sitting) {
  for (const e of sitting.events) {
    const { from_ms: from, to_ms: to } = e;
    if (e.event !== "trim" || from == null || to == null) continue;
    if (to - from < UNKNOWN_MS && (to - from) / 60000 - (e.keep_min ?? 0) < REST_MIN) continue;
    worked = worked
      .flatMap(
        ([a, b]) =>
          /** @type {[number, number][]} */ ([
            [a, Math.min(b, from)],
            [Math.max(a, to), b],
          ]),
      )
      .filter(([a, b]) => b > a);
  }
  return worked;
}

/**
 * Minutes worked on end up to now, over all steps; 0 after a rest.
 * @param {Sitting[]} sittings that gave a sign in the hours before @param {string | null} running the sitting whose clock runs @param {number} now
 */
export function minutesOnEnd(sittings, running, now) {
  const worked = sittings.filter((s) => stands(s) && !holding(s, "from_ms")); // one put on another time says nothing about this one
  const all = worked
    .flatMap((s) => withoutGaps(stretches(s.events, s.sitting === running ? now : s.last_ms), s))
    .sort((x, y) => y[1] - x[1]);
  let from = now;
  for (const [a, b] of all) {
    if (from - b > REST_MIN * 60000) break;
    from = Math.min(from, a);
  }
  return from === now ? 0 : (now - from) / 60000;
}

export class BreakWatch {
  /** @param {import("../store/store.js").Store} store @param {(minutes: number) => void} remind */
  constructor(store, remind) {
    this.store = store;
    this.remind = remind;
    this.reminded_ms = 0;
    setInterval(() => this.check(), 30000);
  }

  /** @returns {number} the maker's own interval in minutes; 0 = never */
  get interval() {
    return this.store.setting("break_min", BREAK_MIN);
  }

  /** @param {number} [now] */
  async check(now = Date.now()) {
    const { clock } = this.store,
      { shown } = clock;
    if (clock.gaps.length || clock.open.gap(now)) return; // nobody has tapped: first it is asked how long that was work
    if (!shown?.running || !this.interval || now - this.reminded_ms < this.interval * 30000) return;
    const worked = minutesOnEnd(await sittingsSince(now - LOOK_BACK_MS), shown.sitting, now);
    if (worked < this.interval) return;
    this.reminded_ms = now;
    this.remind(worked);
  }
}

// What a sitting's events come to: its bench minutes, when it began, whether it stands open.
// The engine's `Sitting` answers the same; a test holds the two together.

/** @typedef {import("../types").Sitting} Sitting */
/** @typedef {import("../types").SittingEvent} SittingEvent */
/** @typedef {import("../types").Place} Place */

/** What a correction can say of a sitting. */
export const CORRECTED = /** @type {const} */ ([
  "from_ms",
  "to_piece",
  "to_step",
  "deleted",
  "uncounted",
]);

/**
 * What the corrections come to for a field; undefined where none spoke of it.
 * @template {typeof CORRECTED[number]} F @param {Sitting} sitting @param {F} field
 * @returns {NonNullable<import("../types").Corrections[F]>["value"] | undefined}
 */
export const holding = (sitting, field) => sitting.corrected?.[field]?.value;

/**
 * Where a count of this sitting counts; null: nowhere.
 * @param {Sitting} sitting
 * @param {Place} counted where it was counted
 * @returns {Place | null}
 */
export function placeOf(sitting, { piece, panel, step }) {
  if (holding(sitting, "uncounted")) return null;
  const moved = holding(sitting, "to_piece") ?? piece;
  return {
    piece: moved,
    panel: moved === piece ? panel : "",
    step: holding(sitting, "to_step") ?? step,
  };
}

/**
 * The stretches at the bench, ms: start/go to pause/stop; an open one ends at `open_end`.
 * @param {SittingEvent[]} events @param {number} open_end @returns {[number, number][]}
 */
export function stretches(events, open_end) {
  const out = /** @type {[number, number][]} */ ([]);
  let from = /** @type {number | null} */ (null);
  for (const e of events) {
    if (e.event === "start" || e.event === "go") from ??= e.t;
    else if ((e.event === "pause" || e.event === "stop") && from !== null) {
      out.push([from, Math.max(from, e.t)]);
      from = null;
    }
  }
  if (from !== null) out.push([from, Math.max(from, open_end)]);
  return out;
}

/**
 * How much of the stretches lies in [from, to], and what is left of them outside.
 * @param {[number, number][]} all @param {number} from @param {number} to
 */
function cut(all, from, to) {
  let within = 0;
  /** @type {[number, number][]} */
  const left = [];
  for (const [a, b] of all) {
    const low = Math.max(a, from),
      high = Math.min(b, to);
    if (low >= high) {
      left.push([a, b]);
      continue;
    }
    within += high - low;
    if (a < low) left.push([a, low]);
    if (high < b) left.push([high, b]);
  }
  return { within, left };
}

/**
 * Bench minutes of a sitting; an open stretch is taken up to `open_end` (the last count unless given).
 * Where trims overlap, the later one rules its part; a time set by hand rules all.
 * @param {Sitting} sitting @param {number} [open_end]
 */
export function benchMinutes(sitting, open_end = sitting.last_ms) {
  const trims = sitting.events
    .filter((e) => e.event === "trim")
    .sort((a, b) => (isLaterTrim(a, b) ? -1 : 1));
  const byHand = trims.find((e) => e.minutes != null);
  if (byHand) return Number(byHand.minutes);
  let rest = stretches(sitting.events, open_end);
  let ms = 0;
  for (const e of trims) {
    const { within, left } = cut(rest, e.from_ms ?? 0, e.to_ms ?? 0);
    ms += Math.min(within, 60000 * (e.keep_min ?? 0));
    rest = left;
  }
  return rest.reduce((sum, [a, b]) => sum + b - a, ms) / 60000;
}

/** @param {SittingEvent} a @param {SittingEvent} b */
function isLaterTrim(a, b) {
  if (a.at !== b.at) return a.at > b.at;
  return a.device !== b.device ? a.device > b.device : a.seq > b.seq;
}

/**
 * The event that began it; none has come yet while the rest of the sitting is still on its way.
 * @param {Sitting} sitting
 */
export const beginning = ({ events }) =>
  events.find((e) => e.event === "start") ?? events.find((e) => e.event === "go");

/** Whether there is a sitting to show: one that began and was not deleted. @param {Sitting} sitting */
export const stands = (sitting) => Boolean(beginning(sitting)) && !holding(sitting, "deleted");

/**
 * Items whose making lies within its minutes: all but those whose tap only started the clock.
 * @param {{items: number, untimed?: number}} sitting
 */
export const timedItems = ({ items, untimed = 0 }) => Math.max(0, items - untimed);

/** When it began, ms, and the zone. @param {Sitting} sitting @returns {{t: number, tz: number}} */
export function startOf(sitting) {
  const first = beginning(sitting),
    moved = sitting.corrected?.from_ms;
  return moved
    ? { t: moved.value, tz: moved.tz }
    : { t: first?.t ?? sitting.last_ms, tz: first?.tz ?? 0 };
}

/** Local date and minute of the start. @param {Sitting} sitting */
export function whenOf(sitting) {
  const { t, tz } = startOf(sitting);
  const local = new Date(t + tz * 60000);
  return {
    date: local.toISOString().slice(0, 10),
    start_min: local.getUTCHours() * 60 + local.getUTCMinutes(),
  };
}

/** Whether the sitting still stands open, and how; a deleted one does not. @param {Sitting} sitting */
export function stateOf(sitting) {
  if (holding(sitting, "deleted")) return "stopped";
  const last = sitting.events.filter((e) => e.event !== "trim").at(-1)?.event ?? "stop";
  return last === "start" || last === "go" ? "running" : last === "pause" ? "paused" : "stopped";
}

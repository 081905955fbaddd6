// What one change does to the derived rows. Pure: it reads and writes through `rows`, so the same
// code runs inside an IndexedDB transaction and over plain maps. Order and repeats do not matter.
// The engine's `fold` answers the same from the whole log; a test holds the two together.

/** @typedef {import("./types").Change} Change */
/** @typedef {import("./types").Rows} Rows */
/** @typedef {import("./types").Sitting} Sitting */
/** @typedef {import("./types").SittingEvent} SittingEvent */

/** @param {string} device @param {number} seq */
export const keyOf = (device, seq) => `${device}:${seq}`;

/** @param {string | undefined} piece @param {string | undefined} panel @param {string | undefined} step */
export const totalKey = (piece, panel, step) => `${piece}|${panel ?? ""}|${step}`;

/** @param {string | undefined} thing @param {string | undefined} id */
export const thingKey = (thing, id) => `${thing}:${id}`;

/**
 * Later stamp wins; equal stamps go to the greater device name, then the later seq.
 * @param {{stamp: [number, number], device: string, seq: number}} a
 * @param {{stamp: [number, number], device: string, seq: number}} b
 */
export function isLater(a, b) {
  if (a.stamp[0] !== b.stamp[0]) return a.stamp[0] > b.stamp[0];
  if (a.stamp[1] !== b.stamp[1]) return a.stamp[1] > b.stamp[1];
  return a.device !== b.device ? a.device > b.device : a.seq > b.seq;
}

/** @param {Rows} rows @param {Change} change @param {number | Promise<number>} by sign; 0 changes nothing */
async function addToTotal(rows, change, by) {
  const key = totalKey(change.piece, change.panel, change.step);
  const [held, sign] = await Promise.all([rows.get("totals", key), by]); // asked for together: a tap waits for it
  if (!sign) return;
  const row = held ?? {
    key, piece: change.piece, panel: change.panel ?? "", step: change.step, done: 0, spoiled: 0,
  };
  const what = change.kind === "scrap" ? "spoiled" : "done";
  await rows.put("totals", { ...row, [what]: row[what] + sign * (change.n ?? 0) });
}

/** @param {Rows} rows @param {Change} change @returns {Promise<Sitting>} */
async function sittingOf(rows, change) {
  const row = await rows.get("sittings", change.sitting);
  return row ?? { sitting: change.sitting, piece: change.piece, step: change.step, events: [], items: 0, last_ms: 0 };
}

/** @param {Rows} rows @param {Change} change @param {number | Promise<number>} by sign */
async function addToSitting(rows, change, by) {
  if (!change.sitting) return;
  const [row, sign] = await Promise.all([sittingOf(rows, change), by]);
  if (change.kind === "count" && !change.opens) row.items += sign * (change.n ?? 0);
  row.last_ms = Math.max(row.last_ms, change.at);
  await rows.put("sittings", row);
}

/** @param {Rows} rows @param {Change} change */
async function tally(rows, change) {
  if (change.undoes) return cancel(rows, change);
  if (change.holds) await rows.put("holds", { key: keyOf(change.holds.device, change.holds.seq), change: null });
  const sign = rows.get("undone", keyOf(change.device, change.seq)).then((undone) => (undone ? 0 : 1));
  await Promise.all([addToTotal(rows, change, sign), addToSitting(rows, change, sign)]);
}

/** An undo cancels its target once, also when it comes first. @param {Rows} rows @param {Change} change */
async function cancel(rows, change) {
  const { device, seq } = /** @type {import("./types").Key} */ (change.undoes);
  const key = keyOf(device, seq);
  if (await rows.get("undone", key)) return;
  await rows.put("undone", { key });
  const target = await rows.get("changes", [device, seq]);
  if (!target || !["count", "scrap"].includes(target.kind) || target.undoes) return;
  await addToTotal(rows, target, -1);
  await addToSitting(rows, target, -1);
}

/** A contact held apart stays so until a count answers it. @param {Rows} rows @param {Change} change */
async function holdApart(rows, change) {
  const key = keyOf(change.device, change.seq);
  if (!(await rows.get("holds", key))) await rows.put("holds", { key, change });
}

/** @param {Rows} rows @param {Change} change */
async function sit(rows, change) {
  const row = await sittingOf(rows, change);
  const { event, at, device, seq, tz, from_ms, to_ms, keep_min, minutes, piece, step } = change;
  const said = { event: event ?? "", piece, step, at, t: event !== "trim" && from_ms != null ? from_ms : at, device, seq, tz };
  row.events.push(event === "trim" ? { ...said, from_ms, to_ms, keep_min, minutes } : said);
  row.events.sort((a, b) => a.t - b.t || (a.device < b.device ? -1 : a.device > b.device ? 1 : a.seq - b.seq));
  const first = beginning(row);
  if (first) Object.assign(row, { piece: first.piece, step: first.step });
  await rows.put("sittings", row);
}

/** @param {Rows} rows @param {Change} change */
async function settle(rows, change) {
  const key = thingKey(change.thing, change.id);
  const row = (await rows.get("things", key)) ?? { key, thing: change.thing, id: change.id, fields: {} };
  const field = { value: change.value, stamp: change.stamp ?? [change.at, 0], device: change.device, seq: change.seq };
  const held = row.fields[change.field ?? ""];
  if (held && !isLater(field, held)) return;
  row.fields[change.field ?? ""] = field;
  await rows.put("things", row);
}

const DOES = { count: tally, scrap: tally, sitting: sit, set: settle, hold: holdApart };

/**
 * Apply one change that was not applied before. Unknown kinds change nothing: a newer device may say them.
 * @param {Rows} rows @param {Change} change
 */
export async function apply(rows, change) {
  await DOES[change.kind]?.(rows, change);
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
    const low = Math.max(a, from), high = Math.min(b, to);
    if (low >= high) { left.push([a, b]); continue; }
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
  const trims = sitting.events.filter((e) => e.event === "trim").sort((a, b) => (isLaterTrim(a, b) ? -1 : 1));
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

/** The event that began it; none has come yet while the rest of the sitting is still on its way. @param {Sitting} sitting */
export const beginning = ({ events }) => events.find((e) => e.event === "start") ?? events.find((e) => e.event === "go");

/** Local date and minute of the start. @param {Sitting} sitting */
export function whenOf(sitting) {
  const first = beginning(sitting);
  const local = new Date((first?.t ?? sitting.last_ms) + (first?.tz ?? 0) * 60000);
  return { date: local.toISOString().slice(0, 10), start_min: local.getUTCHours() * 60 + local.getUTCMinutes() };
}

/** Whether the sitting still stands open, and how. @param {Sitting} sitting */
export function stateOf(sitting) {
  const last = sitting.events.filter((e) => e.event !== "trim").at(-1)?.event ?? "stop";
  return last === "start" || last === "go" ? "running" : last === "pause" ? "paused" : "stopped";
}

// What one change does to the derived rows. Pure: it reads and writes through `rows`, so the same
// code runs inside an IndexedDB transaction and over plain maps. Order and repeats do not matter.
// The engine's `fold` answers the same from the whole log; a test holds the two together.
import { beginning } from "./sitting.js";

/** @typedef {import("./types").Change} Change */
/** @typedef {import("./types").Rows} Rows */
/** @typedef {import("./types").Sitting} Sitting */
/** @typedef {import("./types").Key} Key */
/** @typedef {import("./types").Held} Held */

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
  const what = change.kind === "scrap" ? "spoiled" : "done", n = sign * (change.n ?? 0);
  const taken = what === "done" && change.how === "stocktake" ? { stocktake: (row.stocktake ?? 0) + n } : {}; // found lying there, not made
  await rows.put("totals", { ...row, [what]: row[what] + n, ...taken });
}

/** @param {Rows} rows @param {Change} change @returns {Promise<Sitting>} */
async function sittingOf(rows, change) {
  const row = await rows.get("sittings", change.sitting);
  return row ?? { sitting: change.sitting, piece: change.piece, step: change.step, events: [], items: 0, last_ms: 0, seen_ms: 0 };
}

/** @param {Rows} rows @param {Change} change @param {number | Promise<number>} by sign */
async function addToSitting(rows, change, by) {
  if (!change.sitting) return;
  const [row, sign] = await Promise.all([sittingOf(rows, change), by]);
  if (change.kind === "count" && !change.opens) row.items += sign * (change.n ?? 0);
  await rows.put("sittings", { ...row, last_ms: Math.max(row.last_ms, change.at), seen_ms: Math.max(row.seen_ms, change.at) });
}

/** @param {Rows} rows @param {Change} change */
async function tally(rows, change) {
  if (change.undoes) return cancel(rows, change.undoes);
  const sign = rows.get("undone", keyOf(change.device, change.seq)).then((undone) => (undone ? 0 : 1));
  if (answersHold(change)) return answer(rows, change, await sign);
  await weigh(rows, change, sign);
}

/** @param {Rows} rows @param {Change} change @param {number | Promise<number>} by sign */
const weigh = (rows, change, by) => Promise.all([addToTotal(rows, change, by), addToSitting(rows, change, by)]);

/** An undo cancels its target once, also when it comes first. @param {Rows} rows @param {Key} target */
async function cancel(rows, { device, seq }) {
  const key = keyOf(device, seq);
  if (await rows.get("undone", key)) return;
  await rows.put("undone", { key });
  const target = await rows.get("changes", [device, seq]);
  if (!target || !["count", "scrap"].includes(target.kind) || target.undoes) return;
  if (!answersHold(target)) { await weigh(rows, target, -1); return; }
  const held = await heldOf(rows, target);
  await passOn(rows, held, held.counts.filter((c) => byKey(c, target) !== 0));
}

/** @param {Change} change */
const answersHold = (change) => change.kind === "count" && Boolean(change.holds);

/** @param {Rows} rows @param {Change} change @returns {Promise<Held>} */
async function heldOf(rows, { holds }) {
  const key = keyOf(holds?.device ?? "", holds?.seq ?? 0);
  const { counts = [] } = (await rows.get("holds", key)) ?? {};
  return { key, change: null, counts };
}

/** A contact held apart stays so until a count answers it. @param {Rows} rows @param {Change} change */
async function holdApart(rows, change) {
  const key = keyOf(change.device, change.seq);
  if (!(await rows.get("holds", key))) await rows.put("holds", { key, change, counts: [], waiting: 1 });
}

/** @param {Key} a @param {Key} b */
const byKey = (a, b) => (a.device < b.device ? -1 : a.device > b.device ? 1 : a.seq - b.seq);

/** @param {Rows} rows @param {Change} change @param {number} sign 0: it was taken back before it came */
async function answer(rows, change, sign) {
  const held = await heldOf(rows, change);
  const { device, seq } = change;
  await addToSitting(rows, change, 0); // a sign of the bench, whether it counts or not
  await passOn(rows, held, sign ? [...held.counts, { device, seq }].sort(byKey) : held.counts);
}

/** Of the counts that answer a hold only the first counts. @param {Rows} rows @param {Held} held @param {Key[]} counts in order, none undone */
async function passOn(rows, held, counts) {
  await rows.put("holds", { ...held, counts });
  const [was] = held.counts, [now] = counts;
  for (const [key, sign] of /** @type {[Key | undefined, number][]} */ ([[was, -1], [now, 1]])) {
    if (key && !(was && now && byKey(was, now) === 0)) await weigh(rows, await rows.get("changes", [key.device, key.seq]), sign);
  }
}

/** @param {Rows} rows @param {Change} change */
async function sit(rows, change) {
  const row = await sittingOf(rows, change);
  const { event, at, device, seq, tz, from_ms, to_ms, keep_min, minutes, piece, step } = change;
  const said = { event: event ?? "", piece, step, at, t: event !== "trim" && from_ms != null ? from_ms : at, device, seq, tz };
  row.events.push(event === "trim" ? { ...said, from_ms, to_ms, keep_min, minutes } : said);
  row.events.sort((a, b) => a.t - b.t || (a.device < b.device ? -1 : a.device > b.device ? 1 : a.seq - b.seq));
  row.seen_ms = Math.max(row.seen_ms, said.t);
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

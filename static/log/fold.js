// What one change does to the derived rows. Pure: it reads and writes through `rows`, so the same
// code runs inside an IndexedDB transaction and over plain maps. Order and repeats do not matter.
// The engine's `fold` answers the same from the whole log; a test holds the two together.
import { beginning, CORRECTED, holding, placeOf } from "./sitting.js";

/** @typedef {import("../types").Change} Change */
/** @typedef {import("../types").Rows} Rows */
/** @typedef {import("../types").Sitting} Sitting */
/** @typedef {import("../types").Key} Key */
/** @typedef {import("../types").Held} Held */

/** @param {string} device @param {number} seq */
export const keyOf = (device, seq) => `${device}:${seq}`;

/** @param {string | undefined} piece @param {string | undefined} panel @param {string | undefined} step */
export const totalKey = (piece, panel, step) => `${piece}|${panel ?? ""}|${step}`;

/** @param {string | undefined} thing @param {string | undefined} id */
export const thingKey = (thing, id) => `${thing}:${id}`;

/** @typedef {import("../types").Stamp} Stamp */
/** @typedef {{stamp: Stamp} & Key} Stamped */

/** @param {Stamp} a @param {Stamp} b */
export const isLaterStamp = (a, b) => (a[0] === b[0] ? a[1] > b[1] : a[0] > b[0]);

/**
 * The one rule of last-writer-wins: the later stamp; of equal stamps the greater device name, then the
 * later seq. `log/stamp.py` is the engine's. @param {Stamped} a @param {Stamped} b
 */
export function isLater(a, b) {
  if (isLaterStamp(a.stamp, b.stamp) || isLaterStamp(b.stamp, a.stamp))
    return isLaterStamp(a.stamp, b.stamp);
  return a.device !== b.device ? a.device > b.device : a.seq > b.seq;
}

/**
 * Of two writers of a field the one that holds.
 * @template {Stamped} T
 * @param {T | undefined} held
 * @param {T} written
 * @returns {T}
 */
export const lastWriter = (held, written) => (held && !isLater(written, held) ? held : written);

/** The stamp of a change; the oldest pages wrote none. @param {Change} change @returns {Stamp} */
export const stampOf = ({ stamp, at }) => stamp ?? [at, 0];

/** @typedef {import("../types").Place} Place */

/**
 * @param {Rows} rows
 * @param {Place | null} place null: it counts nowhere
 * @param {number} done
 * @param {number} spoiled
 * @param {number} [found] of the done those that a stocktake found lying there: not made
 */
async function addToTotal(rows, place, done, spoiled, found = 0) {
  if (!place || (!done && !spoiled)) return;
  const { piece, panel, step } = place,
    key = totalKey(piece, panel, step);
  const row = (await rows.get("totals", key)) ?? { key, piece, panel, step, done: 0, spoiled: 0 };
  const taken = found ? { stocktake: (row.stocktake ?? 0) + found } : {};
  await rows.put("totals", {
    ...row,
    done: row.done + done,
    spoiled: row.spoiled + spoiled,
    ...taken,
  });
}

/** @param {Rows} rows @param {Change} change @returns {Promise<Sitting>} */
async function sittingOf(rows, change) {
  const { sitting = "", piece = "", step = "" } = change;
  const row = await rows.get("sittings", sitting);
  return row ?? { sitting, piece, step, events: [], items: 0, untimed: 0, last_ms: 0, seen_ms: 0 };
}

/**
 * The sitting with this count added, or taken back; with sign 0 it only shows that somebody was at the bench.
 * @param {Sitting} row @param {Change} change @param {number} sign @returns {Sitting}
 */
export function counted(row, change, sign) {
  const n = sign * (change.n ?? 0),
    { at } = change;
  const out = { ...row, last_ms: Math.max(row.last_ms, at), seen_ms: Math.max(row.seen_ms, at) };
  if (!n) return out;
  const key = totalKey(change.piece, change.panel, change.step),
    spoiled = change.kind === "scrap";
  const sum = row.sums?.[key] ?? {
    piece: change.piece ?? "",
    panel: change.panel ?? "",
    step: change.step ?? "",
    done: 0,
    spoiled: 0,
  };
  const what = spoiled ? "spoiled" : "done";
  out.sums = { ...row.sums, [key]: { ...sum, [what]: sum[what] + n } };
  if (!spoiled)
    Object.assign(out, { items: row.items + n, untimed: row.untimed + (change.opens ? n : 0) });
  return out;
}

/** @param {Rows} rows @param {Change} change @param {number | Promise<number>} by sign; 0 counts nothing */
async function addCount(rows, change, by) {
  const { piece = "", panel = "", step = "" } = change,
    counted_as = { piece, panel, step };
  const soon = rows.get("totals", totalKey(piece, panel, step)); // asked for together: a tap waits for it
  const [row, sign] = await Promise.all([
    change.sitting ? sittingOf(rows, change) : null,
    by,
    soon,
  ]);
  if (row) await rows.put("sittings", counted(row, change, sign));
  const n = sign * (change.n ?? 0);
  const scrap = change.kind === "scrap",
    place = row ? placeOf(row, counted_as) : counted_as;
  await addToTotal(
    rows,
    place,
    scrap ? 0 : n,
    scrap ? n : 0,
    !scrap && change.how === "stocktake" ? n : 0,
  );
}

/** @param {Rows} rows @param {Change} change */
async function count(rows, change) {
  if (change.undoes) return cancel(rows, change.undoes);
  const sign = rows
    .get("undone", keyOf(change.device, change.seq))
    .then((undone) => (undone ? 0 : 1));
  if (answersHold(change)) return answer(rows, change, await sign);
  await addCount(rows, change, sign);
}

/** An undo cancels its target once, also when it comes first. @param {Rows} rows @param {Key} target */
async function cancel(rows, { device, seq }) {
  const key = keyOf(device, seq);
  if (await rows.get("undone", key)) return;
  await rows.put("undone", { key });
  const target = await rows.get("changes", [device, seq]);
  if (!target || !["count", "scrap"].includes(target.kind) || target.undoes) return;
  if (!answersHold(target)) {
    await addCount(rows, target, -1);
    return;
  }
  const held = await heldOf(rows, target);
  await passOn(
    rows,
    held,
    held.counts.filter((c) => byKey(c, target) !== 0),
  );
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
  if (!(await rows.get("holds", key)))
    await rows.put("holds", { key, change, counts: [], waiting: 1 });
}

/** @param {Key} a @param {Key} b */
export const byKey = (a, b) => (a.device < b.device ? -1 : a.device > b.device ? 1 : a.seq - b.seq);

/** @param {Rows} rows @param {Change} change @param {number} sign 0: it was taken back before it came */
async function answer(rows, change, sign) {
  const held = await heldOf(rows, change);
  const { device, seq } = change;
  await addCount(rows, change, 0); // a sign of the bench, whether it counts or not
  await passOn(rows, held, sign ? [...held.counts, { device, seq }].sort(byKey) : held.counts);
}

/**
 * Of the counts that answer a hold only the first counts.
 * @param {Rows} rows
 * @param {Held} held
 * @param {Key[]} counts in order, none undone
 */
async function passOn(rows, held, counts) {
  await rows.put("holds", { ...held, counts });
  const [was] = held.counts,
    [now] = counts;
  for (const [key, sign] of /** @type {[Key | undefined, number][]} */ ([
    [was, -1],
    [now, 1],
  ])) {
    if (key && !(was && now && byKey(was, now) === 0))
      await addCount(
        rows,
        /** @type {Change} */ (await rows.get("changes", [key.device, key.seq])),
        sign,
      );
  }
}

/**
 * A correction takes the sitting's counts along, those that are here and those still to come.
 * @param {Rows} rows @param {Sitting} row @param {Change} change
 */
async function correct(rows, row, change) {
  const { device, seq, tz } = change,
    stamp = stampOf(change);
  const sums = Object.values(row.sums ?? {}),
    was = sums.map((sum) => placeOf(row, sum)),
    corrected = /** @type {Record<string, import("../types").Corrected<unknown> | undefined>} */ ({
      ...row.corrected,
    });
  for (const field of CORRECTED) {
    const value = change[field];
    if (value != null)
      corrected[field] = lastWriter(corrected[field], { value, stamp, device, seq, tz });
  }
  const now = named({ ...row, corrected });
  await rows.put("sittings", now);
  for (const [k, sum] of sums.entries()) {
    await addToTotal(rows, was[k], -sum.done, -sum.spoiled);
    await addToTotal(rows, placeOf(now, sum), sum.done, sum.spoiled);
  }
}

/** Its piece and step: as it began, or as corrected. @param {Sitting} row @returns {Sitting} */
function named(row) {
  const { piece = row.piece, step = row.step } = beginning(row) ?? {};
  return {
    ...row,
    piece: holding(row, "to_piece") ?? piece,
    step: holding(row, "to_step") ?? step,
  };
}

/** @param {Rows} rows @param {Change} change */
async function addEvent(rows, change) {
  const row = await sittingOf(rows, change);
  if (change.event === "correct") return correct(rows, row, change);
  const { event, at, device, seq, tz, from_ms, to_ms, keep_min, minutes, piece, step } = change;
  const entry = {
    event: event ?? "",
    piece,
    step,
    at,
    t: event !== "trim" && from_ms != null ? from_ms : at,
    device,
    seq,
    tz,
  };
  row.events.push(event === "trim" ? { ...entry, from_ms, to_ms, keep_min, minutes } : entry);
  row.events.sort(
    (a, b) => a.t - b.t || (a.device < b.device ? -1 : a.device > b.device ? 1 : a.seq - b.seq),
  );
  row.seen_ms = Math.max(row.seen_ms, entry.t);
  await rows.put("sittings", named(row));
}

/** @param {Rows} rows @param {Change} change */
async function setField(rows, change) {
  const { thing = "", id = "" } = change,
    key = thingKey(thing, id);
  /** @type {import("../types").ThingRow} */
  const row = (await rows.get("things", key)) ?? { key, thing, id, fields: {} };
  const name = change.field ?? "";
  const written = {
    value: change.value,
    stamp: stampOf(change),
    device: change.device,
    seq: change.seq,
  };
  if (lastWriter(row.fields[name], written) !== written) return;
  row.fields[name] = written;
  await rows.put("things", row);
}

const DOES = { count, scrap: count, sitting: addEvent, set: setField, hold: holdApart };

/**
 * Apply one change that was not applied before. Unknown kinds change nothing: a newer page may write them.
 * @param {Rows} rows @param {Change} change
 */
export async function apply(rows, change) {
  await DOES[change.kind]?.(rows, change);
}

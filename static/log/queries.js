// What screens read of the log and of its derived rows: nothing a tap or the first screen waits for.
// Each read says its bounds; what must go through the years goes in portions, so that taps get their turn.
import { withDatabase } from "./transaction.js";
import { forecastKeys } from "./first-read.js";
import { keyOf, thingKey } from "./fold.js";
import { changeAt, changesAfter, newestFirst, newestPacked, placeOf } from "./packs.js";

/** @typedef {import("../types").Change} Change */
/** @typedef {import("../types").Sitting} Sitting */

const PORTION = 400,
  FILE_PORTION = 2000;

/** Past forecasts, one a day and piece. @returns {Promise<import("../types").ThingRow[]>} */
export const forecasts = () => withDatabase((db) => db.getAll("things", forecastKeys()));

/** @param {string} id piece and day */
export const hasForecast = (id) =>
  withDatabase(async (db) => (await db.getKey("things", thingKey("forecast", id))) !== undefined);

/**
 * All that `next` gives, in portions.
 * @template R @template T
 * @param {(last: R | undefined) => Promise<R[]>} next the rows that follow; none: there are no more
 * @param {(portion: R[]) => T[]} work
 * @returns {Promise<T[]>}
 */
async function mapAll(next, work) {
  const out = /** @type {T[]} */ ([]);
  for (let rows = await next(undefined); rows.length; rows = await next(rows.at(-1))) {
    for (const each of work(rows)) out.push(each);
    await new Promise((turn) => setTimeout(turn));
  }
  return out;
}

/** Every sitting of the record. @template T @param {(portion: Sitting[]) => T[]} work @returns {Promise<T[]>} */
export const mapSittings = (work) =>
  mapAll(
    (/** @type {Sitting | undefined} */ last) =>
      withDatabase((db) =>
        db.getAll("sittings", last && IDBKeyRange.lowerBound(last.sitting, true), PORTION),
      ),
    work,
  );

/** @param {string} piece @returns {Promise<Sitting[]>} */
export const sittingsOf = (piece) =>
  withDatabase((db) => db.getAllFromIndex("sittings", "piece", piece));

/** Those that gave a sign at or after `ms`. @param {number} ms @returns {Promise<Sitting[]>} */
export const sittingsSince = (ms) =>
  withDatabase((db) => db.getAllFromIndex("sittings", "seen", IDBKeyRange.lowerBound(ms)));

/** The last ones of a step, newest first. @param {string} step @param {number} most @returns {Promise<Sitting[]>} */
export const lastSittings = (step, most) =>
  withDatabase(async (db) => {
    const range = IDBKeyRange.bound([step, 0], [step, Infinity]),
      out = [];
    let at = await db.transaction("sittings").store.index("step").openCursor(range, "prev");
    for (; at && out.length < most; at = await at.continue()) out.push(at.value);
    return out;
  });

/** @returns {Promise<Sitting | undefined>} @param {string} id */
export const sitting = (id) => withDatabase((db) => db.get("sittings", id));

/** Everything ever written of all entities, but for the forecasts. @returns {Promise<Change[]>} */
export const sets = () =>
  withDatabase(async (db) => {
    const ranges = [
      IDBKeyRange.upperBound(["forecast"], true),
      IDBKeyRange.lowerBound(["forecast", []]),
    ];
    return (
      await Promise.all(ranges.map((range) => db.getAllFromIndex("changes", "thing", range)))
    ).flat();
  });

/**
 * Changes of all devices by wall time, newest first, each with whether it was taken back.
 * @param {number} most @param {import("../types").Key & {at: number}} [before] the last one already seen
 * @returns {Promise<(Change & {undone: boolean})[]>}
 */
export function changesByTime(most, before) {
  return withDatabase(async (db) => {
    const tx = db.transaction(["changes", "packs", "undone"], "readonly");
    const fresh = (/** @type {Change} */ c) =>
      !before ||
      c.at !== before.at ||
      c.device < before.device ||
      (c.device === before.device && c.seq < before.seq);
    const packed = newestPacked(tx, before?.at ?? Infinity, most, fresh);
    let cursor = await tx
      .objectStore("changes")
      .index("at")
      .openCursor(before ? IDBKeyRange.upperBound(before.at) : null, "prev");
    const out = /** @type {Change[]} */ ([]);
    for (; cursor && out.length < most; cursor = await cursor.continue())
      if (fresh(cursor.value)) out.push(cursor.value);
    const newest = [...out, ...(await packed)].sort(newestFirst).slice(0, most);
    const undone = tx.objectStore("undone");
    return Promise.all(
      newest.map(async (c) => ({
        ...c,
        undone: (await undone.getKey(keyOf(c.device, c.seq))) !== undefined,
      })),
    );
  });
}

/**
 * The newest changes of this device that pass, newest first.
 * @param {string} device @param {(change: Change) => boolean} wanted @param {number} most @param {number} [look] how far back
 */
export function latest(device, wanted, most, look = 400) {
  return withDatabase(async (db) => {
    const tx = db.transaction(["changes", "undone"], "readonly");
    const out = /** @type {Change[]} */ ([]);
    let cursor = await tx
      .objectStore("changes")
      .openCursor(IDBKeyRange.bound([device, 0], [device, Infinity]), "prev");
    for (let k = 0; cursor && k < look && out.length < most; k++) {
      if (
        wanted(cursor.value) &&
        !(await tx.objectStore("undone").get(keyOf(device, cursor.value.seq)))
      )
        out.push(cursor.value);
      cursor = await cursor.continue();
    }
    return out;
  });
}

/** @param {string} device @param {number} seq @returns {Promise<Change | null>} */
export const change = (device, seq) =>
  withDatabase(
    async (db) => (await changeAt(db.transaction(["changes", "packs"]), device, seq)) ?? null,
  );

/** Whether a count was taken back. @param {string} device @param {number} seq */
export const isUndone = (device, seq) =>
  withDatabase(async (db) => (await db.getKey("undone", keyOf(device, seq))) !== undefined);

/**
 * Contacts held that no count has ever answered, one taken back included: of one device its last ones, oldest
 * first, else all. @param {string} [device] @param {number} [most] of one device @returns {Promise<Change[]>}
 */
export async function unansweredHolds(device, most = 100) {
  if (!device)
    return withDatabase(async (db) =>
      (await db.getAllFromIndex("holds", "waiting"))
        .map((row) => row.change)
        .filter((change) => change !== null),
    );
  const held = await latest(device, (c) => c.kind === "hold", most);
  const rows = await withDatabase((db) =>
    Promise.all(held.map((c) => db.get("holds", keyOf(c.device, c.seq)))),
  );
  return held.filter((_, k) => rows[k]?.waiting).reverse();
}

/**
 * The counts that answer a contact held apart and were not taken back.
 * @param {import("../types").Key} hold
 * @returns {Promise<Change[]>}
 */
export const answersTo = (hold) =>
  withDatabase(async (db) => {
    const tx = db.transaction(["holds", "changes", "packs"]);
    const counts = /** @type {import("../types").Key[]} */ (
      (await tx.objectStore("holds").get(keyOf(hold.device, hold.seq)))?.counts ?? []
    );
    const found = await Promise.all(counts.map((c) => changeAt(tx, c.device, c.seq)));
    return found.filter((change) => change !== undefined);
  });

/**
 * All changes in portions, for the file of the log.
 * @template T
 * @param {(portion: Change[]) => T[]} work
 * @returns {Promise<T[]>}
 */
export const mapChanges = (work) =>
  mapAll(
    (/** @type {Change | undefined} */ last) =>
      withDatabase((db) =>
        changesAfter(
          db.transaction(["changes", "packs"]),
          last ? placeOf(last) : ["", 0],
          FILE_PORTION,
        ),
      ),
    work,
  );

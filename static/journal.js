// The log on this device: the only module that touches IndexedDB. A change is saved when its
// strict transaction completes; change, totals and sitting go into one transaction, so that two
// open pages can both append and no total can be half written.
import { wrap } from "./vendor/idb.js";
import { firstRead, forecastKeys, read } from "./ahead.js";
import { complainTo, lastingly } from "./database.js";
import { apply, keyOf, thingKey } from "./fold.js";

/** @typedef {import("./types").Change} Change */
/** @typedef {import("./types").Saying} Saying */

const DERIVED = /** @type {const} */ (["totals", "things", "sittings", "undone", "holds"]);
const ALL = ["changes", ...DERIVED, "meta"];

/** @template T @param {(db: import("idb").IDBPDatabase) => Promise<T>} work @returns {Promise<T>} */
const withDatabase = (work) => lastingly((db) => work(/** @type {any} */ (wrap(db))));

/**
 * One strict read-write transaction over the log. `work` may await only the rows it is given.
 * @template T @param {(tx: any, rows: import("./types").Rows) => Promise<T>} work @returns {Promise<T>}
 */
function inTransaction(work) {
  return withDatabase(async (db) => {
    const tx = db.transaction(ALL, "readwrite", { durability: "strict" });
    const rows = {
      get: (/** @type {string} */ store, /** @type {any} */ key) => tx.objectStore(store).get(key),
      // a failed request aborts the transaction, whose own promise carries the reason
      put: (/** @type {string} */ store, /** @type {any} */ row) => { tx.objectStore(store).put(row).catch(() => {}); },
    };
    try {
      const out = await work(tx, rows);
      await tx.done;
      return out;
    } catch (error) {
      tx.done.catch(() => {}); // the reason is thrown below; an abort must not also surface alone
      try { tx.abort(); } catch { /* it ended by itself */ }
      throw error;
    }
  });
}

/** @type {ReturnType<typeof read> | null} what was read ahead of the store, given once */
let ahead = firstRead;

/** @param {(why: string) => void} listener */
export async function open(listener) {
  complainTo(listener);
  if ((await (ahead ??= read())).device) return; // a start writes nothing
  ahead = null;
  await inTransaction(async (tx) => {
    const meta = tx.objectStore("meta");
    if (!(await meta.get("device"))) {
      meta.put(crypto.randomUUID().replaceAll("-", "").slice(0, 16), "device");
      meta.put(0, "seq");
    }
  });
}

/** Everything the first screen needs. */
export function load() {
  const first = ahead ?? read();
  ahead = null;
  return first;
}

/** @returns {Promise<import("./types").ThingRow[]>} */
export const forecasts = () => withDatabase((db) => db.getAll("things", forecastKeys()));

/** @param {string} id piece and day */
export const hasForecast = (id) => withDatabase(async (db) => (await db.getKey("things", thingKey("forecast", id))) !== undefined);

/** How far the own log and what others said go, as far as it is on the disk. @returns {Promise<[number, number | undefined]>} */
export const stands = () => withDatabase(async (db) => {
  const { store } = db.transaction("meta");
  return /** @type {any} */ (Promise.all([store.get("seq"), store.get("after")]));
});

/** What another page or a sync wrote, and where the log stands now. @param {import("./types").Touched} touched */
export function look({ totals, things, sittings }) {
  return withDatabase(async (db) => {
    const tx = db.transaction(ALL, "readonly");
    const meta = tx.objectStore("meta");
    const rows = (/** @type {string} */ store, /** @type {string[]} */ keys) => Promise.all(keys.map((key) => tx.objectStore(store).get(key)));
    const [seq, acked, clock, ...found] = await Promise.all([meta.get("seq"), meta.get("acked"), meta.get("clock"),
      rows("totals", totals), rows("things", things.filter((key) => !key.startsWith("forecast:"))), rows("sittings", sittings)]);
    return { seq, acked: acked ?? 0, sitting: clock ? await tx.objectStore("sittings").get(clock) : null, totals: found[0], things: found[1], sittings: found[2] };
  });
}

/** The next hybrid stamp: never behind what was seen, whatever the clock says. @param {any} meta @param {number} now */
async function nextStamp(meta, now) {
  const [ms, n] = (await meta.get("hlc")) ?? [0, 0];
  const stamp = now > ms ? [now, 0] : [ms, n + 1];
  meta.put(stamp, "hlc");
  return /** @type {[number, number]} */ (stamp);
}

/** Which values are knowingly replaced: the one that holds, and what was named. @param {import("./types").Rows} rows @param {Change} change */
async function heldNow(rows, { thing, id, field, over = [] }) {
  const held = (await rows.get("things", thingKey(thing, id)))?.fields[field ?? ""];
  return held ? [...over, { device: held.device, seq: held.seq }] : over;
}

/**
 * Append what was said, in order, as this device's next changes; resolves when it is on the disk.
 * @param {Saying[]} sayings
 * @param {{clock?: string | null}} [also] the sitting that is open after this
 * @returns {Promise<{changes: Change[], totals: import("./types").Total[], sittings: import("./types").Sitting[], touched: import("./types").Touched}>}
 */
export function append(sayings, also = {}) {
  return inTransaction(async (tx, rows) => {
    const meta = tx.objectStore("meta");
    const [device, last] = await Promise.all([meta.get("device"), meta.get("seq")]);
    let seq = last;
    const touched = nothing(), noting = noteInto(rows, touched);
    const changes = [];
    for (const said of sayings) {
      const change = /** @type {Change} */ ({ device, seq: ++seq, at: Date.now(), tz: 0 - new Date().getTimezoneOffset(), v: 1, ...said });
      if (change.kind === "set") {
        change.stamp = await nextStamp(meta, change.at);
        change.over = await heldNow(rows, change);
      }
      tx.objectStore("changes").add(change).catch(() => {});
      await apply(noting, change);
      changes.push(change);
    }
    meta.put(seq, "seq");
    if (also.clock !== undefined) meta.put(also.clock, "clock");
    return { changes, totals: [...touched.totals.values()], sittings: [...touched.sittings.values()], touched: keysOf(touched) };
  });
}

const nothing = () => ({ totals: new Map(), things: new Map(), sittings: new Map() });

/** @param {import("./types").Rows} rows @param {ReturnType<typeof nothing>} touched @returns {import("./types").Rows} */
const noteInto = (rows, touched) => ({
  get: rows.get,
  put: (store, row) => {
    if (store === "totals" || store === "things" || store === "sittings") touched[store].set(row.key ?? row.sitting, row);
    return rows.put(store, row);
  },
});

/** @param {ReturnType<typeof nothing>} touched @returns {import("./types").Touched} */
const keysOf = ({ totals, things, sittings }) => ({ totals: [...totals.keys()], things: [...things.keys()], sittings: [...sittings.keys()] });

/**
 * Take in what other devices said, and the cursors that go with it.
 * @param {Change[]} changes @param {Record<string, any>} cursors written to meta in the same transaction
 */
export function take(changes, cursors) {
  return inTransaction(async (tx, rows) => {
    const store = tx.objectStore("changes");
    const meta = tx.objectStore("meta");
    let hlc = (await meta.get("hlc")) ?? [0, 0];
    const touched = nothing(), noting = noteInto(rows, touched);
    for (const change of changes) {
      if (await store.get([change.device, change.seq])) continue;
      store.add(change).catch(() => {});
      await apply(noting, change);
      const s = change.stamp;
      if (s && (s[0] > hlc[0] || (s[0] === hlc[0] && s[1] > hlc[1]))) hlc = s;
    }
    meta.put(hlc, "hlc");
    // numbers once used are never used again, also when the server knows more of them than this device
    if (cursors.seq) cursors.seq = Math.max(cursors.seq, (await meta.get("seq")) ?? 0);
    for (const [name, value] of Object.entries(cursors)) meta.put(value, name);
    return keysOf(touched);
  });
}

/** This device's changes after `acked`, at most `most`. @param {string} device @param {number} acked @param {number} most @returns {Promise<Change[]>} */
export const unsent = (device, acked, most) =>
  withDatabase((db) => db.getAll("changes", IDBKeyRange.bound([device, acked], [device, Infinity], true), most));

/** @param {string} device @param {number} seq @returns {Promise<Change | undefined>} */
export const find = (device, seq) => withDatabase((db) => db.get("changes", [device, seq]));

const PORTION = 400;

/**
 * Every sitting, read in portions so that taps get their turn between.
 * @template T @param {(portion: import("./types").Sitting[]) => T[]} work @returns {Promise<T[]>}
 */
export async function mapSittings(work) {
  const out = /** @type {T[]} */ ([]);
  for (let last = ""; ; ) {
    const rows = await withDatabase((db) => db.getAll("sittings", IDBKeyRange.lowerBound(last, true), PORTION));
    out.push(...work(rows));
    if (rows.length < PORTION) return out;
    last = rows[rows.length - 1].sitting;
    await new Promise((turn) => setTimeout(turn));
  }
}

export const sittings = () => mapSittings((rows) => rows);

/** @returns {Promise<import("./types").Sitting | undefined>} @param {string} id */
export const sitting = (id) => withDatabase((db) => db.get("sittings", id));

/** Everything ever said of one thing, all devices. @param {string} thing @param {string} id @returns {Promise<Change[]>} */
export const saidOf = (thing, id) => withDatabase((db) => db.getAllFromIndex("changes", "thing", [thing, id]));

/** @param {string} name */
export const meta = (name) => withDatabase((db) => db.get("meta", name));

/** @param {Record<string, any>} values */
export const setMeta = (values) => inTransaction(async (tx) => {
  for (const [name, value] of Object.entries(values)) tx.objectStore("meta").put(value, name);
});

/**
 * The newest changes of this device that pass, newest first.
 * @param {string} device @param {(change: Change) => boolean} wanted @param {number} most @param {number} [look] how far back
 */
export function latest(device, wanted, most, look = 400) {
  return withDatabase(async (db) => {
    const tx = db.transaction(["changes", "undone"], "readonly");
    const out = /** @type {Change[]} */ ([]);
    let cursor = await tx.objectStore("changes").openCursor(IDBKeyRange.bound([device, 0], [device, Infinity]), "prev");
    for (let k = 0; cursor && k < look && out.length < most; k++) {
      if (wanted(cursor.value) && !(await tx.objectStore("undone").get(`${device}:${cursor.value.seq}`))) out.push(cursor.value);
      cursor = await cursor.continue();
    }
    return out;
  });
}

/**
 * Changes of all devices by wall time, newest first, each with whether it was taken back.
 * @param {number} most @param {import("./types").Key & {at: number}} [before] the last one already seen
 * @returns {Promise<(Change & {undone: boolean})[]>}
 */
export function byTime(most, before) {
  return withDatabase(async (db) => {
    const tx = db.transaction(["changes", "undone"], "readonly");
    let cursor = await tx.objectStore("changes").index("at").openCursor(before ? IDBKeyRange.upperBound(before.at) : null, "prev");
    const seen = (/** @type {Change} */ c) => before && c.at === before.at && (c.device > before.device || (c.device === before.device && c.seq >= before.seq));
    const out = [];
    for (; cursor && out.length < most; cursor = await cursor.continue()) {
      if (seen(cursor.value)) continue;
      out.push({ ...cursor.value, undone: Boolean(await tx.objectStore("undone").get(`${cursor.value.device}:${cursor.value.seq}`)) });
    }
    return out;
  });
}

/** @param {string} device @param {number} seq @returns {Promise<Change | null>} */
export const one = (device, seq) => withDatabase(async (db) => (await db.get("changes", [device, seq])) ?? null);

/** Everything ever written down about things; only these changes carry `thing`. @returns {Promise<Change[]>} */
export const sets = () => withDatabase((db) => db.getAllFromIndex("changes", "thing"));

/** Contacts held apart that no count has answered. @returns {Promise<Change[]>} */
export const holds = () => withDatabase(async (db) => (await db.getAll("holds")).map((row) => row.change).filter(Boolean));

/** The counts that answer a contact held apart and were not taken back. @param {import("./types").Key} hold @returns {Promise<Change[]>} */
export const answersTo = (hold) => withDatabase(async (db) => {
  const counts = /** @type {import("./types").Key[]} */ ((await db.get("holds", keyOf(hold.device, hold.seq)))?.counts ?? []);
  return Promise.all(counts.map((c) => db.get("changes", [c.device, c.seq])));
});

/** All changes, for a file the maker can keep. @returns {Promise<Change[]>} */
export const everything = () => withDatabase((db) => db.getAll("changes"));

/** Answers of the engine worth having before it has started. @param {string} key @param {any} value */
export const keepAnswer = (key, value) => withDatabase((db) => db.put("answers", value, key));

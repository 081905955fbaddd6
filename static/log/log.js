// The log on this device; with the modules it stands on the only one that touches IndexedDB.
// A change is saved when its strict transaction completes; change, totals and sitting go into one
// transaction, so that two open pages can both append and no total can be half written.
import { firstRead, read } from "./first-read.js";
import { onDatabaseTrouble } from "./database.js";
import {
  ALL,
  inTransaction,
  prefetch,
  rowsOf,
  setOwnPosition,
  withDatabase,
  metaOf,
} from "./transaction.js";
import { apply, isLaterStamp, keyOf, thingKey } from "./fold.js";
import { changesAfter, countAfter, keep, numbersHere, stretches } from "./packs.js";
import { retargeted } from "./retarget.js";
import { store as text } from "../texts/texts.js";

/** Changes that one request takes at most. */
export const MOST_SENT = 500;

/** @typedef {import("../types").Change} Change */
/** @typedef {import("../types").Meta} Meta */
/** @typedef {import("../types").NewChange} NewChange */
/** @typedef {import("../types").Touched} Touched */

/** @type {ReturnType<typeof read> | null} what was read before the store asked, given once */
let ahead = firstRead;
/** The device whose log this page shows; null: it was emptied and this page is about to go. @type {string | null} */
let here = "";

/** What this page shows was erased by itself or another page: nothing of it may go into the log that begins now. */
export class Emptied extends Error {
  constructor() {
    super(text.emptied);
  }
}

/** The server's answer is of another workshop than this device's counts. */
export class OtherWorkshop extends Error {
  /** @param {string} why @param {string} served the workshop of the server */
  constructor(why, served) {
    super(why);
    this.served = served;
  }
}

/** @param {Uint8Array} bytes in hexadecimal digits */
export const toHex = (bytes) =>
  [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");

/** 64 random bits in hexadecimal digits. */
export const randomId = () => toHex(crypto.getRandomValues(new Uint8Array(8)));

/**
 * A device's first rows: a numbering of its own, and the workshop it belongs to.
 * @param {import("../types").MetaStore} meta
 * @param {string | null} workshop
 */
export function begin(meta, workshop) {
  meta.put(randomId(), "device");
  meta.put(0, "seq");
  if (workshop) meta.put(workshop, "workshop");
}

/** Nothing that this page still shows is written from now on. */
export const shut = () => {
  here = null;
};

/** @param {string} name @returns {string} what the start page says under this name */
const saidBy = (name) =>
  document.querySelector(`meta[name="${name}"]`)?.getAttribute("content") ?? "";

/** The page lies on a host that only hands out files: there is no server to ask, ever. */
export const isAlone = () => saidBy("server") === "none";

/** The workshop that served this page, as far as it says; a page without a server begins one of its own. */
const firstWorkshop = () => saidBy("workshop") || (isAlone() ? `${randomId()}${randomId()}` : null);

/** @param {(why: string) => void} listener */
export async function open(listener) {
  onDatabaseTrouble(listener);
  if ((await (ahead ??= read())).device) return; // a start writes nothing
  ahead = null;
  await inTransaction(async (tx) => {
    const meta = metaOf(tx);
    if (!(await meta.get("device"))) begin(meta, firstWorkshop());
  });
}

/** Everything the first screen needs. */
export async function load() {
  const first = ahead ?? read();
  ahead = null;
  const saved = await first;
  here = saved.device;
  return saved;
}

/**
 * How far the own log and what was received go, as far as it is on the disk.
 * @returns {Promise<[number | undefined, number | undefined]>}
 */
export const position = () =>
  withDatabase(async (db) => {
    const store = metaOf(db.transaction("meta"));
    return Promise.all([store.get("seq"), store.get("after")]);
  });

/**
 * Where log and clock stand.
 * @param {import("../types").LogTransaction} tx
 * @returns {Promise<{seq: number, acked: number, copied: import("../types").Copied | null, sitting: import("../types").Sitting | null}>}
 */
async function readPosition(tx) {
  const meta = metaOf(tx);
  const [seq = 0, acked, clock, copied] = await Promise.all([
    meta.get("seq"),
    meta.get("acked"),
    meta.get("clock"),
    meta.get("copied"),
  ]);
  return {
    seq,
    acked: acked ?? 0,
    copied: copied ?? null,
    sitting: clock ? ((await tx.objectStore("sittings").get(clock)) ?? null) : null,
  };
}

/** What another page or a sync wrote, and where the log stands now. @param {Touched} touched */
export function readRows({ totals, things, sittings }) {
  return withDatabase(async (db) => {
    const tx = db.transaction([...ALL], "readonly");
    const entities = things.filter((key) => !key.startsWith("forecast:"));
    const [position, ...found] = await Promise.all([
      readPosition(tx),
      Promise.all(totals.map((key) => tx.objectStore("totals").get(key))),
      Promise.all(entities.map((key) => tx.objectStore("things").get(key))),
      Promise.all(sittings.map((key) => tx.objectStore("sittings").get(key))),
    ]);
    return {
      ...position,
      totals: found[0].filter((row) => row !== undefined),
      things: found[1].filter((row) => row !== undefined),
      sittings: found[2].filter((row) => row !== undefined),
    };
  });
}

/** The next hybrid stamp: never behind what was seen, whatever the clock says. @param {import("../types").MetaStore} meta @param {number} now */
export async function nextStamp(meta, now) {
  const [ms, n] = (await meta.get("hlc")) ?? [0, 0];
  const stamp = /** @type {[number, number]} */ (now > ms ? [now, 0] : [ms, n + 1]);
  meta.put(stamp, "hlc");
  return stamp;
}

/**
 * Which values are knowingly replaced: the one that holds, and what was named.
 * @param {import("../types").Rows} rows
 * @param {Change} change
 */
async function replacedBy(rows, { thing, id, field, over = [] }) {
  const current = (await rows.get("things", thingKey(thing, id)))?.fields[field ?? ""];
  return current ? [...over, { device: current.device, seq: current.seq }] : over;
}

/**
 * As this page means it, where the device has another name since the page was opened.
 * @param {import("../types").MetaStore} meta @param {string} device @param {NewChange[]} entries
 */
async function renamed(meta, device, entries) {
  if (here === "" || device === here) return entries;
  const moved = here === null ? [] : ((await meta.get("moved")) ?? []);
  let at = here;
  for (const move of moved) {
    if (move.from !== at) continue;
    entries = retargeted(move, entries);
    at = move.to;
  }
  if (at !== device) throw new Emptied();
  return entries;
}

/** @param {ReturnType<typeof rowsOf>} rows @returns {Touched} */
const touchedBy = (rows) => ({
  totals: rows.written("totals").map((r) => r.key),
  things: rows.written("things").map((r) => r.key),
  sittings: rows.written("sittings").map((r) => r.sitting),
});

/**
 * Append in order as this device's next changes, all or none; resolves when they are on the disk.
 * @param {NewChange[]} entries
 * @param {{clock?: string | null}} [also] the sitting that is open after this
 * @returns {Promise<{changes: Change[], totals: import("../types").Total[], things: import("../types").ThingRow[],
 *   sittings: import("../types").Sitting[], touched: Touched}>}
 */
export function append(entries, also = {}) {
  return inTransaction(async (tx) => {
    const meta = metaOf(tx),
      rows = prefetch(rowsOf(tx), entries),
      changes = [];
    const [device = "", last = 0] = await Promise.all([meta.get("device"), meta.get("seq")]);
    let seq = last;
    for (const entry of await renamed(meta, device, entries)) {
      const change = /** @type {Change} */ ({
        device,
        seq: ++seq,
        at: Date.now(),
        tz: 0 - new Date().getTimezoneOffset(),
        v: 1,
        ...entry,
      });
      if (change.kind === "set" || change.event === "correct")
        change.stamp = await nextStamp(meta, change.at);
      if (change.kind === "set") change.over = await replacedBy(rows, change);
      tx.objectStore("changes")
        .add(change)
        .catch(() => {});
      await apply(rows, change);
      changes.push(change);
    }
    rows.write();
    setOwnPosition({ device, seq });
    meta.put(seq, "seq");
    if (also.clock !== undefined) meta.put(also.clock, "clock");
    return {
      changes,
      totals: rows.written("totals"),
      things: rows.written("things"),
      sittings: rows.written("sittings"),
      touched: touchedBy(rows),
    };
  });
}

/** Those not here yet, each once; all looked up together. @param {import("../types").LogTransaction} tx @param {Change[]} changes */
async function unknown(tx, changes) {
  const here = await numbersHere(tx, changes);
  const fresh = new Map(changes.map((c) => [keyOf(c.device, c.seq), c]));
  for (const key of here) fresh.delete(key);
  return [...fresh.values()];
}

/**
 * Which of these changes were taken back before they came: a stretch of numbers is asked for at once. Numbers with as
 * many digits stand in the order of their texts.
 * @param {import("../types").LogTransaction} tx @param {Change[]} changes @returns {Promise<Set<string>>} `device:seq`
 */
async function undoneAmong(tx, changes) {
  const ranges = stretches(changes).flatMap(({ device, from, to }) => {
    const out = [];
    for (let low = from; low <= to; low = 10 ** String(low).length) {
      const high = Math.min(to, 10 ** String(low).length - 1);
      out.push(IDBKeyRange.bound(keyOf(device, low), keyOf(device, high)));
    }
    return out;
  });
  const store = tx.objectStore("undone");
  return new Set((await Promise.all(ranges.map((range) => store.getAllKeys(range)))).flat());
}

/**
 * Take in what other devices wrote, and the cursors that go with it. An answer to a device that is no more, or
 * of another workshop, is refused before anything is written; a device with nothing on it joins any workshop.
 * @param {Change[]} changes @param {Partial<import("../types").Meta>} cursors written to meta in the same transaction
 * @param {{device: string, workshop: string}} whose who asked, and whose answer it is
 * @param {"strict" | "relaxed"} [durability] relaxed where a server has it and the cursors say so: lost together, they
 *   are asked for again @returns {Promise<Touched>}
 */
export function receive(changes, cursors, whose, durability = "strict") {
  return inTransaction(async (tx) => {
    const meta = metaOf(tx),
      rows = rowsOf(tx);
    const [device, own, bare] = await Promise.all([
      meta.get("device"),
      meta.get("workshop"),
      holdsNothing(tx),
    ]);
    if (device !== whose.device) throw new Emptied();
    if (own && !bare && own !== whose.workshop)
      throw new OtherWorkshop(text.otherWorkshop, whose.workshop);
    const [hlc = [0, 0], fresh] = await Promise.all([meta.get("hlc"), unknown(tx, changes)]);
    meta.put(await applyAll(tx, rows, fresh, hlc), "hlc");
    await keep(tx, fresh);
    rows.write();
    putAll(meta, cursors);
    return touchedBy(rows);
  }, durability);
}

/**
 * Changes that are not here yet, in the order in which they came.
 * @param {import("../types").LogTransaction} tx @param {ReturnType<typeof rowsOf>} rows @param {Change[]} fresh
 * @param {import("../types").Stamp} hlc the newest stamp seen @returns {Promise<import("../types").Stamp>} the newest then
 */
async function applyAll(tx, rows, fresh, hlc) {
  const undone = await undoneAmong(tx, fresh);
  for (const { device, seq } of fresh) {
    const key = keyOf(device, seq);
    rows.know("undone", key, undone.has(key) ? { key } : undefined);
  }
  for (const change of fresh) {
    rows.know("changes", [change.device, change.seq], change);
    await apply(rows, change);
    if (change.stamp && isLaterStamp(change.stamp, hlc)) hlc = change.stamp;
  }
  return hlc;
}

/** Nothing was ever counted, written or received here. @param {import("../types").LogTransaction} tx */
export async function holdsNothing(tx) {
  const some = await Promise.all([
    tx.objectStore("changes").getAllKeys(null, 1),
    tx.objectStore("packs").getAllKeys(null, 1),
  ]);
  return !some.flat().length;
}

/**
 * A device's changes after `acked`, at most `most`.
 * @param {string} device
 * @param {number} acked
 * @param {number} most
 * @returns {Promise<Change[]>}
 */
export const unsent = (device, acked, most = MOST_SENT) =>
  withDatabase((db) =>
    changesAfter(db.transaction(["changes", "packs"]), [device, acked], most, device),
  );

/** How many of a device's changes follow `acked`. @param {string} device @param {number} acked */
export const countUnsent = (device, acked) =>
  withDatabase((db) => countAfter(db.transaction(["changes", "packs"]), device, acked));

/** Nothing was ever counted, written or received on this device. */
export const isEmpty = () =>
  withDatabase((db) => holdsNothing(db.transaction(["changes", "packs"])));

/**
 * @template {keyof Meta} K
 * @param {K} name
 */
export const meta = (name) => withDatabase((db) => metaOf(db.transaction("meta")).get(name));

const STANDING = /** @type {const} */ ([
  "device",
  "seq",
  "acked",
  "after",
  "mark",
  "log",
  "workshop",
]);

/** Whose log this is, and how far it and the server's were exchanged. @returns {Promise<Partial<Meta>>} */
export const standing = () =>
  withDatabase(async (db) => {
    const meta = metaOf(db.transaction("meta"));
    const values = await Promise.all(STANDING.map((name) => meta.get(name)));
    return Object.fromEntries(STANDING.map((name, k) => [name, values[k]]));
  });

/** @param {import("../types").MetaStore} meta @param {Partial<Meta>} values */
function putAll(meta, values) {
  for (const [name, value] of Object.entries(values))
    meta.put(value, /** @type {keyof Meta} */ (name));
}

/** @param {Partial<Meta>} values */
export const setMeta = (values) => inTransaction(async (tx) => putAll(metaOf(tx), values));

/** Answers of the engine worth having before it has started. @param {string} key @param {import("../types").SavedAnswer} value */
export const saveAnswer = async (key, value) =>
  here === null ? undefined : withDatabase((db) => db.put("answers", value, key));

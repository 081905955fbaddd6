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
  const here = await Promise.all(
    changes.map((c) => tx.objectStore("changes").getKey([c.device, c.seq])),
  );
  const fresh = new Map(
    changes.filter((_, i) => here[i] === undefined).map((c) => [keyOf(c.device, c.seq), c]),
  );
  return [...fresh.values()];
}

/**
 * Take in what other devices wrote, and the cursors that go with it. An answer to a device that is no more, or
 * of another workshop, is refused before anything is written; a device with nothing on it joins any workshop.
 * @param {Change[]} changes @param {Partial<import("../types").Meta>} cursors written to meta in the same transaction
 * @param {{device: string, workshop: string}} whose who asked, and whose answer it is @returns {Promise<Touched>}
 */
export function receive(changes, cursors, whose) {
  return inTransaction(async (tx) => {
    const store = tx.objectStore("changes"),
      meta = metaOf(tx),
      rows = rowsOf(tx);
    const [device, own, some] = await Promise.all([
      meta.get("device"),
      meta.get("workshop"),
      store.getAllKeys(null, 1),
    ]);
    if (device !== whose.device) throw new Emptied();
    if (own && some.length && own !== whose.workshop)
      throw new OtherWorkshop(text.otherWorkshop, whose.workshop);
    const [known = [0, 0], fresh] = await Promise.all([meta.get("hlc"), unknown(tx, changes)]);
    await Promise.all(fresh.map((c) => rows.get("undone", keyOf(c.device, c.seq))));
    let hlc = known;
    for (const change of fresh) {
      store.add(change).catch(() => {});
      await apply(rows, change);
      if (change.stamp && isLaterStamp(change.stamp, hlc)) hlc = change.stamp;
    }
    rows.write();
    meta.put(hlc, "hlc");
    putAll(meta, cursors);
    return touchedBy(rows);
  });
}

/**
 * This device's changes after `acked`, at most `most`.
 * @param {string} device
 * @param {number} acked
 * @param {number} most
 * @returns {Promise<Change[]>}
 */
export const unsent = (device, acked, most = MOST_SENT) =>
  withDatabase((db) =>
    db.getAll("changes", IDBKeyRange.bound([device, acked], [device, Infinity], true), most),
  );

/** Nothing was ever counted, written or received on this device. */
export const isEmpty = () =>
  withDatabase(async (db) => !(await db.getAllKeys("changes", null, 1)).length);

/**
 * @template {keyof Meta} K
 * @param {K} name
 */
export const meta = (name) => withDatabase((db) => metaOf(db.transaction("meta")).get(name));

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

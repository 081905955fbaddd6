// The database on this device: its stores, and the connection to it.
import { resultOf } from "./request.js";
import { store as text } from "../texts/texts.js";

const NAME = "ringwright",
  VERSION = 4,
  TRIES = 3;
const RENEWED = 3; // the last version that altered rows

/** @type {Promise<IDBDatabase> | null} */
let handle = null;
/** @type {IDBDatabase | null} the connection once it stands: a tap's transaction begins within the tap's own task */
let live = null;
/** @type {string[]} */
const unreported = [];
let report = (/** @type {string} */ why) => {
  unreported.push(why);
};

/** @param {IDBDatabase} db */
function create(db) {
  const changes = db.createObjectStore("changes", { keyPath: ["device", "seq"] });
  changes.createIndex("thing", ["thing", "id"]);
  changes.createIndex("sitting", "sitting");
  changes.createIndex("at", "at");
  db.createObjectStore("sittings", { keyPath: "sitting" });
  for (const name of ["totals", "things", "undone", "holds"])
    db.createObjectStore(name, { keyPath: "key" });
  for (const name of ["answers", "meta"]) db.createObjectStore(name);
}

/** What comes by the hundred from other devices; see packs.js. @param {IDBDatabase} db */
function addPacks(db) {
  db.createObjectStore("packs", {
    keyPath: ["device", "last", "first", "from_ms", "until_ms", "n"],
  });
}

/** Ways into a long record, so that a screen reads its part of it and not the years. @param {IDBTransaction} tx */
function index(tx) {
  const sittings = tx.objectStore("sittings");
  sittings.createIndex("seen", "seen_ms");
  sittings.createIndex("piece", "piece");
  sittings.createIndex("step", ["step", "seen_ms"]);
  tx.objectStore("holds").createIndex("waiting", "waiting");
}

/**
 * @param {IDBDatabase} db @param {IDBTransaction} tx @param {number} was its version; 0: there is none yet
 * @param {typeof import("./upgrade-rows.js") | null} renewing what brings old rows up to date; none are old without it
 */
function upgrade(db, tx, was, renewing) {
  if (was < 1) create(db);
  if (was < 2) index(tx);
  if (was < 4) addPacks(db);
  if (was > 0 && was < RENEWED)
    renewing?.renewRows(tx).catch((error) => {
      report(text.upgradeFailed(error.message));
      tx.abort();
    });
}

/** @param {(why: string) => void} listener also called with what there was to report before */
export function onDatabaseTrouble(listener) {
  report = listener;
  unreported.splice(0).forEach(listener);
}

/** What open.js asked for; it is not there yet at the very first start. */
async function early() {
  const asked = self.opening;
  delete self.opening;
  const db = asked ? await resultOf(asked).catch(() => null) : null;
  if (db?.version === VERSION) return db;
  db?.close();
  return null;
}

/**
 * Old rows are brought up to date by a module of its own, fetched before the upgrade begins: it
 * cannot wait within it.
 */
async function helper() {
  const known = await indexedDB.databases?.(); // not every browser tells
  const was = known ? (known.find((db) => db.name === NAME)?.version ?? 0) : 1;
  return was > 0 && was < RENEWED ? import("./upgrade-rows.js") : null;
}

async function ask() {
  const renewing = await helper();
  const asked = indexedDB.open(NAME, VERSION);
  asked.onupgradeneeded = (event) =>
    upgrade(
      asked.result,
      /** @type {IDBTransaction} */ (asked.transaction),
      event.oldVersion,
      renewing,
    );
  asked.onblocked = () => report(text.upgradeBlocked);
  return resultOf(asked);
}

/** @returns {Promise<IDBDatabase>} */
async function open() {
  const db = (await early()) ?? (await ask());
  db.onversionchange = () => {
    dropConnection();
    db.close();
  };
  db.onclose = dropConnection;
  live = db;
  return db;
}

const opened = () => (handle ??= open());

function dropConnection() {
  handle = live = null;
}

/** @param {unknown} error the handle is dead; a fresh one may do */
const isLost = (error) =>
  error instanceof DOMException &&
  ["InvalidStateError", "AbortError", "UnknownError"].includes(error.name);

/**
 * Browsers drop the connection in the background; it is then opened again, never reused.
 * @template T @param {(db: IDBDatabase) => Promise<T>} work @returns {Promise<T>}
 */
export async function withConnection(work) {
  for (let round = 1; ; round++) {
    try {
      return await work(live ?? (await opened()));
    } catch (error) {
      if (error instanceof DOMException && (isLost(error) || error.name === "VersionError"))
        dropConnection();
      if (!isLost(error) || round === TRIES) throw error;
    }
  }
}

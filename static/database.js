// The database on this device: its stores, and the connection to it.

const NAME = "ringwright", VERSION = 1, TRIES = 3;

/** @type {Promise<IDBDatabase> | null} */
let handle = null;
/** @type {string[]} */
const unheard = [];
let complain = (/** @type {string} */ why) => { unheard.push(why); };

/** @param {IDBDatabase} db */
function lay(db) {
  const changes = db.createObjectStore("changes", { keyPath: ["device", "seq"] });
  changes.createIndex("thing", ["thing", "id"]);
  changes.createIndex("sitting", "sitting");
  changes.createIndex("at", "at");
  db.createObjectStore("totals", { keyPath: "key" });
  db.createObjectStore("things", { keyPath: "key" });
  db.createObjectStore("sittings", { keyPath: "sitting" });
  db.createObjectStore("undone", { keyPath: "key" });
  db.createObjectStore("holds", { keyPath: "key" });
  db.createObjectStore("answers");
  db.createObjectStore("meta");
}

/** @param {(why: string) => void} listener also told what there was to say before */
export function complainTo(listener) {
  complain = listener;
  unheard.splice(0).forEach(listener);
}

/** @param {IDBOpenDBRequest} asked @returns {Promise<IDBDatabase>} */
const answered = (asked) => new Promise((resolve, reject) => {
  asked.onsuccess = () => resolve(asked.result);
  asked.onerror = () => reject(asked.error);
  if (asked.readyState !== "done") return;
  if (asked.error) reject(asked.error);
  else resolve(asked.result);
});

/** What opening.js asked for; it is not there yet at the very first start. */
async function early() {
  const asked = self.opening;
  delete self.opening;
  const db = asked ? await answered(asked).catch(() => null) : null;
  if (db?.version === VERSION) return db;
  db?.close();
  return null;
}

function ask() {
  const asked = indexedDB.open(NAME, VERSION);
  asked.onupgradeneeded = () => lay(asked.result);
  asked.onblocked = () => complain("Another open page holds the old store. Close the other Ringwright pages, then reload this one.");
  return answered(asked);
}

/** @returns {Promise<IDBDatabase>} */
async function open() {
  const db = (await early()) ?? (await ask());
  db.onversionchange = () => db.close();
  db.onclose = () => { handle = null; };
  return db;
}

const opened = () => handle ??= open();

/**
 * Browsers drop the connection in the background; the handle is then opened anew, never reused.
 * @template T @param {(db: IDBDatabase) => Promise<T>} work @returns {Promise<T>}
 */
export async function lastingly(work) {
  for (let round = 1; ; round++) {
    try {
      return await work(await opened());
    } catch (error) {
      const lost = error instanceof DOMException && ["InvalidStateError", "AbortError", "UnknownError"].includes(error.name);
      if (!lost || round === TRIES) throw error;
      handle = null;
    }
  }
}

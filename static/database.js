// The database on this device: its stores, and the connection to it.

const TRIES = 3;

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

function opened() {
  return handle ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open("ringwright", 1);
    asked.onupgradeneeded = () => lay(asked.result);
    asked.onblocked = () => complain("Another open page holds the old store. Close the other Ringwright pages, then reload this one.");
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
      asked.result.onversionchange = () => asked.result.close();
      asked.result.onclose = () => { handle = null; };
      resolve(asked.result);
    };
  });
}

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

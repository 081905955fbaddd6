// Transactions over the log: strict, so that what is shown as saved is on the disk; rows read and written once.
import { wrap } from "../vendor/idb.js";
import { withConnection } from "./database.js";
import { keyOf, totalKey } from "./fold.js";

const DERIVED = /** @type {const} */ (["totals", "things", "sittings", "undone", "holds"]);
/** The log and what is derived from it: one transaction writes them together. */
export const ALL = ["changes", ...DERIVED, "meta"];

/** @template T @param {(db: import("idb").IDBPDatabase) => Promise<T>} work @returns {Promise<T>} */
export const withDatabase = (work) => withConnection((db) => work(/** @type {any} */ (wrap(db))));

/**
 * One strict read-write transaction over the log. `work` may await only the rows it is given.
 * @template T @param {(tx: any) => Promise<T>} work @returns {Promise<T>}
 */
export function inTransaction(work) {
  return withDatabase(async (db) => {
    const tx = db.transaction(ALL, "readwrite", { durability: "strict" });
    try {
      const out = await work(tx);
      await tx.done;
      return out;
    } catch (error) {
      tx.done.catch(() => {}); // the reason is thrown below; an abort must not also surface alone
      try {
        tx.abort();
      } catch {
        /* it ended by itself */
      }
      throw error;
    }
  });
}

/** Rows of a transaction, read once and written once at the end, however many changes touch them. @param {any} tx */
export function rowsOf(tx) {
  /** @type {Map<string, Map<string, any>>} */
  const known = new Map(ALL.map((name) => [name, new Map()]));
  /** @type {Map<string, Map<string, any>>} */
  const written = new Map(DERIVED.map((name) => [name, new Map()]));
  return {
    /** @param {string} store @param {any} key */
    get(store, key) {
      const rows = /** @type {Map<string, any>} */ (known.get(store)),
        name = String(key);
      if (!rows.has(name)) rows.set(name, tx.objectStore(store).get(key));
      return rows.get(name);
    },
    /** @param {string} store @param {any} row */
    put(store, row) {
      const name = row.key ?? row.sitting;
      known.get(store)?.set(name, Promise.resolve(row));
      written.get(store)?.set(name, row);
    },
    /** @param {string} store @returns {any[]} what was written so far */
    written: (store) => [...(written.get(store)?.values() ?? [])],
    write() {
      // a failed request aborts the transaction, whose own promise carries the reason
      for (const [store, rows] of written)
        for (const row of rows.values())
          tx.objectStore(store)
            .put(row)
            .catch(() => {});
    },
  };
}

/** Where the own log ends, as far as this page knows. @type {import("../types").Key} */
let own = { device: "", seq: 0 };
/** @param {import("../types").Key} key of the newest own change */
export const setOwnPosition = (key) => {
  own = key;
};

/**
 * Ask at once for the rows that counts will touch, so that a tap takes one way to the disk and back. Where
 * another page has moved the log meanwhile, `apply` asks for what is lacking.
 * @param {ReturnType<typeof rowsOf>} rows @param {import("../types").NewChange[]} entries
 */
export function prefetch(rows, entries) {
  entries.forEach(({ kind, piece, panel, step, sitting, undoes }, k) => {
    if ((kind !== "count" && kind !== "scrap") || undoes) return;
    const wanted = [
      ["totals", totalKey(piece, panel, step)],
      ["undone", keyOf(own.device, own.seq + k + 1)],
      ...(sitting ? [["sittings", sitting]] : []),
    ];
    for (const [store, key] of wanted) rows.get(store, key).catch(() => {}); // `apply` asks again and meets the error
  });
  return rows;
}

// Transactions over the log: strict, so that what is shown as saved is on the disk; rows read and written once.
import { wrap } from "../vendor/idb.js";
import { withConnection } from "./database.js";
import { keyOf, totalKey } from "./fold.js";
import { changeAt } from "./packs.js";

const DERIVED = /** @type {const} */ (["totals", "things", "sittings", "undone", "holds"]);
/** The log and what is derived from it: one transaction writes them together. */
export const ALL = /** @type {const} */ (["changes", "packs", ...DERIVED, "meta"]);

/** @typedef {import("../types").LogDatabase} LogDatabase */
/** @typedef {import("../types").LogRows} LogRows */
/** @typedef {import("idb").IDBPTransaction<LogDatabase, import("idb").StoreNames<LogDatabase>[], "readwrite">} LogTransaction */

/** @template T @param {(db: import("idb").IDBPDatabase<LogDatabase>) => Promise<T>} work @returns {Promise<T>} */
export const withDatabase = (work) =>
  withConnection((db) => work(/** @type {import("idb").IDBPDatabase<LogDatabase>} */ (wrap(db))));

/**
 * What this device keeps besides its log, by names that each have a type of their own.
 * @param {{objectStore: (name: "meta") => unknown}} tx
 */
export const metaOf = (tx) => /** @type {import("../types").MetaStore} */ (tx.objectStore("meta"));

/**
 * One read-write transaction over the log. `work` may await only the rows it is given.
 * @template T @param {(tx: LogTransaction) => Promise<T>} work
 * @param {"strict" | "relaxed"} [durability] relaxed only for what can be asked for again
 * @returns {Promise<T>}
 */
export function inTransaction(work, durability = "strict") {
  return withDatabase(async (db) => {
    const tx = db.transaction([...ALL], "readwrite", { durability });
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

/** Rows of a transaction, read once and written once at the end, however many changes touch them. @param {LogTransaction} tx */
export function rowsOf(tx) {
  /** @type {Map<string, Map<string, Promise<LogRows[keyof LogRows] | undefined>>>} */
  const known = new Map([...DERIVED, "changes"].map((name) => [name, new Map()]));
  /** @type {Map<typeof DERIVED[number], Map<string, LogRows[typeof DERIVED[number]]>>} */
  const written = new Map(DERIVED.map((name) => [name, new Map()]));
  /** @param {keyof LogRows} store @param {string | [string, number]} key @returns {Promise<any>} */
  const ask = (store, key) =>
    typeof key === "string"
      ? tx.objectStore(store).get(/** @type {any} */ (key))
      : changeAt(tx, ...key);
  return {
    /**
     * What is known of a row without asking.
     * @template {keyof LogRows} S
     * @param {S} store @param {LogDatabase[S]["key"]} key @param {LogRows[S] | undefined} row
     */
    know(store, key, row) {
      known.get(store)?.set(String(key), Promise.resolve(row));
    },
    /**
     * @template {keyof LogRows} S
     * @param {S} store @param {LogDatabase[S]["key"]} key
     * @returns {Promise<LogRows[S] | undefined>}
     */
    get(store, key) {
      const name = String(key);
      const row = known.get(store)?.get(name) ?? ask(store, key);
      known.get(store)?.set(name, row);
      return /** @type {Promise<LogRows[S] | undefined>} */ (row);
    },
    /** @template {typeof DERIVED[number]} S @param {S} store @param {LogRows[S]} row */
    put(store, row) {
      const name = "key" in row ? row.key : row.sitting;
      known.get(store)?.set(name, Promise.resolve(row));
      written.get(store)?.set(name, row);
    },
    /**
     * What was written so far.
     * @template {typeof DERIVED[number]} S @param {S} store
     */
    written: (store) => /** @type {LogRows[S][]} */ ([...(written.get(store)?.values() ?? [])]),
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
      rows.get("totals", totalKey(piece, panel, step)),
      rows.get("undone", keyOf(own.device, own.seq + k + 1)),
      ...(sitting ? [rows.get("sittings", sitting)] : []),
    ];
    for (const row of wanted) row.catch(() => {}); // `apply` asks again and meets the error
  });
  return rows;
}

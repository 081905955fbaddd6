// Rows of an older layout as the present one has them: done once, inside the transaction that upgrades the
// database, and fetched only then. Everything is read from the log itself, which no layout alters.
import { apply, counted, keyOf } from "./fold.js";
import { resultOf } from "./request.js";

/** @typedef {import("../types").Change} Change */
/** @typedef {import("../types").Sitting} Sitting */

const PORTION = 200;

/** @param {IDBTransaction} tx @returns {import("../types").Rows} */
const rowsOf = (tx) => ({
  get: (store, key) => resultOf(tx.objectStore(store).get(key)),
  put: (store, row) => resultOf(tx.objectStore(store).put(row)),
});

/**
 * Changes of sittings, one sitting after the other.
 * @param {IDBTransaction} tx
 * @param {(changes: Change[]) => void} work
 */
async function eachSitting(tx, work) {
  const index = tx.objectStore("changes").index("sitting");
  const names = /** @type {IDBValidKey[]} */ (
    await resultOf(tx.objectStore("sittings").getAllKeys())
  );
  for (let k = 0; k < names.length; k += PORTION) {
    const all = await Promise.all(
      names.slice(k, k + PORTION).map((name) => resultOf(index.getAll(name))),
    );
    all.forEach(work);
  }
}

/** The last sign of any kind; rows of the first layout do not say it. @param {Sitting} row */
const seen = (row) =>
  row.seen_ms ?? row.events.reduce((last, e) => Math.max(last, e.t), row.last_ms);

/**
 * Whether a count counts: not taken back, and of those that answer one contact the first.
 * @param {Set<string>} undone
 * @param {Map<string, string>} first
 */
const counts = (undone, first) => (/** @type {Change} */ c) =>
  (c.kind === "count" || c.kind === "scrap") &&
  !c.undoes &&
  !undone.has(keyOf(c.device, c.seq)) &&
  (c.kind !== "count" ||
    !c.holds ||
    first.get(keyOf(c.holds.device, c.holds.seq)) === keyOf(c.device, c.seq));

/**
 * Sittings know the sums of their counts, those of the tap that started the clock too; and what a newer page
 * had corrected meanwhile is applied.
 * @param {IDBTransaction} tx
 */
export async function sumSittings(tx) {
  const sittings = tx.objectStore("sittings"),
    corrections = /** @type {Change[]} */ ([]);
  const undone = new Set((await resultOf(tx.objectStore("undone").getAllKeys())).map(String));
  const holds = /** @type {import("../types").Held[]} */ (
    await resultOf(tx.objectStore("holds").getAll())
  );
  const living = counts(
    undone,
    new Map(
      holds
        .filter((h) => h.counts?.length)
        .map((h) => [h.key, keyOf(h.counts[0].device, h.counts[0].seq)]),
    ),
  );
  const rows = new Map(
    /** @type {Sitting[]} */ (await resultOf(sittings.getAll())).map((row) => [row.sitting, row]),
  );
  await eachSitting(tx, (changes) => {
    const row = rows.get(changes[0]?.sitting ?? "");
    if (!row) return;
    corrections.push(...changes.filter((c) => c.event === "correct"));
    const bare = /** @type {Sitting} */ ({
      ...row,
      items: 0,
      untimed: 0,
      sums: {},
      events: row.events.filter((e) => e.event !== "correct"),
    });
    sittings.put({
      ...changes.filter(living).reduce((sum, c) => counted(sum, c, 1), bare),
      last_ms: row.last_ms,
      seen_ms: seen(row),
    });
  });
  for (const change of corrections) await apply(rowsOf(tx), change);
}

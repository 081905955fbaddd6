// Rows of an older layout as the present one has them: done once, inside the transaction that upgrades the
// database, and fetched only then. Everything is read from the log itself, which no layout alters.
import { apply, byKey, counted, keyOf, totalKey } from "./fold.js";
import { resultOf } from "./request.js";

/** @typedef {import("../types").Change} Change */
/** @typedef {import("../types").Sitting} Sitting */
/** @typedef {import("../types").Key} Key */
/** @typedef {import("../types").Held} Held */
/** @typedef {import("../types").Total} Total */

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

/**
 * The whole log, a portion at a time.
 * @param {IDBTransaction} tx
 * @param {(change: Change) => void} work
 */
async function eachChange(tx, work) {
  const store = tx.objectStore("changes");
  /** @type {Change[]} */
  let some = [];
  do {
    const last = some.at(-1);
    const after = last && IDBKeyRange.lowerBound([last.device, last.seq], true);
    some = /** @type {Change[]} */ (await resultOf(store.getAll(after, PORTION)));
    some.forEach(work);
  } while (some.length === PORTION);
}

/** @param {Change} c an item or a spoiled one, not the undo of either */
const isCount = (c) => (c.kind === "count" || c.kind === "scrap") && !c.undoes;

/** @param {Change} c */
const answersHold = (c) => c.kind === "count" && c.holds;

/** The last sign of any kind; rows of the first layout do not say it. @param {Sitting} row */
const seen = (row) =>
  row.seen_ms ?? row.events.reduce((last, e) => Math.max(last, e.t), row.last_ms);

/**
 * Whether a count counts: not taken back, and of those that answer one contact the first.
 * @param {Set<string>} undone
 * @param {Map<string, Key[]>} answers
 */
const counts = (undone, answers) => (/** @type {Change} */ c) => {
  const key = keyOf(c.device, c.seq);
  if (!isCount(c) || undone.has(key)) return false;
  if (!answersHold(c)) return true;
  const [first] = answers.get(keyOf(c.holds?.device ?? "", c.holds?.seq ?? 0)) ?? [];
  return keyOf(first.device, first.seq) === key;
};

/**
 * Of each hold that was answered the counts that do so, in order, none undone.
 * @param {IDBTransaction} tx @param {Set<string>} undone
 */
async function answersByHold(tx, undone) {
  const answers = /** @type {Map<string, Key[]>} */ (new Map());
  await eachChange(tx, (c) => {
    if (!isCount(c) || !answersHold(c)) return;
    const hold = keyOf(c.holds?.device ?? "", c.holds?.seq ?? 0),
      known = answers.get(hold) ?? [];
    const more = undone.has(keyOf(c.device, c.seq)) ? [] : [{ device: c.device, seq: c.seq }];
    answers.set(hold, [...known, ...more].sort(byKey));
  });
  return answers;
}

/**
 * The first pages did not note which counts answer a hold, and added every one of them. `waiting` is what the
 * index of those without an answer looks at.
 * @param {IDBTransaction} tx @param {Map<string, Key[]>} answers
 */
async function renewHolds(tx, answers) {
  const holds = tx.objectStore("holds"),
    rows = /** @type {Held[]} */ (await resultOf(holds.getAll()));
  for (const row of rows) if (!answers.has(row.key)) holds.put({ ...row, counts: [], waiting: 1 });
  for (const [key, counts] of answers) holds.put({ key, change: null, counts });
}

/**
 * Totals as the counts say that count, each in its place: what moves it comes after.
 * @param {IDBTransaction} tx @param {(change: Change) => boolean} living
 */
async function renewTotals(tx, living) {
  const totals = tx.objectStore("totals"),
    rows = /** @type {Total[]} */ (await resultOf(totals.getAll()));
  const sums = new Map(rows.map((row) => [row.key, { ...row, done: 0, spoiled: 0 }]));
  for (const row of sums.values()) if (row.stocktake) row.stocktake = 0;
  await eachChange(tx, (c) => {
    if (!living(c)) return;
    const { piece = "", panel = "", step = "", n = 0 } = c,
      key = totalKey(piece, panel, step);
    const row = sums.get(key) ?? { key, piece, panel, step, done: 0, spoiled: 0 };
    row[c.kind === "scrap" ? "spoiled" : "done"] += n;
    if (c.how === "stocktake") row.stocktake = (row.stocktake ?? 0) + n;
    sums.set(key, row);
  });
  for (const row of sums.values()) totals.put(row);
}

/**
 * Rows of an older layout as the present one has them.
 * @param {IDBTransaction} tx
 */
export async function renewRows(tx) {
  const undone = new Set((await resultOf(tx.objectStore("undone").getAllKeys())).map(String));
  const answers = await answersByHold(tx, undone),
    living = counts(undone, answers);
  await renewHolds(tx, answers);
  await renewTotals(tx, living);
  await sumSittings(tx, living);
}

/**
 * Sittings know the sums of their counts, those of the tap that started the clock too; and what a newer page
 * had corrected meanwhile is applied.
 * @param {IDBTransaction} tx @param {(change: Change) => boolean} living
 */
async function sumSittings(tx, living) {
  const sittings = tx.objectStore("sittings"),
    corrections = /** @type {Change[]} */ ([]);
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

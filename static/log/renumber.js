// A device put back to an earlier copy of itself: its later life has used the numbers above `parted` already, and
// gets them back from the server as another device's. What was entered since goes on under a new name, with
// numbers from 1; everything that points to it points there from then on.
import { apply, keyOf, thingKey } from "./fold.js";
import { nextStamp, randomId, toHex, unsent } from "./log.js";
import { retargeted } from "./retarget.js";
import { inTransaction, metaOf, rowsOf } from "./transaction.js";

/** @typedef {import("../types").Change} Change */
/** @typedef {import("../types").Move} Move */
/**
 * A store whose rows are only looked through for what has moved.
 * @typedef {{getAll(): Promise<{key: string}[]>, put(row: object): Promise<unknown>, delete(key: string): Promise<void>}} AnyRows
 */

/** The key of a row that belongs to one change. @param {Move} move @param {string} key */
function movedKey({ from, above, to }, key) {
  const seq = key.startsWith(`${from}:`) ? Number(key.slice(from.length + 1)) : 0;
  return seq > above ? keyOf(to, seq - above) : key;
}

/**
 * Rows whose keys or contents point to changes that move.
 * @param {import("./transaction.js").LogTransaction} tx @param {Move} move
 * @param {"things" | "sittings" | "undone" | "holds"} name
 */
async function moveRows(tx, move, name) {
  const store = /** @type {AnyRows} */ (/** @type {unknown} */ (tx.objectStore(name)));
  for (const row of await store.getAll()) {
    const now = retargeted(move, row);
    if (name === "undone" || name === "holds") now.key = movedKey(move, row.key);
    if (JSON.stringify(now) === JSON.stringify(row)) continue;
    if (now.key !== row.key) store.delete(row.key).catch(() => {}); // the transaction says why
    store.put(now).catch(() => {});
  }
}

/** @param {import("./transaction.js").LogTransaction} tx @param {Move} move @returns {Promise<number>} how many moved */
async function moveChanges(tx, move) {
  const store = tx.objectStore("changes");
  const { from, above } = move;
  const range = IDBKeyRange.bound([from, above], [from, Infinity], true);
  const changes = await store.getAll(range);
  for (const change of changes) {
    store.delete([from, change.seq]).catch(() => {});
    store.put(retargeted(move, change)).catch(() => {});
  }
  return changes.length;
}

/**
 * What was set for this device alone stays so under its new name.
 * @param {import("./transaction.js").LogTransaction} tx @param {Move} move @param {number} seq the last one used
 * @returns {Promise<number>} the last one used then
 */
async function carrySettings(tx, { from, to }, seq) {
  const meta = metaOf(tx),
    rows = rowsOf(tx);
  const row = await rows.get("things", thingKey("setting", `device:${from}`));
  const at = Date.now(),
    tz = 0 - new Date().getTimezoneOffset();
  for (const [field, { value }] of Object.entries(row?.fields ?? {})) {
    const change = /** @type {Change} */ ({
      device: to,
      seq: ++seq,
      at,
      tz,
      v: 1,
      kind: "set",
      thing: "setting",
      id: `device:${to}`,
      field,
      value,
      stamp: await nextStamp(meta, at),
      over: [],
    });
    tx.objectStore("changes")
      .add(change)
      .catch(() => {});
    await apply(rows, change);
  }
  rows.write();
  return seq;
}

/**
 * The name under which changes go on: it follows from the first of them. Two copies that hold the same change take the
 * same name for it, so the server knows it the second time and counts it once.
 * @param {string} device @param {number} parted @returns {Promise<string>}
 */
async function nextName(device, parted) {
  const [first] = await unsent(device, parted, 1);
  if (!first) return randomId();
  const text = JSON.stringify([device, parted, Object.entries(first).sort()]);
  const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  return toHex(new Uint8Array(digest, 0, 8));
}

/**
 * Begin a new name with all own changes above `parted`, in one transaction.
 * @param {string} device the name so far; where another page has changed it meanwhile, nothing happens
 * @param {number} parted up to there this device and the server have the same
 */
export async function moveOn(device, parted) {
  const to = await nextName(device, parted); // what stands there already never changes
  return inTransaction(async (tx) => {
    const meta = metaOf(tx);
    if ((await meta.get("device")) !== device) return;
    const move = { from: device, above: parted, to };
    const [moved = [], refused = [], gone = []] = await Promise.all([
      meta.get("moved"),
      meta.get("refused"),
      meta.get("holds_gone"),
    ]);
    const n = await moveChanges(tx, move);
    for (const name of /** @type {const} */ (["things", "sittings", "undone", "holds"]))
      await moveRows(tx, move, name);
    meta.put(await carrySettings(tx, move, n), "seq");
    meta.put(move.to, "device");
    meta.put(0, "acked");
    meta.put(0, "after"); // own changes were left out of what came so far
    meta.put(null, "mark");
    meta.put([...moved, move], "moved");
    meta.put(
      refused.map((r) => retargeted(move, { ...r, device: r.device ?? device })),
      "refused",
    );
    meta.put(
      gone.filter((seq) => seq > parted).map((seq) => seq - parted),
      "holds_gone",
    );
  });
}

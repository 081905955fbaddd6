// Many changes of another device in one row. A browser writes and finds a row in a tenth of a millisecond, however small
// it is: ten years row by row would take minutes. So what comes by the hundred is kept as it came, as one text a device
// and portion, and read through these functions. Own changes and what was set stand in `changes`, a row each.
//
// The packs of a device do not overlap: each change is there once, and the pack that may hold a number is found by its
// key alone. A key says everything about its pack but the changes themselves.
import { keyOf } from "./fold.js";

/** @typedef {import("../types").Change} Change */
/** @typedef {import("../types").LogTransaction} LogTransaction */
/** @typedef {import("./transaction.js").LogTransaction} WritingTransaction */
/** @typedef {import("../types").PackKey} PackKey */
/** @typedef {[device: string, seq: number]} Place */

const LEAST = 64, // fewer stand in rows of their own
  HEADS = 64; // keys read at once

/** @param {PackKey} key */
const headOf = ([device, last, first, from_ms, until_ms, n]) => ({
  device,
  last,
  first,
  from_ms,
  until_ms,
  n,
});

/** @param {Place} a @param {Place} b */
const byPlace = (a, b) => (a[0] < b[0] ? -1 : a[0] > b[0] ? 1 : a[1] - b[1]);

/** @param {Change} c @returns {Place} */
export const placeOf = (c) => [c.device, c.seq];

/** @param {LogTransaction} tx @param {PackKey} key @returns {Promise<Change[]>} */
async function unpack(tx, key) {
  const row = await tx.objectStore("packs").get(key);
  return row ? JSON.parse(row.text) : [];
}

/** @param {LogTransaction} tx @param {PackKey[]} keys @returns {Promise<Change[]>} */
const unpackAll = async (tx, keys) =>
  (await Promise.all(keys.map((key) => unpack(tx, key)))).flat();

/** Every pack, by device and number. @param {LogTransaction} tx */
export const allPacks = (tx) => tx.objectStore("packs").getAllKeys();

/**
 * Keys of the packs that reach into these numbers of a device.
 * @param {LogTransaction} tx @param {string} device @param {number} from @param {number} to
 */
async function overlapping(tx, device, from, to) {
  const out = /** @type {PackKey[]} */ ([]);
  for (let at = from; ;) {
    const range = IDBKeyRange.bound([device, at], [device, Infinity]);
    const keys = await tx.objectStore("packs").getAllKeys(range, 2);
    for (const key of keys) {
      if (headOf(key).first > to) return out;
      out.push(key);
    }
    if (keys.length < 2) return out;
    at = headOf(keys[1]).last + 1;
  }
}

/**
 * The change under a number, wherever it stands.
 * @param {LogTransaction} tx @param {string} device @param {number} seq @returns {Promise<Change | undefined>}
 */
export async function changeAt(tx, device, seq) {
  const row = await tx.objectStore("changes").get([device, seq]);
  if (row) return row;
  const [key] = await overlapping(tx, device, seq, seq);
  return key && (await unpack(tx, key)).find((c) => c.seq === seq);
}

/**
 * Numbers that lie close together, as one stretch to be asked for at once.
 * @param {Change[]} changes @returns {{device: string, from: number, to: number}[]}
 */
export function stretches(changes) {
  const out = /** @type {{device: string, from: number, to: number}[]} */ ([]);
  for (const [device, seq] of changes.map(placeOf).sort(byPlace)) {
    const last = out.at(-1);
    if (last?.device === device && seq - last.to <= LEAST) last.to = seq;
    else out.push({ device, from: seq, to: seq });
  }
  return out;
}

/**
 * Which of these numbers are here, as `device:seq`.
 * @param {LogTransaction} tx @param {Change[]} changes
 */
export async function numbersHere(tx, changes) {
  const here = /** @type {Set<string>} */ (new Set());
  const look = async (/** @type {{device: string, from: number, to: number}} */ it) => {
    const [rows, packs] = await Promise.all([
      tx
        .objectStore("changes")
        .getAllKeys(IDBKeyRange.bound([it.device, it.from], [it.device, it.to])),
      overlapping(tx, it.device, it.from, it.to),
    ]);
    for (const [device, seq] of rows) here.add(keyOf(device, seq));
    for (const { device, seq } of await unpackAll(tx, packs)) here.add(keyOf(device, seq));
  };
  await Promise.all(stretches(changes).map(look));
  return here;
}

/**
 * What stands under the numbers of these changes, by `device:seq`.
 * @param {LogTransaction} tx @param {Change[]} changes
 */
export async function hereUnder(tx, changes) {
  const here = /** @type {Map<string, Change>} */ (new Map());
  const look = async (/** @type {{device: string, from: number, to: number}} */ it) => {
    const range = IDBKeyRange.bound([it.device, it.from], [it.device, it.to]);
    const [rows, packs] = await Promise.all([
      tx.objectStore("changes").getAll(range),
      overlapping(tx, it.device, it.from, it.to),
    ]);
    for (const c of [...rows, ...(await unpackAll(tx, packs))]) here.set(keyOf(c.device, c.seq), c);
  };
  await Promise.all(stretches(changes).map(look));
  return here;
}

/** Whether it may lie in a pack: what was set is found by its name, and a key holds only numbers. @param {Change} c */
const mayPack = (c) => c.kind !== "set" && Number.isFinite(c.at);

/** @param {string} device @param {Change[]} changes */
function packOf(device, changes) {
  const row = { device, last: 0, first: Infinity, from_ms: Infinity, until_ms: -Infinity };
  for (const { seq, at } of changes) {
    row.last = Math.max(row.last, seq);
    row.first = Math.min(row.first, seq);
    row.from_ms = Math.min(row.from_ms, at);
    row.until_ms = Math.max(row.until_ms, at);
  }
  return { ...row, n: changes.length, text: JSON.stringify(changes) };
}

/**
 * Keep changes of other devices, none of which is here yet.
 * @param {WritingTransaction} tx @param {Change[]} changes
 */
export async function keep(tx, changes) {
  const singly = changes.filter((c) => !mayPack(c)),
    devices = new Set(changes.map((c) => c.device));
  for (const device of devices) {
    const all = changes.filter((c) => c.device === device && mayPack(c));
    const pack = all.length < LEAST ? null : packOf(device, all);
    if (!pack || (await overlapping(tx, device, pack.first, pack.last)).length) singly.push(...all);
    else put(tx.objectStore("packs").add(pack));
  }
  for (const change of singly) put(tx.objectStore("changes").add(change));
}

/** A write that fails aborts its transaction, which says why. @param {Promise<unknown>} request */
const put = (request) => {
  request.catch(() => {});
};

/**
 * The changes that follow a place, in order of device and number; none: there are no more.
 * @param {LogTransaction} tx @param {Place} after @param {number} most @param {string} [only] of this device
 * @returns {Promise<Change[]>} at most `most`
 */
export async function changesAfter(tx, after, most, only) {
  /** @param {Place} from @param {boolean} open */
  const range = (from, open) =>
    only === undefined
      ? IDBKeyRange.lowerBound(from, open)
      : IDBKeyRange.bound(from, [only, Infinity], open);
  const [rows, heads] = await Promise.all([
    tx.objectStore("changes").getAll(range(after, true), most),
    tx.objectStore("packs").getAllKeys(range([after[0], after[1] + 1], false), HEADS),
  ]);
  const taken = /** @type {PackKey[]} */ ([]);
  for (let n = 0; taken.length < heads.length && n < most;) {
    taken.push(heads[taken.length]);
    n += headOf(taken[taken.length - 1]).n;
  }
  const ends = [
    ...(rows.length === most ? [placeOf(rows[most - 1])] : []),
    ...(taken.length < heads.length || heads.length === HEADS ? [lastOf(taken)] : []),
  ].sort(byPlace);
  return [...rows, ...(await unpackAll(tx, taken))]
    .filter((c) => byPlace(placeOf(c), after) > 0 && !(ends[0] && byPlace(placeOf(c), ends[0]) > 0))
    .sort((a, b) => byPlace(placeOf(a), placeOf(b)))
    .slice(0, most);
}

/** @param {PackKey[]} keys @returns {Place} */
const lastOf = (keys) => {
  const { device, last } = headOf(keys[keys.length - 1]);
  return [device, last];
};

/**
 * Of what lies in packs the changes newest by wall time that pass, no more than `most`.
 * @param {LogTransaction} tx @param {number} until_ms @param {number} most @param {(change: Change) => boolean} passes
 */
export async function newestPacked(tx, until_ms, most, passes) {
  const keys = (await allPacks(tx)).filter((key) => headOf(key).from_ms <= until_ms);
  keys.sort((a, b) => headOf(b).until_ms - headOf(a).until_ms);
  let out = /** @type {Change[]} */ ([]);
  for (const key of keys) {
    if (out.length === most && out[most - 1].at > headOf(key).until_ms) break;
    const more = (await unpack(tx, key)).filter((c) => c.at <= until_ms && passes(c));
    out = [...out, ...more].sort(newestFirst).slice(0, most);
  }
  return out;
}

/** @param {Change} a @param {Change} b */
export const newestFirst = (a, b) => b.at - a.at || byPlace(placeOf(b), placeOf(a));

/** How many changes lie in packs. @param {LogTransaction} tx */
export const countPacked = async (tx) =>
  (await allPacks(tx)).reduce((sum, key) => sum + headOf(key).n, 0);

/**
 * How many changes of a device follow a number; the pack in which it lies counts whole.
 * @param {LogTransaction} tx @param {string} device @param {number} seq
 */
export async function countAfter(tx, device, seq) {
  const range = IDBKeyRange.bound([device, seq + 1], [device, Infinity]);
  const [rows, keys] = await Promise.all([
    tx.objectStore("changes").count(range),
    tx.objectStore("packs").getAllKeys(range),
  ]);
  return keys.reduce((sum, key) => sum + headOf(key).n, rows);
}

// Whose counts this device holds, and the ways from one workshop to another: bring the records over, start empty.
import * as log from "./log.js";
import { missing } from "./missing.js";
import { changesAfter, countPacked } from "./packs.js";
import { ALL, metaOf, withDatabase } from "./transaction.js";

/** @typedef {import("../types").Change} Change */

const STORES = /** @type {const} */ ([...ALL, "answers"]),
  DRAFTS = "ringwright-";

/** No round with a server runs meanwhile. @template T @param {() => Promise<T>} work */
const aloneWithTheLog = (work) => navigator.locks.request("ringwright-sync", work);

/**
 * @returns {Promise<{workshop: string, changes: number, brought: {refused: number} | null}>} `changes`:
 *   of all devices, on this one
 */
export const holdings = () =>
  withDatabase(async (db) => {
    const tx = db.transaction(["meta", "changes", "packs"]),
      meta = metaOf(tx);
    const [workshop, brought, rows, packed] = await Promise.all([
      meta.get("workshop"),
      meta.get("brought"),
      tx.objectStore("changes").count(),
      countPacked(tx),
    ]);
    return { workshop: workshop ?? "", brought: brought ?? null, changes: rows + packed };
  });

/** Erase everything here; a new numbering begins. @param {string} workshop the one it belongs to from now on */
export async function empty(workshop) {
  await aloneWithTheLog(() =>
    withDatabase(async (db) => {
      const tx = db.transaction([...STORES], "readwrite", { durability: "strict" });
      for (const name of STORES)
        tx.objectStore(name)
          .clear()
          .catch(() => {}); // the transaction says why
      log.begin(metaOf(tx), workshop);
      await tx.done;
      log.shut();
    }),
  );
  for (const name of Object.keys(localStorage))
    if (name.startsWith(DRAFTS)) localStorage.removeItem(name);
}

/**
 * From now on the records belong to another workshop: the next rounds send all of them there.
 * @param {string} workshop
 */
export const moveTo = (workshop) =>
  aloneWithTheLog(() =>
    log.setMeta({
      workshop,
      log: null,
      acked: 0,
      after: 0,
      mark: null,
      bringing: true,
      brought: null,
    }),
  );

/** @param {string} device @returns {Promise<string | undefined>} the next one with changes here */
const deviceAfter = (device) =>
  withDatabase(async (db) => {
    const tx = db.transaction(["changes", "packs"]);
    return (await changesAfter(tx, [device, Infinity], 1))[0]?.device;
  });

/**
 * A server takes each device's numbers without a gap. One is missing here where the old server kept a change aside;
 * its number is used up in the same way. @param {Change[]} changes @param {number} after
 */
function withoutGaps(changes, after) {
  const out = /** @type {Change[]} */ ([]);
  let seq = after;
  for (const change of changes) {
    while (++seq < change.seq) out.push(missing(change, seq));
    out.push(change);
  }
  return out.slice(0, log.MOST_SENT);
}

/**
 * Send what was received from other devices, each under its own name and numbers: brought over from two devices, it is
 * there once. Begun again from the start where it was cut short.
 * @param {(body: object) => Promise<{upto: number, refused: {seq: number}[]}>} post @param {(changes: Change[]) => Change[]} fitting
 */
export async function bringOthers(post, fitting) {
  const [own, workshop] = await Promise.all([log.meta("device"), log.meta("workshop")]);
  let refused = 0;
  for (let device = await deviceAfter(""); device; device = await deviceAfter(device)) {
    for (let sent = 0, after = 0; device !== own;) {
      const unsent = await log.unsent(device, sent);
      const changes = withoutGaps(fitting(unsent), sent);
      if (!changes.length) break;
      const answer = await post({ v: 1, device, workshop, log: null, after, changes });
      refused += answer.refused.filter((r) => unsent.some((c) => c.seq === r.seq)).length;
      [sent, after] = [changes[changes.length - 1].seq, answer.upto];
    }
  }
  await log.setMeta({ bringing: false, brought: { refused } });
}

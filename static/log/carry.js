// What came by file goes on to the server, under the names and numbers it has. The server says how far it has each
// device's changes itself; the rest follows without a gap, or not at all: a number that is missing here may still
// come from the device that used it.
import * as log from "./log.js";

/** @typedef {import("../types").Change} Change */
/** @typedef {(body: object) => Promise<{acked: number, refused: unknown[]}>} Post */

/** Those that follow one on the other. @param {Change[]} changes @param {number} after */
const inARow = (changes, after) => changes.filter((c, k) => c.seq === after + 1 + k);

/**
 * @param {string} device @param {object} cursors @param {Post} post @param {(changes: Change[]) => Change[]} fitting
 * @returns {Promise<number>} how many of them the server put aside
 */
async function carryOne(device, cursors, post, fitting) {
  let { acked } = await post({ ...cursors, device, changes: [] }),
    refused = 0;
  for (;;) {
    const changes = inARow(fitting(await log.unsent(device, acked)), acked);
    if (!changes.length) return refused;
    const answer = await post({ ...cursors, device, changes });
    refused += answer.refused.length;
    if (answer.acked <= acked) return refused;
    acked = answer.acked;
  }
}

/**
 * Begun again from the first device where it was cut short.
 * @param {Post} post @param {(changes: Change[]) => Change[]} fitting
 */
export async function carry(post, fitting) {
  const [carried = [], workshop, logId, after] = await Promise.all([
    log.meta("carried"),
    log.meta("workshop"),
    log.meta("log"),
    log.meta("after"),
  ]);
  const cursors = { v: 1, workshop: workshop ?? null, log: logId ?? null, after: after ?? 0 };
  let refused = 0;
  for (const device of carried) refused += await carryOne(device, cursors, post, fitting);
  await log.setMeta({ carried: [], ...(refused ? { brought: { refused } } : {}) });
}

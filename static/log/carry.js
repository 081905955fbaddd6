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
 * @param {(n: number, left: number) => void} progress
 * @returns {Promise<{refused: number, left: boolean}>} how many of them the server set aside, and whether some lie
 *   behind a number that is missing here
 */
async function carryOne(device, cursors, post, fitting, progress) {
  let { acked } = await post({ ...cursors, device, changes: [] }),
    refused = 0,
    left = await log.countUnsent(device, acked);
  for (;;) {
    const changes = inARow(fitting(await log.unsent(device, acked)), acked);
    const answer = changes.length ? await post({ ...cursors, device, changes }) : null;
    refused += answer?.refused.length ?? 0;
    if (!answer || answer.acked <= acked)
      return { refused, left: (await log.unsent(device, acked, 1)).length > 0 };
    left = Math.max(0, left - changes.length);
    progress(changes.length, left);
    acked = answer.acked;
  }
}

/**
 * Begun again from the first device where it was cut short.
 * @param {string[]} carried devices @param {Post} post @param {(changes: Change[]) => Change[]} fitting
 * @param {(n: number, left: number) => void} progress how many the server has taken, how many of that device are left
 * @returns {Promise<boolean>} whether some of it is not on the server yet
 */
export async function carry(carried, post, fitting, progress) {
  const [workshop, logId, after] = await Promise.all([
    log.meta("workshop"),
    log.meta("log"),
    log.meta("after"),
  ]);
  const cursors = { v: 1, workshop: workshop ?? null, log: logId ?? null, after: after ?? 0 };
  const waits = [];
  let refused = 0;
  for (const device of carried) {
    const sent = await carryOne(device, cursors, post, fitting, progress);
    refused += sent.refused;
    if (sent.left) waits.push(device);
  }
  await log.setMeta({ carried: waits, ...(refused ? { brought: { refused } } : {}) });
  return waits.length > 0;
}

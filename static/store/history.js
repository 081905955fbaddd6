// The record as screens read and correct it: sittings, changes, past forecasts, the file of the log.
import * as log from "../log/log.js";
import * as queries from "../log/queries.js";
import {
  beginning,
  benchMinutes,
  holding,
  stands,
  startOf,
  timedItems,
  whenOf,
} from "../log/sitting.js";
import { inOrder } from "../engine/sittings-summary.js";
import { today } from "./answers.js";
import { store } from "./store.js";

/** @typedef {import("../types").Change} Change */
/** @typedef {import("../types").Sitting} Sitting */

export { changesByTime, forecasts, sets, sittingsSince, unansweredHolds } from "../log/queries.js";

/** As screens show it: its time, all its items, and how many of them its minutes were spent on. @param {Sitting} s */
const timed = (s) => ({
  ...s,
  ...whenOf(s),
  start_ms: startOf(s).t,
  minutes: benchMinutes(s),
  timed: timedItems(s),
});

/**
 * Newest first. Of one piece, or the last ones of a step, only these are read.
 * @param {{piece?: string, step?: string, most?: number, deleted?: boolean}} [only] `most`: of a step; `deleted`: those instead
 */
export async function sittings({ piece, step, most, deleted = false } = {}) {
  const rows = piece
    ? await queries.sittingsOf(piece)
    : step && most
      ? await queries.lastSittings(step, most)
      : await queries.mapSittings((all) => all);
  const wanted = deleted
    ? (/** @type {Sitting} */ s) => beginning(s) && holding(s, "deleted")
    : stands;
  return rows
    .filter((s) => wanted(s) && (!step || s.step === step))
    .map(timed)
    .sort(
      (a, b) =>
        (a.date === b.date && a.start_min === b.start_min ? b.start_ms - a.start_ms : 0) ||
        inOrder(b, a),
    );
}

/** Minutes east of UTC on the maker's wall at that time: summer and winter differ. @param {number} ms */
const zone = (ms) => 0 - new Date(ms).getTimezoneOffset();

/**
 * Correct a sitting afterwards; only what differs from the record is written.
 * @param {string} id
 * @param {{piece?: string, step?: string, from_ms?: number, minutes?: number, items?: number, deleted?: boolean, uncounted?: boolean}} to
 */
export async function correctSitting(id, to) {
  const row = await queries.sitting(id);
  if (!row) return;
  const { piece, step } = row,
    head = { kind: /** @type {const} */ ("sitting"), sitting: id, piece, step };
  const other = (/** @type {unknown} */ value, /** @type {unknown} */ now) =>
    value !== undefined && value !== now;
  const changed = {
    ...(other(to.piece, piece) ? { to_piece: to.piece } : {}),
    ...(other(to.step, step) ? { to_step: to.step } : {}),
    ...(other(to.from_ms, startOf(row).t)
      ? { from_ms: to.from_ms, tz: zone(to.from_ms ?? 0) }
      : {}),
    ...(other(to.deleted, holding(row, "deleted") ?? false) ? { deleted: to.deleted } : {}),
    ...(other(to.uncounted, holding(row, "uncounted") ?? false) ? { uncounted: to.uncounted } : {}),
  };
  const more = (to.items ?? row.items) - row.items;
  const entries = /** @type {import("../types").NewChange[]} */ ([
    ...(other(to.minutes, benchMinutes(row))
      ? [{ ...head, event: "trim", minutes: to.minutes }]
      : []),
    ...(more
      ? [
          {
            kind: "count",
            piece: changed.to_piece ?? piece,
            step: changed.to_step ?? step,
            n: more,
            how: "correct",
            sitting: id,
          },
        ]
      : []),
    ...(Object.keys(changed).length ? [{ ...head, event: "correct", ...changed }] : []),
  ]);
  if (!entries.length) return;
  store.emitTotals((await store.append(entries)).totals);
  store.answers.soon();
}

/**
 * A sitting that was not tapped, written in afterwards.
 * @param {string} piece
 * @param {string} step
 * @param {number} from_ms
 * @param {number} to_ms
 * @param {number} items
 */
export async function writeSitting(piece, step, from_ms, to_ms, items) {
  const sitting = store.newId();
  const clock = (/** @type {"start" | "stop"} */ event, /** @type {number} */ t) => ({
    kind: /** @type {const} */ ("sitting"),
    sitting,
    piece,
    step,
    event,
    from_ms: t,
    tz: zone(t),
  });
  const made = items
    ? [
        {
          kind: /** @type {const} */ ("count"),
          piece,
          step,
          n: items,
          how: /** @type {const} */ ("hand"),
          sitting,
        },
      ]
    : [];
  const { totals } = await store.append([clock("start", from_ms), clock("stop", to_ms), ...made]);
  store.emitTotals(totals);
  store.answers.soon();
  return sitting;
}

/**
 * Choose between two values of a field written on two devices.
 * @param {Change} lost
 * @param {unknown} value that holds from now on
 */
export async function resolveConflict({ thing, id, field, device, seq }, value) {
  await store.append([{ kind: "set", thing, id, field, value, over: [{ device, seq }] }]);
  store.answers.freshen();
}

/**
 * The local day on which the value that holds of a field was written.
 * @param {string} kind
 * @param {string} id
 * @param {string} field
 */
export function dayWritten(kind, id, field) {
  const ms = store.entities.writtenAt(kind, id, field);
  return ms === null ? null : today(new Date(ms));
}

/**
 * The log as a file, put together in portions: a log of years is longer than one text may be.
 * @param {object} head what stands before the changes
 * @returns {Promise<{file: Blob, changes: number, upTo: import("../types").Key}>} `upTo`: of this device's own,
 *   those that are in it for certain
 */
export async function logFile(head) {
  let changes = 0;
  const [device = "", seq = 0] = await Promise.all([log.meta("device"), log.meta("seq")]);
  const parts = await queries.mapChanges((all) => {
    const text = all.map((c) => JSON.stringify(c)).join(",");
    const part = new Blob([changes && all.length ? "," : "", text]);
    changes += all.length;
    return [part];
  });
  const [workshop = null, logId = null] = await Promise.all([
    log.meta("workshop"),
    log.meta("log"),
  ]);
  const start = JSON.stringify({ ...head, workshop, log: logId, changes: [] }).slice(0, -2);
  const file = new Blob([start, ...parts, "]}"], { type: "application/json" });
  return { file, changes, upTo: { device, seq } };
}

/** A file of the log has left this device. @param {import("../types").Key} upTo what was in it */
export async function noteCopy({ device, seq }) {
  await log.setMeta({ copied: { at_ms: Date.now(), device, seq } });
  const nothing = { totals: [], things: [], sittings: [] };
  await store.refresh(nothing);
  store.channel?.postMessage({ touched: nothing });
}

/**
 * When the oldest of those changes was made that are only on this device: neither on the server nor, where there is
 * none, in a copy.
 * @returns {Promise<number | null>}
 */
export async function oldestWaiting() {
  const { state } = store.sync.now;
  const [device = "", acked = 0, copied] = await Promise.all([
    log.meta("device"),
    log.meta("acked"),
    log.meta("copied"),
  ]);
  const copiedTo = copied?.device === device ? copied.seq : 0;
  const [oldest] = await log.unsent(device, state === "alone" ? copiedTo : acked, 1);
  return oldest?.at ?? null;
}

/** Whether changes that came by file are still to be handed to the server. */
export const isCarrying = async () => Boolean((await log.meta("carried"))?.length);

/** Whether the server has ever taken this device's changes, as it does only of a paired one. */
export const wasPaired = async () => Boolean(await log.meta("log"));

/** Whether the browser was asked before not to clear these records. */
export const askedToKeep = async () => Boolean(await log.meta("asked_to_keep"));
export const noteAskedToKeep = () => log.setMeta({ asked_to_keep: true });

/**
 * What the server set aside, with the change as it is here and whether it was taken out of the count since.
 * @returns {Promise<{seq: number, why: string, change: Change | null, undone: boolean}[]>}
 */
export async function refused() {
  const rows = (await log.meta("refused")) ?? [];
  return Promise.all(
    rows.map(async ({ device = store.device, seq, why }) => ({
      seq,
      why,
      change: await queries.change(device, seq),
      undone: await queries.isUndone(device, seq),
    })),
  );
}

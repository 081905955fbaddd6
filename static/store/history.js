// The record as screens read and mend it: sittings, changes, kept forecasts, the file of the log.
import * as journal from "../log/log.js";
import * as looking from "../log/queries.js";
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

/** @typedef {import("../types").Change} Change */
/** @typedef {import("../types").Sitting} Sitting */
/** @typedef {import("./store.js").Store} Store */

export {
  byTime as changes,
  forecasts as pastForecasts,
  holds as heldApart,
  one as change,
  saidOf,
  sets,
  sittingsSince,
} from "../log/queries.js";

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
    ? await looking.sittingsOf(piece)
    : step && most
      ? await looking.lastSittings(step, most)
      : await looking.mapSittings((all) => all);
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
 * What was wrong with a sitting, said afterwards; only what differs from the record is said.
 * @param {Store} store @param {string} id
 * @param {{piece?: string, step?: string, from_ms?: number, minutes?: number, items?: number, deleted?: boolean, uncounted?: boolean}} to
 */
export async function correctSitting(store, id, to) {
  const row = await looking.sitting(id);
  if (!row) return;
  const { piece, step } = row,
    head = { kind: /** @type {const} */ ("sitting"), sitting: id, piece, step };
  const other = (/** @type {any} */ value, /** @type {any} */ now) =>
    value !== undefined && value !== now;
  const said = {
    ...(other(to.piece, piece) ? { to_piece: to.piece } : {}),
    ...(other(to.step, step) ? { to_step: to.step } : {}),
    ...(other(to.from_ms, startOf(row).t)
      ? { from_ms: to.from_ms, tz: zone(to.from_ms ?? 0) }
      : {}),
    ...(other(to.deleted, holding(row, "deleted") ?? false) ? { deleted: to.deleted } : {}),
    ...(other(to.uncounted, holding(row, "uncounted") ?? false) ? { uncounted: to.uncounted } : {}),
  };
  const more = (to.items ?? row.items) - row.items;
  const sayings = /** @type {import("../types").Saying[]} */ ([
    ...(other(to.minutes, benchMinutes(row))
      ? [{ ...head, event: "trim", minutes: to.minutes }]
      : []),
    ...(more
      ? [
          {
            kind: "count",
            piece: said.to_piece ?? piece,
            step: said.to_step ?? step,
            n: more,
            how: "correct",
            sitting: id,
          },
        ]
      : []),
    ...(Object.keys(said).length ? [{ ...head, event: "correct", ...said }] : []),
  ]);
  if (!sayings.length) return;
  await store.say(sayings);
  for (const each of [row, { piece: said.to_piece ?? piece, step: said.to_step ?? step }])
    store.emit("counted", {
      piece: each.piece,
      step: each.step,
      total: store.total(each.piece, each.step),
      n: 0,
    });
  store.answers.soon();
}

/** A sitting that was not tapped, written in afterwards. @param {Store} store @param {string} piece @param {string} step @param {number} from_ms @param {number} to_ms @param {number} items */
export async function writeSitting(store, piece, step, from_ms, to_ms, items) {
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
  await store.say([clock("start", from_ms), clock("stop", to_ms), ...made]);
  store.emit("counted", { piece, step, total: store.total(piece, step), n: items });
  store.answers.soon();
  return sitting;
}

/** All changes. @returns {Promise<Change[]>} */
export const everything = () => looking.mapChanges((changes) => changes);

/**
 * The log as a file, put together in portions: a log of years is longer than one text may be.
 * @param {object} head what stands before the changes @returns {Promise<{file: Blob, changes: number}>}
 */
export async function logFile(head) {
  let changes = 0;
  const parts = await looking.mapChanges((all) => {
    const text = all.map((c) => JSON.stringify(c)).join(",");
    const part = new Blob([changes && all.length ? "," : "", text]);
    changes += all.length;
    return [part];
  });
  const [workshop, log] = (await Promise.all(["workshop", "log"].map(journal.meta))).map(
    (value) => value ?? null,
  );
  const start = JSON.stringify({ ...head, workshop, log, changes: [] }).slice(0, -2);
  return { file: new Blob([start, ...parts, "]}"], { type: "application/json" }), changes };
}

/** @returns {Promise<{seq: number, why: string}[]>} */
export const refused = async () => (await journal.meta("refused")) ?? [];

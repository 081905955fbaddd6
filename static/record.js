// The record as screens read and mend it: sittings, changes, kept forecasts, the file of the log.
import * as journal from "./journal.js";
import * as looking from "./looking.js";
import { beginning, benchMinutes, whenOf } from "./sitting.js";
import { inOrder } from "./summary.js";

/** @typedef {import("./types").Change} Change */
/** @typedef {import("./types").Sitting} Sitting */
/** @typedef {import("./store.js").Store} Store */

export { byTime as changes, forecasts as pastForecasts, holds as heldApart, one as change, saidOf, sets, sittingsSince } from "./looking.js";

/** @param {Sitting} s */
const timed = (s) => ({ ...s, ...whenOf(s), minutes: benchMinutes(s) });

/**
 * Newest first. Of one piece, or the last ones of a step, only these are read.
 * @param {{piece?: string, step?: string, most?: number}} [only] `most`: of a step
 */
export async function sittings({ piece, step, most } = {}) {
  const rows = piece ? await looking.sittingsOf(piece) : step && most ? await looking.lastSittings(step, most) : await looking.mapSittings((all) => all);
  return rows.filter((s) => beginning(s) && (!step || s.step === step)).map(timed).sort((a, b) => inOrder(b, a));
}

/** @param {Store} store @param {string} id @param {number} minutes */
export async function correctSitting(store, id, minutes) {
  const row = await looking.sitting(id);
  if (!row) return;
  await store.say([{ kind: "sitting", sitting: id, piece: row.piece, step: row.step, event: "trim", minutes }]);
  store.answers.soon();
}

/** A sitting that was not tapped, written in afterwards. @param {Store} store @param {string} piece @param {string} step @param {number} from_ms @param {number} to_ms @param {number} items */
export async function writeSitting(store, piece, step, from_ms, to_ms, items) {
  const sitting = store.newId();
  const clock = (/** @type {"start" | "stop"} */ event, /** @type {number} */ t) => ({ kind: /** @type {const} */ ("sitting"), sitting, piece, step, event, from_ms: t });
  const made = items ? [{ kind: /** @type {const} */ ("count"), piece, step, n: items, how: /** @type {const} */ ("hand"), sitting }] : [];
  await store.say([clock("start", from_ms), clock("stop", to_ms), ...made]);
  store.emit("counted", { piece, step, total: store.total(piece, step), n: items });
  store.answers.soon();
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
  const [workshop, log] = (await Promise.all(["workshop", "log"].map(journal.meta))).map((value) => value ?? null);
  const start = JSON.stringify({ ...head, workshop, log, changes: [] }).slice(0, -2);
  return { file: new Blob([start, ...parts, "]}"], { type: "application/json" }), changes };
}

/** @returns {Promise<{seq: number, why: string}[]>} */
export const refused = async () => (await journal.meta("refused")) ?? [];

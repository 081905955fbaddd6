// Setting a count right by what lies at a step. The log gets the difference, as a stocktake: it belongs to
// no sitting, starts no clock, and is neither made nor spoiled.
import { pieceQuestion, standQuestion } from "../engine/questions.js";

/** @typedef {import("./store.js").Store} Store */
/**
 * @typedef {{what: "loose" | "done", n: number}} Here what can be counted at a step by hand, and how many the log says
 */

/**
 * Asked of the engine afresh: the last tap must be in it.
 * @param {Store} store
 * @param {string} piece
 * @param {string} step
 * @returns {Promise<Here>}
 */
export async function hereBy(store, piece, step) {
  const question = pieceQuestion(store, piece),
    { done, spoiled } = store.totals.of(piece, step);
  /** @type {Here} */
  const plain = { what: "done", n: done - spoiled };
  if (!question) return plain;
  try {
    const standing = await store.ask(standQuestion(question, store.totals.ofPiece(piece)));
    return standing.steps.find((s) => s.step === step)?.stocktake ?? plain;
  } catch {
    return plain; // a piece whose plan is refused has its counts all the same
  }
}

/**
 * @param {Store} store @param {string} piece @param {string} step @param {number} found
 * @returns {Promise<import("../types").Change | null>} the change; null where the count is right as it stands
 */
export async function setCount(store, piece, step, found) {
  const n = found - (await hereBy(store, piece, step)).n;
  if (!n) return null;
  const {
    changes: [change],
    totals,
  } = await store.append([{ kind: "count", piece, step, n, how: "stocktake", found }]);
  store.emitTotals(totals);
  store.emit("saved", { piece, step, change });
  store.answers.soon();
  return change;
}

// A count as a phrase: how many, and on which lane.
import { format as text } from "../texts/texts.js";
import { figure } from "./numbers.js";

/** @typedef {import("../types").Change} Change */

/** A count set by hand: what was found, and by how much that changed the count. @param {Change} change */
export function stocktakeWords({ found = 0, n = 0 }) {
  const by = figure(Math.abs(n));
  return n < 0 ? text.countSetFewer(figure(found), by) : text.countSetMore(figure(found), by);
}

/** The same where room is short. @param {Change} change @param {string} lane its name */
export const shortCountWords = (change, lane) =>
  change.how === "stocktake"
    ? text.countOf(text.countSet(figure(change.found ?? 0)), lane)
    : countWords(change, lane);

/** @param {Change} change @param {string} lane its name */
export function countWords(change, lane) {
  const n = figure(change.n ?? 0);
  if (change.how === "stocktake") return text.countOf(stocktakeWords(change), lane);
  return text.countOf(change.kind === "scrap" ? text.spoiled(n) : `+${n}`, lane);
}

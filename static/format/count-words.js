// A count as a sentence: how many, and on which lane.
import { figure } from "./numbers.js";

/** @typedef {import("../types").Change} Change */

/** A stocktake in words: what was found, and what that changes. @param {Change} change */
export function saidStocktake({ found = 0, n = 0 }) {
  return `counted what lies here: ${figure(found)}, ${figure(Math.abs(n))} ${n < 0 ? "fewer" : "more"}`;
}

/** @param {Change} change @param {string} name of its lane */
export function saidCount(change, name) {
  if (change.how === "stocktake") return `${saidStocktake(change)} in ${name}`;
  const what =
    change.kind === "scrap" ? `${figure(change.n ?? 0)} spoiled` : `+${figure(change.n ?? 0)}`;
  return `${what} in ${name}`;
}

// What lies loose on the bench, in words.
import { figure } from "../figures.js";

/** @param {any} standing */
export function looseWords(standing) {
  const loose = (standing?.loose ?? []).filter((/** @type {any} */ l) => l.n > 0);
  return loose.length ? `Loose: ${loose.map((/** @type {any} */ l) => `${figure(l.n)} ${l.n === 1 ? l.what.replace(/(\w)s\b/, "$1") : l.what}`).join(", ")}.` : "";
}

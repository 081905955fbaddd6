// Pointing to changes that have moved to another name of this device, see renumber.js.

/** @typedef {import("../types").Key} Key */
/** @typedef {import("../types").Move} Move */

/** @param {Move} move @param {unknown} value */
const isMoved = (move, value) =>
  /** @type {Key} */ (value).device === move.from && /** @type {Key} */ (value).seq > move.above;

/**
 * The same with everything in it that points to a change that has moved pointing to its new place.
 * @template T @param {Move} move @param {T} value @returns {T}
 */
export function retargeted(move, value) {
  if (typeof value !== "object" || value === null) return value;
  if (Array.isArray(value)) return /** @type {T} */ (value.map((each) => retargeted(move, each)));
  const out = Object.fromEntries(
    Object.entries(value).map(([name, each]) => [name, retargeted(move, each)]),
  );
  if (isMoved(move, value)) Object.assign(out, { device: move.to, seq: out.seq - move.above });
  return /** @type {T} */ (out);
}

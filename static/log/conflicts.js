// Fields written differently on two devices, neither knowing of the other: what holds and what gave way.
import { isLater, keyOf, stampOf } from "./fold.js";

/** @typedef {import("../types").Change} Change */

/** @param {Change} c */
const stamped = (c) => ({ stamp: stampOf(c), device: c.device, seq: c.seq });

/** @param {Change[]} sets @returns {Change[][]} by field, the latest first */
function byField(sets) {
  /** @type {Map<string, Change[]>} */
  const fields = new Map();
  for (const c of sets) {
    if (c.thing === "forecast") continue; // each device saves its own of the day; neither is a wish
    const key = JSON.stringify([c.thing, c.id, c.field]);
    const all = fields.get(key);
    if (all) all.push(c);
    else fields.set(key, [c]);
  }
  return [...fields.values()].map((all) =>
    all.sort((a, b) => (isLater(stamped(a), stamped(b)) ? -1 : 1)),
  );
}

/**
 * The last value of each device that was not knowingly replaced and differs from what holds.
 * A device knows what it wrote itself.
 * @param {Change[]} sets @returns {{won: Change, lost: Change[]}[]} newest first
 */
export function conflicts(sets) {
  const out = [];
  for (const all of byField(sets)) {
    const [won] = all,
      value = JSON.stringify(won.value);
    const replaced = new Set(
      all
        .flatMap((c) => (Array.isArray(c.over) ? c.over : []))
        .map((k) => keyOf(k?.device, k?.seq)),
    );
    const lasts = all.filter(
      (c, i) =>
        i > 0 &&
        c.device !== won.device &&
        all.findIndex((other) => other.device === c.device) === i,
    );
    const lost = lasts.filter(
      (c) => !replaced.has(keyOf(c.device, c.seq)) && JSON.stringify(c.value) !== value,
    );
    if (lost.length) out.push({ won, lost });
  }
  return out.sort((a, b) => b.won.at - a.won.at);
}

// Fields that more than one device has spoken of, with what holds and what gave way.
import { isLater } from "./fold.js";

/** @typedef {import("./types").Change} Change */

/** @param {Change} c */
const ranked = (c) => ({ stamp: c.stamp ?? /** @type {[number, number]} */ ([c.at, 0]), device: c.device, seq: c.seq });

/** The latest value of each other device that differs from what holds. @param {Change[]} sets @returns {{won: Change, lost: Change[]}[]} newest first */
export function saidTwice(sets) {
  /** @type {Map<string, Map<string, Change>>} */
  const fields = new Map();
  for (const c of sets) {
    if (c.thing === "forecast") continue; // each device keeps its own of the day; neither is a wish
    const key = JSON.stringify([c.thing, c.id, c.field]);
    const byDevice = fields.get(key) ?? new Map();
    const held = byDevice.get(c.device);
    if (!held || isLater(ranked(c), ranked(held))) byDevice.set(c.device, c);
    fields.set(key, byDevice);
  }
  const out = [];
  for (const byDevice of fields.values()) {
    const [won, ...rest] = [...byDevice.values()].sort((a, b) => (isLater(ranked(a), ranked(b)) ? -1 : 1));
    const lost = rest.filter((c) => JSON.stringify(c.value) !== JSON.stringify(won.value));
    if (lost.length) out.push({ won, lost });
  }
  return out.sort((a, b) => b.won.at - a.won.at);
}

// Counts in hand: what the journal has committed, and what was pressed but is not yet on the disk.
import { totalKey } from "../log/fold.js";

/** @typedef {import("../types").Total} Total */

/** @param {Map<string, Set<string>>} sets @param {string} name @param {string} value */
function note(sets, name, value) {
  const set = sets.get(name);
  if (set) set.add(value);
  else sets.set(name, new Set([value]));
}

export class Tallies {
  /** @param {Total[]} rows */
  constructor(rows) {
    /** @type {Map<string, Total>} */
    this.committed = new Map();
    /** @type {Map<string, {done: number, spoiled: number}>} */
    this.pending = new Map();
    /** @type {Map<string, Set<string>>} keys of a lane's rows, one a panel */
    this.panels = new Map();
    /** @type {Map<string, Set<string>>} steps counted for a piece */
    this.steps = new Map();
    rows.forEach((row) => this.commit(row));
  }

  /** The journal's own row replaces ours: it holds the other page's taps too. @param {Total} row */
  commit(row) {
    this.committed.set(row.key, row);
    note(this.panels, `${row.piece}|${row.step}`, row.key);
    note(this.steps, row.piece, row.step);
  }

  /** @param {string} piece @param {string | undefined} panel @param {string} step @param {"done" | "spoiled"} what @param {number} n */
  press(piece, panel, step, what, n) {
    const key = totalKey(piece, panel, step);
    const row = this.pending.get(key) ?? { done: 0, spoiled: 0 };
    row[what] += n;
    this.pending.set(key, row);
    if (!this.committed.has(key))
      this.commit({ key, piece, panel: panel ?? "", step, done: 0, spoiled: 0 });
  }

  /** @param {string} piece @param {string} step */
  total(piece, step) {
    const out = { done: 0, spoiled: 0 };
    for (const key of this.panels.get(`${piece}|${step}`) ?? []) {
      for (const row of [this.committed.get(key), this.pending.get(key)]) {
        out.done += row?.done ?? 0;
        out.spoiled += row?.spoiled ?? 0;
      }
    }
    return out;
  }

  /** Of what is done, the sum that stocktakes put in or took off: neither made nor spoiled. @param {string} piece @param {string} step */
  stocktaken(piece, step) {
    let out = 0;
    for (const key of this.panels.get(`${piece}|${step}`) ?? [])
      out += this.committed.get(key)?.stocktake ?? 0;
    return out;
  }

  /** Everything counted for a piece, by step. @param {string} piece */
  ofPiece(piece) {
    /** @type {Record<string, {done: number, spoiled: number}>} */
    const out = {};
    for (const step of this.steps.get(piece) ?? []) out[step] = this.total(piece, step);
    return out;
  }
}

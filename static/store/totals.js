// Counts as shown: what the log has saved, and what was pressed but is not yet on the disk.
import { totalKey } from "../log/fold.js";

/** @typedef {import("../types").Total} Total */
/** @typedef {{done: number, spoiled: number}} Count */
/** @typedef {Count & {piece: string, step: string}} Pending */

/** @param {Map<string, Set<string>>} sets @param {string} name @param {string} value */
function addTo(sets, name, value) {
  const set = sets.get(name);
  if (set) set.add(value);
  else sets.set(name, new Set([value]));
}

export class Totals {
  /** @param {Total[]} rows @param {Map<string, Pending>} [pending] pressed and not saved yet */
  constructor(rows, pending = new Map()) {
    /** @type {Map<string, Total>} */
    this.committed = new Map();
    this.pending = pending;
    /** @type {Map<string, Set<string>>} keys of a lane's rows, one a panel */
    this.panels = new Map();
    /** @type {Map<string, Set<string>>} steps counted for a piece */
    this.steps = new Map();
    rows.forEach((row) => this.commit(row));
    for (const [key, { piece, step }] of pending) this.#index(key, piece, step);
  }

  /** The log's own row replaces ours: it holds the other page's taps too. @param {Total} row */
  commit(row) {
    this.committed.set(row.key, row);
    this.#index(row.key, row.piece, row.step);
  }

  /** @param {string} key @param {string} piece @param {string} step */
  #index(key, piece, step) {
    addTo(this.panels, `${piece}|${step}`, key);
    addTo(this.steps, piece, step);
  }

  /**
   * @param {string} piece
   * @param {string | undefined} panel
   * @param {string} step
   * @param {"done" | "spoiled"} what
   * @param {number} n
   */
  press(piece, panel, step, what, n) {
    const key = totalKey(piece, panel, step);
    const row = this.pending.get(key) ?? { piece, step, done: 0, spoiled: 0 };
    row[what] += n;
    this.pending.set(key, row);
    this.#index(key, piece, step);
  }

  /** @param {string} piece @param {string} step @returns {Count} */
  of(piece, step) {
    const out = { done: 0, spoiled: 0 };
    for (const key of this.panels.get(`${piece}|${step}`) ?? []) {
      for (const row of [this.committed.get(key), this.pending.get(key)]) {
        out.done += row?.done ?? 0;
        out.spoiled += row?.spoiled ?? 0;
      }
    }
    return out;
  }

  /**
   * Of what is done, the sum that stocktakes put in or took off: neither made nor spoiled.
   * @param {string} piece
   * @param {string} step
   */
  stocktaken(piece, step) {
    let out = 0;
    for (const key of this.panels.get(`${piece}|${step}`) ?? [])
      out += this.committed.get(key)?.stocktake ?? 0;
    return out;
  }

  /** Everything counted for a piece, by step. @param {string} piece */
  ofPiece(piece) {
    /** @type {Record<string, Count>} */
    const out = {};
    for (const step of this.steps.get(piece) ?? []) out[step] = this.of(piece, step);
    return out;
  }

  /** Every piece and step that was counted. @returns {[piece: string, step: string][]} */
  counted() {
    return [...this.steps].flatMap(([piece, steps]) =>
      [...steps].map((step) => /** @type {[string, string]} */ ([piece, step])),
    );
  }
}

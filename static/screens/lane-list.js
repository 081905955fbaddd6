// Which lanes lie on the bench, in the maker's order, four to a leaf.
import { store } from "../store.js";

/** @typedef {import("../types").Thing} Thing */

const MOST = 4;

/** @returns {Thing[]} pieces in work, in the maker's order */
export const openPieces = () => store.things("piece").filter((p) => p.state !== "done");

export class LaneList {
  constructor() {
    this.leaf = 0;
  }

  /** @returns {Thing[]} lanes of pieces still in work */
  all() {
    const open = new Set(openPieces().map((p) => p.id));
    return store.things("lane").filter((l) => open.has(l.piece));
  }

  /** @returns {Thing[]} the lanes on this leaf */
  shown() {
    const all = this.all();
    this.leaf %= Math.max(1, Math.ceil(all.length / MOST));
    return all.slice(this.leaf * MOST, this.leaf * MOST + MOST);
  }

  /** How the leaves are told; nothing when one is enough. */
  leaves() {
    const [all, first] = [this.all().length, this.leaf * MOST + 1];
    return all > MOST ? `Lanes ${first} to ${Math.min(all, first + MOST - 1)} of ${all}` : "";
  }

  /** @param {string} piece @param {string} step */
  find(piece, step) { return this.all().find((l) => l.piece === piece && l.step === step); }

  /** Turn to the leaf a lane lies on. @param {string} id */
  turnTo(id) { this.leaf = Math.floor(Math.max(0, this.all().findIndex((l) => l.id === id)) / MOST); }

  /** @param {string} piece @param {string} step @returns {Promise<string>} the lane, there or new */
  async add(piece, step) {
    const there = this.find(piece, step);
    if (there) return there.id;
    const id = store.newId();
    await store.set("lane", id, { piece, step, order: (this.all().at(-1)?.order ?? 0) + 1 });
    return id;
  }

  /** @param {string} id @param {-1 | 1} by */
  async move(id, by) {
    const ids = this.all().map((l) => l.id);
    const at = ids.indexOf(id), to = at + by;
    if (at < 0 || to < 0 || to >= ids.length) return;
    [ids[at], ids[to]] = [ids[to], ids[at]];
    for (const [k, one] of ids.entries()) await store.set("lane", one, { order: k + 1 });
  }
}

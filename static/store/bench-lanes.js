// Which lanes lie on the bench and where, four to a leaf. A lane keeps its place until the maker moves it:
// what is taken off, done with or deleted leaves its place free; what comes new takes a free one or the next.
import { store } from "./store.js";
import { store as text } from "../texts/texts.js";

/** @typedef {import("../entities").Entity<"lane">} Lane */

const MOST = 4;

/** Pieces in work, in the maker's order */
export const openPieces = () => store.things("piece").filter((p) => p.state !== "done");

/** The order that a new lane gets, so that other devices put it behind those there are. */
export const nextOrder = () =>
  store.things("lane").reduce((last, l) => Math.max(last, l.order ?? 0), 0) + 1;

export class LaneList {
  constructor() {
    this.leaf = 0;
    /**
     * @type {Map<string, number>} each lane's place from 0; those not on the bench now keep theirs until it is wanted
     */
    this.places = new Map();
    /** @type {number | null} the free place that the next new lane takes */
    this.wanted = null;
    /** @type {[string, number][] | null} what `places` was read from; null: not settled yet */
    this.from = null;
  }

  /** @returns {Lane[]} lanes of pieces still in work, in order of their places */
  all() {
    const open = new Set(openPieces().map((p) => p.id));
    const lanes = store.things("lane").filter((l) => open.has(l.piece ?? ""));
    this.#place(lanes);
    return lanes.sort((a, b) => this.place(a.id) - this.place(b.id));
  }

  /** @param {string} id */
  place(id) {
    return this.places.get(id) ?? 0;
  }

  /**
   * Put lanes that have no place yet into the free ones. This device keeps its places for itself.
   * @param {Lane[]} lanes in the order all devices share
   */
  #place(lanes) {
    if (this.from !== store.places) this.places = new Map((this.from = store.places));
    const here = new Set(lanes.map((l) => l.id)),
      taken = new Set(),
      fresh = [];
    for (const l of lanes) {
      const place = this.places.get(l.id);
      if (place === undefined || taken.has(place)) fresh.push(l.id);
      else taken.add(place);
    }
    for (const id of fresh) {
      const place = this.#free(taken);
      taken.add(place);
      this.#vacate(place, here);
      this.places.set(id, place);
    }
    if (fresh.length) this.#save();
  }

  /** @param {Set<number>} taken */
  #free(taken) {
    const { wanted } = this;
    this.wanted = null;
    if (wanted !== null && !taken.has(wanted)) return wanted;
    for (let place = 0; ; place++) if (!taken.has(place)) return place;
  }

  /** A lane that is not here any more gives its place up. @param {number} place @param {Set<string>} here */
  #vacate(place, here) {
    for (const [id, at] of this.places) if (at === place && !here.has(id)) this.places.delete(id);
  }

  /**
   * While a device takes in the log for the first time its lanes come bit by bit: their order
   * counts, not their coming.
   */
  #save() {
    if (store.sync.now.state === "syncing") {
      this.from = null;
      return;
    }
    store.setPlaces((this.from = [...this.places]));
  }

  /** All lanes have come: from now on they stay where they are. */
  settle() {
    if (!this.from && store.sync.now.state !== "syncing") this.all();
  }

  /** Places on the leaf in view, null where one is free. @returns {(Lane | null)[]} */
  shown() {
    const all = this.all(),
      leaves = this.#leaves(all);
    if (!leaves.length) return [];
    if (!leaves.includes(this.leaf))
      this.leaf = leaves.findLast((leaf) => leaf < this.leaf) ?? leaves[0];
    const { first } = this,
      last = Math.max(...this.places.values());
    return Array.from(
      { length: Math.min(MOST, last - first + 1) },
      (_, k) => all.find((l) => this.place(l.id) === first + k) ?? null,
    );
  }

  get first() {
    return this.leaf * MOST;
  }

  /** Leaves that bear a lane. @param {Lane[]} all */
  #leaves(all) {
    return [...new Set(all.map((l) => Math.floor(this.place(l.id) / MOST)))];
  }

  /** The leaf shown and how many there are, in words; nothing when one is enough. */
  leaves() {
    const all = this.all(),
      on = all.map((l) => Math.floor(this.place(l.id) / MOST));
    if (new Set(on).size < 2) return "";
    return text.stepsShown(on.indexOf(this.leaf) + 1, on.lastIndexOf(this.leaf) + 1, all.length);
  }

  turn() {
    const leaves = this.#leaves(this.all());
    this.leaf = leaves[(leaves.indexOf(this.leaf) + 1) % leaves.length] ?? 0;
  }

  /** @param {string} piece @param {string} step */
  find(piece, step) {
    return this.all().find((l) => l.piece === piece && l.step === step);
  }

  /** Turn to the leaf a lane lies on. @param {string} id */
  turnTo(id) {
    this.leaf = Math.floor(this.place(id) / MOST);
  }

  /** @param {string} piece @param {string} step @returns {Promise<string>} the lane, there or new */
  async add(piece, step) {
    const there = this.find(piece, step);
    if (there) return there.id;
    const id = store.newId();
    await store.set("lane", id, { piece, step, order: nextOrder() });
    this.all();
    return id;
  }

  /** Change places with what lies before or behind, a free place too. @param {string} id @param {-1 | 1} by */
  async move(id, by) {
    const all = this.all(),
      at = this.place(id),
      to = at + by;
    if (to < 0 || to > Math.max(...this.places.values())) return;
    const other = all.find((l) => this.place(l.id) === to);
    this.#vacate(to, new Set(all.map((l) => l.id)));
    if (other) this.places.set(other.id, at);
    this.places.set(id, to);
    await this.#moved();
  }

  /** Let the lanes close up over the free places. */
  async closeUp() {
    this.places = new Map(this.all().map((l, place) => [l.id, place]));
    await this.#moved();
  }

  /** The maker's order is shared, for a device that has none of its own yet. */
  async #moved() {
    this.#save();
    await store.setAll(
      this.all().flatMap((l, k) => (l.order === k + 1 ? [] : [["lane", l.id, { order: k + 1 }]])),
    );
  }
}

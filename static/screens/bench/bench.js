// The Bench: lanes with pads to tap. Built once; a tap changes only its own lane's text. The pads stand
// first; what stands around them (clock, sight, undo, sheets) is brought in after them.
import { store } from "../../store/store.js";
import { Lane, batchOf, laneKey, laneName, placeName } from "./lane.js";
import { LaneList } from "../../store/bench-lanes.js";

/** @typedef {import("../../types").Thing} Thing */

/** A free place: nothing there counts. What lay in it is done with or taken off; the others stay where they are. */
class FreePlace {
  /** @param {number} place @param {Bench} bench */
  constructor(place, bench) {
    this.root = document.createElement("section");
    this.root.className = "lane free";
    this.root.setAttribute("aria-label", `Free place ${place + 1}`);
    for (const [word, act] of /** @type {[string, () => void][]} */ ([
      ["Add a step here", () => bench.choose(true, place)],
      ["Close up", () => bench.closeUp()],
    ])) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = word;
      button.addEventListener("click", act);
      this.root.append(button);
    }
  }
}

export class Bench extends HTMLElement {
  constructor() {
    super();
    /** @type {Map<string, Lane>} */
    this.lanes = new Map();
    /** @type {Map<number, FreePlace>} */
    this.free = new Map();
    this.hand = "";
    this.list = new LaneList();
    this.choosing = false;
    this.waiting = 0;
    /** @type {import("./bench-panels.js").Around | null} */
    this.around = null;
    /** @type {(around: import("./bench-panels.js").Around) => void} */
    this.stands = () => {};
    /** @type {Promise<import("./bench-panels.js").Around>} what stands around the pads, once it does */
    this.whole = new Promise((resolve) => {
      this.stands = resolve;
    });
  }

  connectedCallback() {
    if (this.above) return;
    const heading = document.createElement("h1");
    heading.className = "quiet";
    heading.textContent = "Bench";
    this.above = document.createElement("div");
    this.above.className = "above";
    this.grid = document.createElement("div");
    this.grid.className = "lanes";
    this.append(heading, this.above, this.grid);
    store.addEventListener("counted", (e) => this.counted(/** @type {CustomEvent} */ (e).detail));
    for (const name of ["plan", "standing", "forecast", "things", "engine"])
      store.addEventListener(name, () => this.soon());
    store.addEventListener("clock", () => this.mark());
    store.addEventListener("sync", () => this.sent());
    this.lay();
  }

  /** Everything that the first tap can do without. */
  async surround() {
    if (this.bringing) return;
    this.bringing = true;
    const { Around } = await import("./bench-panels.js");
    this.around = new Around(this);
    this.stands(this.around);
  }

  /** @param {string[]} rest "#bench/choose" opens the choice of steps */
  show(rest) {
    if (rest[0] === "choose") this.choosing = true;
    this.soon();
  }

  soon() {
    if (this.waiting) return;
    this.waiting = requestAnimationFrame(() => {
      this.waiting = 0;
      this.lay();
    });
  }

  lay() {
    const shown = this.list.shown();
    this.dataset.choosing = String(this.choosing || !shown.length);
    this.dataset.lanes = String(shown.length);
    const here = shown.filter((l) => l !== null);
    const kept = new Map(
      here.map((l) => [laneKey(l), this.lanes.get(laneKey(l)) ?? new Lane(l, this)]),
    );
    this.lanes = kept;
    const roots = shown
      .map((l, k) => (l ? kept.get(laneKey(l)) : this.freeAt(k))?.root)
      .filter((r) => r !== undefined);
    if (
      roots.length !== this.grid?.children.length ||
      roots.some((r, k) => this.grid?.children[k] !== r)
    )
      this.grid?.replaceChildren(...roots);
    here.forEach((l) => kept.get(laneKey(l))?.update(l));
    this.mark();
    this.sent();
    this.around?.lay(!shown.length);
  }

  /** @param {number} k on the leaf in view */
  freeAt(k) {
    const place = this.list.first + k,
      free = this.free.get(place) ?? new FreePlace(place, this);
    this.free.set(place, free);
    return free;
  }

  async closeUp() {
    await this.list.closeUp();
    this.lay();
  }

  /** @returns {Thing | null} the lane last counted on, else the clock's, else the first */
  laneInHand() {
    const shown = this.list.shown().filter((l) => l !== null);
    const { clock } = store;
    return (
      shown.find((l) => l.id === this.hand) ??
      shown.find((l) => l.piece === clock?.piece && l.step === clock?.step) ??
      shown[0] ??
      null
    );
  }

  /** @param {string} id */
  inHand(id) {
    if (this.hand === id) return;
    this.hand = id;
    this.mark();
  }

  mark() {
    const lane = this.laneInHand();
    for (const l of this.lanes.values()) l.root.classList.toggle("in-hand", l.lane.id === lane?.id);
    this.around?.mark();
  }

  /** @param {string} piece @param {string} step */
  nameOf(piece, step) {
    const lane = this.list.find(piece, step);
    return lane ? laneName(lane) : placeName(piece, step);
  }

  /** @param {{piece?: string, step?: string, total?: {done: number, spoiled: number}, n?: number}} detail */
  counted({ piece, step = "", total, n = 0 }) {
    if (!piece) return this.soon();
    const now = total ?? store.total(piece, step);
    this.around?.counted(piece, step, now.done);
    for (const l of this.lanes.values())
      if (l.lane.piece === piece && l.lane.step === step) l.counted(now, n);
  }

  /** Everything counted here has reached the server. */
  sent() {
    this.list.settle();
    const sent = store.sync.state === "synced" && store.sync.waiting === 0;
    for (const l of this.lanes.values())
      l.pad.say(sent ? "sent" : l.pad.unsaved ? "pressed" : "saved");
  }

  /** @param {boolean} open @param {number | null} [place] where the step chosen is wanted */
  choose(open, place = null) {
    this.choosing = open;
    this.list.wanted = place;
    this.lay();
  }

  /** @param {string} piece @param {string} step */
  async addLane(piece, step) {
    const id = await this.list.add(piece, step);
    this.choosing = false;
    this.take(id);
    this.lay();
    this.laneOf(id)?.pad.root.focus({ preventScroll: true });
    this.around?.asking.care(piece, step);
  }

  /** @param {string} id */
  take(id) {
    this.hand = id;
    this.list.turnTo(id);
  }

  /** @param {string} id @param {-1 | 1} by */
  async move(id, by) {
    await this.list.move(id, by);
    this.lay();
  }

  /** @param {string | undefined} id */
  laneOf(id) {
    return [...this.lanes.values()].find((l) => l.lane.id === id);
  }

  /** What a taught key does. @param {string} deed */
  act(deed) {
    const number = /^lane(\d)$/.exec(deed)?.[1];
    const hand = this.laneOf(this.laneInHand()?.id);
    if (number) this.laneOf(this.list.shown()[Number(number) - 1]?.id)?.count(1);
    else if (deed === "tray" && hand) hand.offer(batchOf(hand.lane));
    else if (deed === "undo") this.around?.undo.back();
    else if (deed === "pause") this.around?.strip.toggle();
  }
}

customElements.define("rw-bench", Bench);

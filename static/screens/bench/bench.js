// The Bench: lanes with pads to tap. Built once; a tap changes only its own lane's text. The pads come
// first; everything around them (clock, state of the piece, undo, sheets) is loaded after them.
import { bench as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { Lane, batchOf, laneKey, laneName, placeName } from "./lane.js";
import { LaneList } from "../../store/bench-lanes.js";

/** @typedef {import("../../entities").Entity<"lane">} LaneEntity */
/** @typedef {{piece: string, step: string, total: {done: number, spoiled: number}}} Counted */
/** @typedef {Counted & {made: number}} Pressed */

/** An empty place: nothing there counts. Its lane was finished or removed; the others stay where they are. */
class FreePlace {
  /** @param {number} place @param {Bench} bench */
  constructor(place, bench) {
    this.root = document.createElement("section");
    this.root.className = "lane free";
    this.root.setAttribute("aria-label", text.freePlace(`${place + 1}`));
    for (const [word, act] of /** @type {[string, () => void][]} */ ([
      [text.addHere, () => bench.choose(true, place)],
      [text.closeUp, () => bench.closeUp()],
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
    /** @type {import("./bench-panels.js").BenchPanels | null} */
    this.panels = null;
    /** @type {(panels: import("./bench-panels.js").BenchPanels) => void} */
    this.resolvePanels = () => {};
    /** @type {Promise<import("./bench-panels.js").BenchPanels>} once they are loaded */
    this.panelsReady = new Promise((resolve) => {
      this.resolvePanels = resolve;
    });
  }

  connectedCallback() {
    if (this.above) return;
    const heading = document.createElement("h1");
    heading.className = "quiet";
    heading.textContent = text.title;
    this.above = document.createElement("div");
    this.above.className = "above";
    this.grid = document.createElement("div");
    this.grid.className = "lanes";
    this.append(heading, this.above, this.grid);
    store.addEventListener("counted", (e) =>
      this.counted(/** @type {CustomEvent<Counted>} */ (e).detail),
    );
    store.addEventListener("pressed", (e) =>
      this.pressed(/** @type {CustomEvent<Pressed>} */ (e).detail),
    );
    for (const name of ["plan", "standing", "forecast", "things", "engine"])
      store.addEventListener(name, () => this.soon());
    store.addEventListener("clock", () => this.mark());
    store.addEventListener("sync", () => this.showSent());
    this.lay();
  }

  /** Loads everything that the first tap can do without. */
  async loadPanels() {
    if (this.loading) return;
    this.loading = true;
    const { BenchPanels } = await import("./bench-panels.js");
    this.panels = new BenchPanels(this);
    this.resolvePanels(this.panels);
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
    const lanes = new Map(
      here.map((l) => [laneKey(l), this.lanes.get(laneKey(l)) ?? new Lane(l, this)]),
    );
    this.lanes = lanes;
    const roots = shown
      .map((l, k) => (l ? lanes.get(laneKey(l)) : this.freeAt(k))?.root)
      .filter((r) => r !== undefined);
    if (
      roots.length !== this.grid?.children.length ||
      roots.some((r, k) => this.grid?.children[k] !== r)
    )
      this.grid?.replaceChildren(...roots);
    here.forEach((l) => lanes.get(laneKey(l))?.update(l));
    this.mark();
    this.showSent();
    this.panels?.lay(!shown.length);
  }

  /** @param {number} k its place on the page of lanes shown */
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

  /** @returns {LaneEntity | null} the lane last counted on, else the clock's, else the first */
  laneInHand() {
    const shown = this.list.shown().filter((l) => l !== null);
    const { shown: clock } = store.clock;
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
    this.panels?.mark();
  }

  /** @param {string} piece @param {string} step */
  nameOf(piece, step) {
    const lane = this.list.find(piece, step);
    return lane ? laneName(lane) : placeName(piece, step);
  }

  /** A total has changed, by whatever hand. @param {Counted} detail */
  counted({ piece, step, total }) {
    for (const lane of this.lanesOf(piece, step)) lane.counted(total);
  }

  /** The maker pressed here. @param {Pressed} detail */
  pressed({ piece, step, total, made }) {
    this.panels?.pressed(piece, step, total.done);
    for (const lane of this.lanesOf(piece, step)) lane.pressed(total, made);
  }

  /** @param {string} piece @param {string} step */
  lanesOf(piece, step) {
    return [...this.lanes.values()].filter(
      ({ lane }) => lane.piece === piece && lane.step === step,
    );
  }

  /** Shows on each pad whether its counts are saved or sent. */
  showSent() {
    this.list.settle();
    const sent = store.sync.now.state === "synced" && store.sync.now.waiting === 0;
    for (const l of this.lanes.values())
      l.pad.showSaved(sent ? "sent" : l.pad.unsaved ? "pressed" : "saved");
  }

  /** @param {boolean} open @param {number | null} [place] where the chosen step shall go */
  choose(open, place = null) {
    this.choosing = open;
    this.list.wanted = place;
    this.lay();
  }

  /** @param {string} piece @param {string} step */
  async addLane(piece, step) {
    const id = await this.list.add(piece, step);
    this.choosing = false;
    this.select(id);
    this.lay();
    this.laneOf(id)?.pad.root.focus({ preventScroll: true });
    this.panels?.prompts.caution(piece, step);
  }

  /** @param {string} id */
  select(id) {
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

  /** What a key set in Setup does. @param {string} action */
  act(action) {
    const number = /^lane(\d)$/.exec(action)?.[1];
    const hand = this.laneOf(this.laneInHand()?.id);
    if (number) this.laneOf(this.list.shown()[Number(number) - 1]?.id)?.count(1);
    else if (action === "tray" && hand) hand.offer(batchOf(hand.lane));
    else if (action === "undo") this.panels?.undo.back();
    else if (action === "pause") this.panels?.strip.toggle();
  }
}

customElements.define("rw-bench", Bench);

// The Bench: pads to tap, the clock, what comes next. Built once; a tap changes only its own lane's text.
import { store } from "../store.js";
import { listen } from "../keys.js";
import { Asking } from "./asking.js";
import { Cards } from "./cards.js";
import { Chooser } from "./chooser.js";
import { ClockStrip } from "./clock-strip.js";
import { JOINED_BY } from "./joining.js";
import { Lane, batchOf, laneKey, laneName, placeName } from "./lane.js";
import { LaneList } from "./lane-list.js";
import { LaneSheet } from "./lane-sheet.js";
import { Sight } from "./sight.js";
import { Spoken } from "./spoken.js";
import { Undo } from "./undo.js";

/** @typedef {import("../types").Thing} Thing */

export class Bench extends HTMLElement {
  constructor() {
    super();
    /** @type {Map<string, Lane>} */
    this.lanes = new Map();
    this.hand = "";
    this.list = new LaneList();
    this.choosing = false;
    this.waiting = 0;
  }

  connectedCallback() {
    if (this.strip) return;
    this.cards = new Cards();
    this.strip = new ClockStrip(this);
    this.sight = new Sight(this);
    this.undo = new Undo(this);
    this.sheet = new LaneSheet(this);
    this.chooser = new Chooser(this);
    this.spoken = new Spoken();
    this.grid = document.createElement("div");
    this.grid.className = "lanes";
    const tools = document.createElement("div");
    tools.className = "tools";
    this.more = document.createElement("button");
    this.more.type = "button";
    this.more.addEventListener("click", () => this.choose(true));
    this.turn = document.createElement("button");
    this.turn.type = "button";
    this.turn.addEventListener("click", () => { this.list.leaf++; this.lay(); });
    tools.append(this.undo.root, this.turn, this.more);
    const above = document.createElement("div");
    above.className = "above";
    above.append(this.cards.root, this.strip.root, this.sight.root, tools);
    const heading = document.createElement("h1");
    heading.className = "quiet";
    heading.textContent = "Bench";
    this.append(heading, above, this.grid, this.chooser.root, this.sheet.root, this.spoken.root);
    this.asking = new Asking(this, this.cards);
    this.#hear();
    listen((deed) => this.act(deed), () => !this.hidden && this.isConnected);
    this.undo.look();
    this.lay();
  }

  #hear() {
    store.addEventListener("counted", (e) => this.counted(/** @type {CustomEvent} */ (e).detail));
    for (const name of ["plan", "standing", "forecast", "things", "engine"]) store.addEventListener(name, () => this.soon());
    store.addEventListener("clock", () => { this.strip?.draw(); this.mark(); });
    store.addEventListener("sync", () => this.sent());
  }

  /** @param {string[]} rest "#bench/choose" opens the choice of steps */
  show(rest) {
    if (rest[0] === "choose") this.choosing = true;
    this.soon();
  }

  soon() {
    if (this.waiting) return;
    this.waiting = requestAnimationFrame(() => { this.waiting = 0; this.lay(); });
  }

  lay() {
    const shown = this.list.shown();
    const empty = !shown.length;
    this.dataset.choosing = String(this.choosing || empty);
    this.dataset.lanes = String(shown.length);
    if (this.choosing || empty) this.chooser?.draw(empty);
    const kept = new Map(shown.map((l) => [laneKey(l), this.lanes.get(laneKey(l))?.pad ? /** @type {Lane} */ (this.lanes.get(laneKey(l))) : new Lane(l, this)]));
    this.lanes = kept;
    const roots = [...kept.values()].map((l) => l.root);
    if (roots.length !== this.grid?.children.length || roots.some((r, k) => this.grid?.children[k] !== r)) this.grid?.replaceChildren(...roots);
    shown.forEach((l) => kept.get(laneKey(l))?.update(l));
    if (this.more) this.more.textContent = "Steps";
    if (this.turn) {
      this.turn.textContent = this.list.leaves();
      this.turn.hidden = !this.turn.textContent;
    }
    this.mark();
    this.sent();
    this.strip?.draw();
    if (this.sheet?.root.open) this.sheet.draw();
  }

  /** @returns {Thing | null} the lane last counted on, else the clock's, else the first */
  laneInHand() {
    const shown = this.list.shown();
    const { clock } = store;
    return shown.find((l) => l.id === this.hand) ?? shown.find((l) => l.piece === clock?.piece && l.step === clock?.step) ?? shown[0] ?? null;
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
    this.sight?.draw();
  }

  /** @param {string} piece @param {string} step */
  nameOf(piece, step) {
    const lane = this.list.find(piece, step);
    return lane ? laneName(lane) : placeName(piece, step);
  }

  /** @param {{piece?: string, step?: string, total?: {done: number, spoiled: number}, n?: number}} detail */
  counted({ piece, step, total, n = 0 }) {
    if (!piece) return this.soon();
    this.asking?.counted();
    for (const l of this.lanes.values()) {
      if (l.lane.piece === piece && l.lane.step === step) l.counted(total ?? store.total(piece, step ?? ""), n);
    }
    this.spoken?.say(`${total?.done ?? 0} ${this.itemsOf(piece, step ?? "")}`);
  }

  /** @param {string} piece @param {string} step */
  itemsOf(piece, step) { return store.plan(piece)?.steps?.find((/** @type {any} */ s) => s.step === step)?.items ?? ""; }

  /** Everything counted here has reached the server. */
  sent() {
    const sent = store.sync.state === "synced" && store.sync.waiting === 0;
    for (const l of this.lanes.values()) l.pad.say(sent ? "sent" : l.pad.unsaved ? "pressed" : "saved");
  }

  /** @param {Lane} lane @param {string} text */
  full(lane, text) {
    const { piece, step } = lane.lane;
    const plan = store.plan(piece);
    const next = [JOINED_BY[step], store.standing(piece)?.next?.step].find((s) => s && s !== step && plan?.steps?.some((/** @type {any} */ p) => p.step === s && p.need > 0));
    const name = plan?.steps?.find((/** @type {any} */ p) => p.step === next)?.name;
    this.spoken?.say(text);
    this.cards?.put("full", { text: `${text}.`, acts: next ? [[`Go to: ${name.toLowerCase()}`, () => this.turnTo(piece, next)]] : [] });
  }

  /** One touch to another step: its lane if it lies here, else this lane turns, unless it is pinned. @param {string} piece @param {string} step */
  async turnTo(piece, step) {
    const there = this.list.find(piece, step);
    const lane = this.laneInHand();
    if (there) this.take(there.id);
    else if (lane && lane.piece === piece && !lane.pinned) await store.set("lane", lane.id, { step, name: null, batch: null });
    else await this.addLane(piece, step);
    this.lay();
    this.asking?.care(piece, step);
    await store.startClock(piece, step);
  }

  /** @param {boolean} open */
  choose(open) {
    this.choosing = open;
    this.lay();
  }

  /** @param {string} piece @param {string} step */
  async addLane(piece, step) {
    const id = await this.list.add(piece, step);
    this.choosing = false;
    this.take(id);
    this.lay();
    [...this.lanes.values()].find((l) => l.lane.id === id)?.pad.root.focus({ preventScroll: true });
    this.asking?.care(piece, step);
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

  /** @param {string} id @param {string} [part] */
  openLane(id, part) { this.sheet?.open(id, part); }

  /** @param {string} id @param {number} n @param {"hand" | "weigh"} how */
  countOn(id, n, how) {
    [...this.lanes.values()].find((l) => l.lane.id === id)?.count(n, how).catch(() => {});
  }

  /** What a taught key does. @param {string} deed */
  act(deed) {
    const number = /^lane(\d)$/.exec(deed)?.[1];
    const hand = [...this.lanes.values()].find((l) => l.lane.id === this.laneInHand()?.id);
    if (number) [...this.lanes.values()][Number(number) - 1]?.count(1);
    else if (deed === "tray" && hand) hand.count(batchOf(hand.lane));
    else if (deed === "undo") this.undo?.back();
    else if (deed === "pause") this.strip?.toggle();
  }
}

customElements.define("rw-bench", Bench);

// One lane: a step of a piece, its pad, and what else can be done to it.
import { store } from "../../store/store.js";
import { figure } from "../../format/numbers.js";
import { amount, day, looseWords, stepName, upper } from "../../format/words.js";
import { mark, markWord } from "../../pictures/mark.js";
import { fullBetween, groupName, placeOf } from "../../engine/group-position.js";
import { Pad } from "./pad.js";

/** @typedef {import("../../types").Thing} Thing */
/** @typedef {{left: number | null, most: string}} Much `most`: what is more than usual, in words */

const BATCHES = 10;
/** As many as ten batches where one touch counts one. */
const MANY = 100;

/** Which lane, in one word: a lane that turns to another step is built anew. @param {Thing} lane */
export const laneKey = (lane) => `${lane.id}|${lane.piece}|${lane.step}`;

/** The plan's row of a lane's step. @param {Thing} lane @returns {any} */
export const plannedOf = (lane) =>
  store.plan(lane.piece)?.steps?.find((/** @type {any} */ s) => s.step === lane.step) ?? null;

/** The step first: it tells lanes of one piece apart where room is short. @param {string} piece @param {string} step */
export const placeName = (piece, step) =>
  `${upper(stepName(store, step))}, ${store.thing("piece", piece)?.name ?? "a piece"}`;

/** @param {Thing} lane */
export function laneName(lane) {
  return lane.name || placeName(lane.piece, lane.step);
}

/** A coil, a tray: how many one touch counts beside +1. @param {Thing} lane @returns {number} */
export const batchOf = (lane) =>
  lane.batch ?? store.thing("step", lane.step)?.lump ?? plannedOf(lane)?.batch ?? 1;

/** How many are left to make at a lane's step, with what later steps miss there; null where there is no plan. @param {Thing} lane */
export function leftOf(lane) {
  const planned = plannedOf(lane),
    standing = store.standing(lane.piece),
    { done, spoiled } = store.total(lane.piece, lane.step);
  const row = standing?.steps?.find((/** @type {any} */ s) => s.step === lane.step);
  if (!row) return planned ? Math.max(0, (planned.start ?? planned.need ?? 0) - done) : null;
  const missing = standing.missing?.find((/** @type {any} */ m) => m.step === lane.step)?.n ?? 0;
  return Math.max(0, row.to_go + missing - (done - spoiled - (row.done - row.spoiled))); // counted since the engine answered
}

/** Why so many at once are asked about first, or null; a weighed number was read and agreed to already. @param {Thing} lane @param {number} n @param {string} [how] @returns {Much | null} */
export function tooMany(lane, n, how) {
  if (n <= 1) return null;
  const left = leftOf(lane),
    batch = batchOf(lane);
  const many = how !== "weigh" && n > (batch > 1 ? BATCHES * batch : MANY);
  return many || (left !== null && n > left)
    ? { left, most: batch > 1 ? `ten times ${figure(batch)}` : `${figure(MANY)} at once` }
    : null;
}

/** @param {string} className @param {() => void} act */
function button(className, act) {
  const out = document.createElement("button");
  out.className = className;
  out.type = "button";
  out.addEventListener("click", act);
  return out;
}

export class Lane {
  /** @param {Thing} lane @param {import("./bench.js").Bench} bench */
  constructor(lane, bench) {
    this.lane = lane;
    this.bench = bench;
    this.root = document.createElement("section");
    this.root.className = "lane";
    this.pad = new Pad({ tap: () => this.count(1), perhaps: (why) => this.perhaps(why) });
    this.name = button("lane-name", () => this.open());
    this.word = document.createElement("span");
    this.tray = button("lane-tray", () => this.offer(batchOf(this.lane)));
    const head = document.createElement("div");
    head.className = "lane-head";
    const tools = document.createElement("div");
    tools.className = "lane-tools";
    /** @type {[string, () => void][]} */
    const kit = [
      ["Number", () => this.open("number")],
      ["Weigh", () => this.open("weigh")],
      ["1 spoiled", () => this.spoiled()],
    ];
    for (const [word, act] of kit) {
      const b = button("lane-tool", act);
      b.textContent = word;
      tools.append(b);
    }
    head.append(this.name, this.tray);
    this.root.append(tools, head, this.pad.root);
    this.update(lane);
  }

  /** @param {number} n @param {"tap" | "hand" | "weigh"} [how] @param {import("../../types").Key} [holds] */
  count(n, how = "tap", holds) {
    this.bench.around?.senses.give("tap"); // first: the cue for a full chain goes over it
    const { saved } = store.count(this.lane.piece, this.lane.step, n, { how, holds });
    this.pad.awaits(saved);
    this.bench.inHand(this.lane.id);
    return saved;
  }

  /** Several at once: asked about first where they are very many. @param {number} n @param {"tap" | "hand" | "weigh"} [how] */
  offer(n, how) {
    const much = tooMany(this.lane, n, how),
      count = (/** @type {number} */ k) => {
        this.count(k, how).catch(() => {});
      };
    if (much) this.bench.whole.then((around) => around.asking.much(this, n, much, count));
    else count(n);
  }

  /** @param {string} [part] of its sheet */
  open(part) {
    this.bench.whole.then((around) => around.sheet.open(this.lane.id, part));
  }

  spoiled() {
    store.scrap(this.lane.piece, this.lane.step, 1).saved.catch(() => {});
    this.bench.around?.senses.give("back");
  }

  /** @param {string} why */
  perhaps(why) {
    this.bench.around?.senses.give("perhaps");
    store.hold(this.lane.piece, this.lane.step, 1, why).catch(() => {});
  }

  /** A count of this lane's step has changed by n. @param {{done: number, spoiled: number}} total @param {number} n */
  counted(total, n) {
    const { done, spoiled } = total;
    this.pad.count(done);
    const planned = plannedOf(this.lane);
    const full =
      n > 0
        ? fullBetween(store.plan(this.lane.piece), planned, done - n - spoiled, done - spoiled)
        : null;
    this.where(planned, total);
    this.pad.full(full?.text ?? "");
    if (n > 0) this.bench.around?.senses.speak(done - n, done);
    if (full) this.bench.whole.then((around) => around.full(this, full.text));
  }

  /** How far within the chain, by good items. @param {any} planned @param {{done: number, spoiled: number}} total */
  where(planned, { done, spoiled }) {
    const goal = planned?.start ?? planned?.need ?? 0;
    this.pad.share(goal ? Math.max(0, done / goal) : 0, goal);
    const place = placeOf(planned?.group, done - spoiled);
    const of = place ? groupName(planned.group, place.index) : "";
    this.pad.put(
      "place",
      place ? `${planned.item ?? "item"} ${place.within} of ${place.size} in ${of}` : "",
    );
    this.pad.put("brief", place ? `${place.within}/${place.size} ${of}` : "");
  }

  /** Everything but the number under the finger. @param {Thing} lane */
  update(lane) {
    this.lane = lane;
    const planned = plannedOf(lane);
    const piece = store.thing("piece", lane.piece);
    const shape = lane.mark ?? piece?.mark;
    if (this.shape !== shape || !this.name.firstChild)
      this.name.replaceChildren(mark(shape), this.word);
    this.shape = shape;
    this.word.textContent = laneName(lane);
    this.name.setAttribute(
      "aria-label",
      `${laneName(lane)}, ${markWord(shape).toLowerCase()}: more for this lane`,
    );
    this.root.setAttribute("aria-label", laneName(lane));
    this.root.dataset.colour = lane.colour ?? piece?.colour ?? "ember";
    const batch = batchOf(lane);
    this.tray.hidden = !(batch > 1);
    this.tray.textContent = `+${figure(batch)}`;
    this.tray.setAttribute(
      "aria-label",
      `+${amount(batch, planned?.items ?? "items", planned?.item)}`,
    );
    this.pad.put("item", upper(planned?.items ?? stepName(store, lane.step)));
    const total = store.total(lane.piece, lane.step);
    this.pad.count(total.done);
    if (!this.pad.root.classList.contains("full")) this.where(planned, total);
    const ends = store.forecast?.pieces?.find(
      (/** @type {any} */ p) => p.id === lane.piece,
    )?.finish;
    this.pad.put("finish", ends?.p80 ? `${day(ends.p80, true)}, 8 in 10` : "");
    this.pad.put("loose", looseWords(store.standing(lane.piece)));
  }
}

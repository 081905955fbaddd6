// One lane: a step of a piece, its pad, and what else can be done with it.
import { bench as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { figure } from "../../format/numbers.js";
import { amount, day, spareWords, stepName, upper } from "../../format/words.js";
import { mark, markWord } from "../../pictures/mark.js";
import { fullBetween, groupName, placeOf } from "../../engine/group-position.js";
import { Pad } from "./pad.js";

/** @typedef {import("../../entities").Entity<"lane">} LaneEntity */
/** @typedef {import("../../answers").PlannedStep} PlannedStep */
/** @typedef {{left: number | null, batch: number}} LargeCount how many are left, and what one touch adds */

const BATCHES = 10;
/** So many at once are asked about where a step has no batches. */
export const MANY = 100;

/** A lane that changes to another step is rebuilt. @param {LaneEntity} lane */
export const laneKey = (lane) => `${lane.id}|${lane.piece}|${lane.step}`;

/** The plan's row of a lane's step. @param {{piece: string, step: string}} lane @returns {PlannedStep | undefined} */
export const plannedOf = (lane) =>
  store.answers.plan(lane.piece)?.steps?.find((s) => s.step === lane.step);

/**
 * The step comes first: it distinguishes lanes of one piece where room is short.
 * @param {string} piece
 * @param {string} step
 */
export const placeName = (piece, step) =>
  text.laneName(upper(stepName(store, step)), store.thing("piece", piece)?.name ?? text.aPiece);

/** @param {LaneEntity} lane */
export function laneName(lane) {
  return lane.name || placeName(lane.piece, lane.step);
}

/** How many the second button adds, such as a coil or a tray. @param {LaneEntity} lane @returns {number} */
export const batchOf = (lane) => store.answers.batchOf(lane);

/**
 * How many are left to make at a lane's step, with those that later steps lack; null without a
 * plan.
 * @param {{piece: string, step: string}} lane
 */
export function leftOf(lane) {
  const planned = plannedOf(lane),
    standing = store.answers.standing(lane.piece),
    { done, spoiled } = store.totals.of(lane.piece, lane.step);
  const row = standing?.steps?.find((s) => s.step === lane.step);
  if (!row) return planned ? Math.max(0, (planned.start ?? planned.need ?? 0) - done) : null;
  const missing = standing?.missing?.find((m) => m.step === lane.step)?.n ?? 0;
  return Math.max(0, row.to_go + missing - (done - spoiled - (row.done - row.spoiled))); // counted since the engine answered
}

/**
 * Whether so many at once need a question first; a weighed number was confirmed already.
 * @param {LaneEntity} lane
 * @param {number} n
 * @param {string} [how]
 * @returns {LargeCount | null}
 */
function largeCount(lane, n, how) {
  if (n <= 1) return null;
  const left = leftOf(lane),
    batch = batchOf(lane);
  const many = how !== "weigh" && n > (batch > 1 ? BATCHES * batch : MANY);
  return many || (left !== null && n > left) ? { left, batch } : null;
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
  /** @param {LaneEntity} lane @param {import("./bench.js").Bench} bench */
  constructor(lane, bench) {
    this.lane = lane;
    this.bench = bench;
    this.root = document.createElement("section");
    this.root.className = "lane";
    /** @type {string | undefined} the mark drawn */
    this.shape = undefined;
    this.pad = new Pad({ tap: () => this.count(1), perhaps: (why) => this.doubtful(why) });
    this.name = button("lane-name", () => this.open());
    this.words = document.createElement("span");
    this.tray = button("lane-tray", () => this.offer(batchOf(this.lane)));
    const head = document.createElement("div");
    head.className = "lane-head";
    const tools = document.createElement("div");
    tools.className = "lane-tools";
    /** @type {[string, () => void][]} */
    const kit = [
      [text.number, () => this.open("number")],
      [text.weigh, () => this.open("weigh")],
      [text.oneSpoiled, () => this.spoiled()],
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
    this.bench.panels?.senses.give("tap"); // first: the cue for a full chain replaces it
    const { saved } = store.counting.count(this.lane.piece, this.lane.step, n, { how, holds });
    this.pad.awaits(saved);
    this.bench.inHand(this.lane.id);
    return saved;
  }

  /**
   * Several at once: asked about first where they are very many.
   * @param {number} n
   * @param {"tap" | "hand" | "weigh"} [how]
   */
  offer(n, how) {
    const large = largeCount(this.lane, n, how),
      count = (/** @type {number} */ k) => {
        this.count(k, how).catch(() => {});
      };
    if (large)
      this.bench.panelsReady.then((panels) => panels.prompts.askLarge(this, n, large, count));
    else count(n);
  }

  /** @param {string} [part] of its sheet */
  open(part) {
    this.bench.panelsReady.then((panels) => panels.sheet.open(this.lane.id, part));
  }

  spoiled() {
    store.counting.scrap(this.lane.piece, this.lane.step, 1).saved.catch(() => {});
    this.bench.panels?.senses.give("back");
  }

  /** A contact that may have been a tap. @param {string} why */
  doubtful(why) {
    this.bench.panels?.senses.give("perhaps");
    store.counting.hold(this.lane.piece, this.lane.step, 1, why).catch(() => {});
  }

  /** The total of this lane's step has changed. @param {{done: number, spoiled: number}} total */
  counted(total) {
    this.pad.count(total.done);
    this.where(plannedOf(this.lane), total);
    this.pad.full("");
  }

  /**
   * The maker pressed here: what is full now, and the number aloud.
   * @param {{done: number, spoiled: number}} total
   * @param {number} n good items made
   */
  pressed({ done, spoiled }, n) {
    const planned = plannedOf(this.lane);
    const full =
      n > 0
        ? fullBetween(
            store.answers.plan(this.lane.piece),
            planned,
            done - n - spoiled,
            done - spoiled,
          )
        : null;
    this.pad.full(full?.text ?? "");
    if (n > 0) this.bench.panels?.senses.speak(done - n, done);
    if (full) this.bench.panelsReady.then((panels) => panels.full(this, full.text));
  }

  /** How far within the chain, by good items. @param {PlannedStep | undefined} planned @param {{done: number, spoiled: number}} total */
  where(planned, { done, spoiled }) {
    const goal = planned?.start ?? planned?.need ?? 0;
    this.pad.share(goal ? Math.max(0, done / goal) : 0, goal);
    const place = placeOf(planned?.group, done - spoiled);
    const of = place ? groupName(planned?.group, place.index) : "";
    this.pad.put(
      "place",
      place ? text.placeIn(planned?.item ?? text.item, `${place.within}`, `${place.size}`, of) : "",
    );
    this.pad.put("brief", place ? `${place.within}/${place.size} ${of}` : "");
  }

  /** Everything but the number under the finger. @param {LaneEntity} lane */
  update(lane) {
    this.lane = lane;
    const planned = plannedOf(lane);
    const piece = store.thing("piece", lane.piece);
    const shape = lane.mark ?? piece?.mark ?? "";
    if (this.shape !== shape || !this.name.firstChild)
      this.name.replaceChildren(mark(shape), this.words);
    this.shape = shape;
    this.words.textContent = laneName(lane);
    this.name.setAttribute("aria-label", text.more(laneName(lane), markWord(shape).toLowerCase()));
    this.root.setAttribute("aria-label", laneName(lane));
    this.root.dataset.colour = lane.colour ?? "ember";
    const batch = batchOf(lane);
    this.tray.hidden = !(batch > 1);
    this.tray.textContent = `+${figure(batch)}`;
    this.tray.setAttribute(
      "aria-label",
      `+${amount(batch, planned?.items ?? text.items, planned?.item)}`,
    );
    this.pad.put("item", upper(planned?.items ?? stepName(store, lane.step)));
    const total = store.totals.of(lane.piece, lane.step);
    this.pad.count(total.done);
    if (!this.pad.root.classList.contains("full")) this.where(planned, total);
    const ends = store.answers.forecast?.pieces?.find((p) => p.id === lane.piece)?.finish;
    this.pad.put("finish", ends?.p80 ? text.safe(day(ends.p80, true)) : "");
    this.pad.put("loose", spareWords(store.answers.standing(lane.piece)));
  }
}

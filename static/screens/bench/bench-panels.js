// Everything around the pads: cards, the clock, the state of the piece, undo, sheets, the choice of steps,
// sound and vibration, pedals. It is loaded after the pads, which count without it.
import { bench as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { listen } from "../../device/key-bindings.js";
import { amount, pieceName } from "../../format/words.js";
import { senses } from "../../device/feedback.js";
import { Prompts } from "./prompts.js";
import { PromptCards } from "./cards.js";
import { StepChooser } from "./step-chooser.js";
import { ClockStrip } from "./clock-strip.js";
import { JOINED_BY } from "../../engine/group-position.js";
import { LaneSheet } from "./lane-sheet.js";
import { PieceStatus } from "./piece-status.js";
import { Undo } from "./undo.js";

/** @param {() => void} act */
function button(act) {
  const out = document.createElement("button");
  out.type = "button";
  out.addEventListener("click", act);
  return out;
}

const EVERY_MS = 1000;

/** What a screen reader hears of counts: the newest, at most once a second, without moving the focus. */
class Announcer {
  constructor() {
    this.root = document.createElement("p");
    this.root.className = "quiet";
    this.root.setAttribute("role", "status");
    this.root.setAttribute("aria-live", "polite");
    this.newest = "";
    this.last_ms = 0;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
  }

  /** @param {string} words */
  announce(words) {
    this.newest = words;
    if (this.timer) return;
    const wait = Math.max(0, this.last_ms + EVERY_MS - performance.now());
    this.timer = setTimeout(() => {
      this.timer = undefined;
      this.last_ms = performance.now();
      this.root.textContent = this.newest;
    }, wait);
  }
}

export class BenchPanels {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.senses = senses;
    this.cards = new PromptCards();
    this.strip = new ClockStrip(bench);
    this.status = new PieceStatus(bench);
    this.undo = new Undo(bench);
    this.sheet = new LaneSheet(bench);
    this.chooser = new StepChooser(bench);
    this.announcer = new Announcer();
    this.more = button(() => bench.choose(true));
    this.more.textContent = text.chooseSteps;
    this.turn = button(() => {
      bench.list.turn();
      bench.lay();
    });
    const tools = document.createElement("div");
    tools.className = "tools";
    tools.append(this.undo.root, this.turn, this.more);
    bench.above?.append(this.cards.root, this.strip.root, this.status.root, tools);
    bench.append(this.chooser.root, this.sheet.root, this.announcer.root);
    this.prompts = new Prompts(bench, this.cards, this.undo);
    store.addEventListener("clock", () => this.strip.draw());
    listen(
      (action) => bench.act(action),
      () => !bench.hidden && bench.isConnected,
    );
    this.undo.refresh();
    this.mark();
    this.lay(bench.dataset.lanes === "0");
  }

  /** @param {boolean} empty there are no lanes yet */
  lay(empty) {
    if (this.bench.choosing || empty) this.chooser.draw(empty);
    this.turn.textContent = this.bench.list.leaves();
    this.turn.hidden = !this.turn.textContent;
    this.strip.draw();
    if (this.sheet.root.open) this.sheet.draw();
  }

  mark() {
    this.status.draw();
  }

  /** @param {string} piece @param {string} step @param {number} done */
  pressed(piece, step, done) {
    this.prompts.clearAfterCount();
    const planned = store.answers.plan(piece)?.steps?.find((s) => s.step === step);
    this.announcer.announce(planned ? amount(done, planned.items, planned.item) : String(done));
  }

  /**
   * Something on a lane is full: announced, with the step that joins it one touch away.
   * @param {import("./lane.js").Lane} lane
   * @param {string} what
   */
  full(lane, what) {
    const { piece, step } = lane.lane;
    // by the counts of this moment: the engine has not seen the last one yet
    const open = (store.answers.plan(piece)?.steps ?? []).filter((planned) => {
      const { done, spoiled } = store.totals.of(piece, planned.step);
      return done - spoiled < planned.need;
    });
    const next = [JOINED_BY[step], store.answers.standing(piece)?.next?.step]
      .filter((s) => s !== step)
      .map((s) => open.find((p) => p.step === s))
      .find((p) => p !== undefined);
    /** @type {[string, () => void][]} */
    const acts = [];
    if (next) acts.push([text.goTo(next.name.toLowerCase()), () => this.turnTo(piece, next.step)]);
    if (!open.length) acts.push([text.toPieces, () => (location.hash = "#pieces")]);
    senses.give("full");
    this.announcer.announce(what);
    this.cards.put("full", {
      text: open.length ? text.isFull(what) : text.allMade(what, pieceName(store, piece)),
      acts,
    });
  }

  /**
   * One touch to another step: to its lane if there is one, else this lane changes to it, unless it
   * is pinned.
   * @param {string} piece
   * @param {string} step
   */
  async turnTo(piece, step) {
    const existing = this.bench.list.find(piece, step);
    const lane = this.bench.laneInHand();
    if (existing) this.bench.select(existing.id);
    else if (lane && lane.piece === piece && !lane.pinned)
      await store.set("lane", lane.id, { step, name: null, batch: null });
    else await this.bench.addLane(piece, step);
    this.bench.lay();
    this.prompts.caution(piece, step);
    await store.clock.start(piece, step);
  }
}

// What stands around the pads: cards, the clock, the sight of the piece, undo, sheets, the choice of
// steps, what is heard and felt, pedals. It comes after the pads, which count without it.
import { store } from "../../store/store.js";
import { listen } from "../../device/key-bindings.js";
import { amount } from "../../format/words.js";
import { senses } from "../../device/feedback.js";
import { Asking } from "./prompts.js";
import { Cards } from "./cards.js";
import { Chooser } from "./step-chooser.js";
import { ClockStrip } from "./clock-strip.js";
import { JOINED_BY } from "../../engine/group-position.js";
import { LaneSheet } from "./lane-sheet.js";
import { Sight } from "./piece-status.js";
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
class Spoken {
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

  /** @param {string} text */
  say(text) {
    this.newest = text;
    if (this.timer) return;
    const wait = Math.max(0, this.last_ms + EVERY_MS - performance.now());
    this.timer = setTimeout(() => {
      this.timer = undefined;
      this.last_ms = performance.now();
      this.root.textContent = this.newest;
    }, wait);
  }
}

export class Around {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.senses = senses;
    this.cards = new Cards();
    this.strip = new ClockStrip(bench);
    this.sight = new Sight(bench);
    this.undo = new Undo(bench);
    this.sheet = new LaneSheet(bench);
    this.chooser = new Chooser(bench);
    this.spoken = new Spoken();
    this.more = button(() => bench.choose(true));
    this.more.textContent = "Steps";
    this.turn = button(() => {
      bench.list.turn();
      bench.lay();
    });
    const tools = document.createElement("div");
    tools.className = "tools";
    tools.append(this.undo.root, this.turn, this.more);
    bench.above?.append(this.cards.root, this.strip.root, this.sight.root, tools);
    bench.append(this.chooser.root, this.sheet.root, this.spoken.root);
    this.asking = new Asking(bench, this.cards, this.undo);
    store.addEventListener("clock", () => this.strip.draw());
    listen(
      (deed) => bench.act(deed),
      () => !bench.hidden && bench.isConnected,
    );
    this.undo.look();
    this.mark();
    this.lay(bench.dataset.lanes === "0");
  }

  /** @param {boolean} empty no lane stands yet */
  lay(empty) {
    if (this.bench.choosing || empty) this.chooser.draw(empty);
    this.turn.textContent = this.bench.list.leaves();
    this.turn.hidden = !this.turn.textContent;
    this.strip.draw();
    if (this.sheet.root.open) this.sheet.draw();
  }

  mark() {
    this.sight.draw();
  }

  /** @param {string} piece @param {string} step @param {number} done */
  counted(piece, step, done) {
    this.asking.counted();
    const planned = store.plan(piece)?.steps?.find((/** @type {any} */ s) => s.step === step);
    this.spoken.say(planned ? amount(done, planned.items, planned.item) : String(done));
  }

  /** Something on a lane is full: said, and the step that joins it one touch away. @param {import("./lane.js").Lane} lane @param {string} text */
  full(lane, text) {
    const { piece, step } = lane.lane;
    const plan = store.plan(piece);
    const next = [JOINED_BY[step], store.standing(piece)?.next?.step].find(
      (s) =>
        s && s !== step && plan?.steps?.some((/** @type {any} */ p) => p.step === s && p.need > 0),
    );
    const name = plan?.steps?.find((/** @type {any} */ p) => p.step === next)?.name;
    senses.give("full");
    this.spoken.say(text);
    this.cards.put("full", {
      text: `${text}.`,
      acts: next ? [[`Go to: ${name.toLowerCase()}`, () => this.turnTo(piece, next)]] : [],
    });
  }

  /** One touch to another step: its lane if it lies here, else this lane turns, unless it is pinned. @param {string} piece @param {string} step */
  async turnTo(piece, step) {
    const there = this.bench.list.find(piece, step);
    const lane = this.bench.laneInHand();
    if (there) this.bench.take(there.id);
    else if (lane && lane.piece === piece && !lane.pinned)
      await store.set("lane", lane.id, { step, name: null, batch: null });
    else await this.bench.addLane(piece, step);
    this.bench.lay();
    this.asking.care(piece, step);
    await store.startClock(piece, step);
  }
}

// What the Bench asks and tells in its cards: gaps of the clock, contacts held apart, breaks, undone counts.
import { store } from "../../store/store.js";
import { senses } from "../../device/feedback.js";
import { BreakWatch } from "../../device/break-reminder.js";
import { lacks } from "../../device/capabilities.js";
import { figure } from "../../format/numbers.js";
import { typedNumber } from "../../format/parse-number.js";
import { minutes, several, some } from "../../format/words.js";
import { careRead, firstSentence, readCare } from "../../ui/caution.js";
import { laneName } from "./lane.js";
import { saidCount } from "../../format/count-words.js";

/** @typedef {import("../../types").Change} Change */

const WHY = {
  bounce: "too soon after the last",
  palm: "as wide as a palm",
  slip: "the finger slipped away",
};
const SAID_MS = 6000;

/** A stretch of time in full words. @param {number} min */
const span = (min) => {
  const n = min < 90 ? Math.round(min) : min / 60;
  return `${min < 90 ? n : some(n, 2)} ${min < 90 ? "minute" : "hour"}${n === 1 ? "" : "s"}`;
};

export class Asking {
  /** @param {import("./bench.js").Bench} bench @param {import("./cards.js").Cards} cards @param {import("./undo.js").Undo} undo */
  constructor(bench, cards, undo) {
    this.bench = bench;
    this.cards = cards;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    this.cared = new Set();
    this.gapAsked = "";
    this.caring = ""; // the step whose caution stands there
    /** @type {Map<string, string>} what was said of softened zinc, by piece */
    this.heat = new Map();
    this.breaks = new BreakWatch(store, (worked) => this.rest(worked));
    store.addEventListener("gap", () => this.gap());
    store.addEventListener("clock", () => this.gap());
    store.addEventListener("held", () => this.held());
    store.addEventListener("standing", (e) =>
      this.heated(/** @type {CustomEvent} */ (e).detail?.piece ?? ""),
    );
    store.addEventListener("saved", (e) =>
      undo.newest(/** @type {CustomEvent} */ (e).detail.change),
    );
    store.addEventListener("undone", (e) =>
      this.undone(/** @type {CustomEvent} */ (e).detail.change),
    );
    this.gap();
    this.held();
    for (const { id, state } of store.things("piece")) if (state !== "done") this.heated(id);
    setTimeout(() => this.lacking(), 1500);
  }

  /** The next tap puts away what only told of the last. */
  counted() {
    this.cards.take("much"); // its figures are of before
    if (this.caring) readCare(this.caring); // it stood there while the hands went to work
    this.caring = "";
    for (const key of ["full", "undone", "care"]) this.cards.take(key);
  }

  /** The caution of a step just chosen; once for each, and gone with the first tap. @param {string} piece @param {string} step */
  care(piece, step) {
    const text = store.plan(piece)?.steps?.find((/** @type {any} */ s) => s.step === step)?.caution;
    if (!text || this.cared.has(step) || careRead(piece, step)) return;
    this.cared.add(step);
    this.caring = step;
    this.cards.put("care", {
      text: `▲ ${firstSentence(text)}`,
      acts: [],
      away: "Understood",
      onAway: () => readCare(step),
    });
  }

  /** Softened rings of zinc-coated wire: said when such a count comes to light, with all of it on the lane's sheet. @param {string} piece */
  heated(piece) {
    const [text] = store.standing(piece)?.warnings ?? [];
    if (!text) return this.heat.delete(piece) && this.cards.take("fire");
    const first = firstSentence(text),
      rest = firstSentence(text.slice(first.length).trim());
    if (this.heat.get(piece) === first) return;
    this.heat.set(piece, first);
    this.cards.put("fire", {
      text: `▲ ${store.thing("piece", piece)?.name ?? "A piece"}: ${first} ${rest}`,
      acts: [],
      away: "Understood",
    });
  }

  /** What is asked of a gap stays while it is answered, whatever else happens on the bench. */
  gap() {
    const gap = store.gap();
    if (!gap) {
      this.gapAsked = "";
      return this.cards.take("gap");
    }
    this.cards.take("break"); // how long it was without a rest is not known before this is answered
    const asked = `${gap.sitting} ${gap.from_ms} ${gap.to_ms}`;
    if (this.gapAsked === asked) return;
    this.gapAsked = asked;
    const some = Math.min(
      Math.round(gap.minutes),
      Math.max(1, Math.round(store.usualMinutes(gap.step) / 3)),
    );
    this.cards.put("gap", {
      text: `No taps for ${span(gap.minutes)} on ${this.bench.nameOf(gap.piece, gap.step)}. How long did you really work?`,
      acts: [
        ["All of it", () => this.keep(gap.minutes)],
        ["None of it", () => this.keep(0)],
        [several(some, "minute"), () => this.keep(some)],
        ["Other", () => this.askMinutes(gap)],
      ],
      away: null,
    });
  }

  /** @param {number} n minutes of the gap */
  keep(n) {
    store.answerGap(n).catch(() => {});
  }

  /** @param {import("../../types").Gap} gap */
  askMinutes(gap) {
    const most = Math.floor(gap.minutes),
      tens = [5, 10, 15, 20, 30, 45, 60, 90, 120, 180].filter((n) => n < most).slice(-6);
    const take = (/** @type {string} */ typed) => {
      const n = typedNumber(typed);
      if (typeof n !== "number" || !(n >= 0 && n <= gap.minutes))
        return `Type minutes from 0 to ${figure(most)}.`;
      this.keep(n);
      return "";
    };
    this.cards.put("gap", {
      text: `Minutes worked, of the ${span(gap.minutes)}:`,
      acts: tens.map((n) => [`${n}`, () => this.keep(n)]),
      field: { label: "or type", word: "Keep", take },
      away: "Back",
      onAway: () => {
        this.gapAsked = "";
        this.gap();
      },
    });
  }

  /** More at once than is left, or than ten batches. @param {import("./lane.js").Lane} lane @param {number} n @param {import("./lane.js").Much} much @param {(n: number) => void} count */
  much(lane, n, { left, most }, count) {
    const name = laneName(lane.lane),
      over = left !== null && n > left;
    const why = !over
      ? `That is more than ${most}`
      : left
        ? `Only ${figure(left)} ${left === 1 ? "is" : "are"} left`
        : "None are left to make";
    this.cards.put("much", {
      text: `Count ${figure(n)}? ${why} on ${name}.`,
      away: "No",
      acts: [
        [`Count ${figure(n)}`, () => count(n)],
        .../** @type {[string, () => void][]} */ (
          over && left ? [[`Count ${figure(left)}`, () => count(left)]] : []
        ),
      ],
    });
  }

  async held() {
    const held = await store.holds();
    if (!held.length) return this.cards.take("held");
    const first = held[0];
    const alike = held.filter((h) => h.piece === first.piece && h.step === first.step);
    const name = this.bench.nameOf(first.piece ?? "", first.step ?? "");
    const why = WHY[/** @type {keyof typeof WHY} */ (first.why)] ?? first.why;
    this.cards.put("held", {
      text:
        alike.length > 1
          ? `Perhaps ${alike.length} taps on ${name} (${why}). Not counted.`
          : `Perhaps one tap on ${name} (${why}). Not counted.`,
      acts: [
        [alike.length > 1 ? `Count the ${alike.length}` : "Count it", () => this.count(alike)],
      ],
      away: alike.length > 1 ? "They were none" : "It was none",
      onAway: () => {
        store.putHoldsAway(alike).then(() => this.held());
      },
    });
  }

  /** @param {Change[]} held */
  async count(held) {
    senses.give("tap");
    for (const h of held)
      await store
        .count(h.piece ?? "", h.step ?? "", h.n ?? 1, { holds: { device: h.device, seq: h.seq } })
        .saved.catch(() => {});
    this.held();
  }

  /** @param {Change} change */
  undone(change) {
    senses.give("back");
    this.said(
      `Taken back: ${saidCount(change, this.bench.nameOf(change.piece ?? "", change.step ?? ""))}.`,
    );
  }

  /** For a little while. @param {string} text */
  said(text) {
    this.cards.put("undone", { text, acts: [] });
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.cards.take("undone"), SAID_MS);
  }

  /** @param {number} worked minutes */
  rest(worked) {
    this.cards.put("break", {
      text: `${minutes(worked)} at the bench without a rest. Put the hammer down, open and stretch the hands.`,
      acts: [
        [
          "Pause the clock",
          () => {
            store.pause();
          },
        ],
      ],
      away: "Later",
    });
  }

  lacking() {
    const said = new Set(store.own("said_lacks", []));
    const fresh = lacks().filter(
      ([name]) => !said.has(name) && (name !== "voice" || senses.every > 0),
    );
    if (!fresh.length) return;
    this.cards.put("lacks", {
      text: fresh.map(([, text]) => text).join(" "),
      acts: [],
      away: "Understood",
      onAway: () => {
        store.setOwn("said_lacks", [...said, ...fresh.map(([name]) => name)]);
      },
    });
  }
}

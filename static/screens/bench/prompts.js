// What the Bench's cards ask and report: gaps of the clock, doubtful contacts, breaks, undone counts.
import { bench as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { senses } from "../../device/feedback.js";
import { BreakWatch } from "../../device/break-reminder.js";
import { lacks } from "../../device/capabilities.js";
import { figure } from "../../format/numbers.js";
import { typedNumber } from "../../format/parse-number.js";
import { minutes, some } from "../../format/words.js";
import { cautionRead, firstSentence, markCautionRead } from "../../ui/caution.js";
import { MANY, laneName } from "./lane.js";
import { countWords } from "../../format/count-words.js";

/** @typedef {import("../../types").Change} Change */

const NOTE_MS = 6000;

/** A stretch of time in full words. @param {number} min */
const stretch = (min) =>
  min < 90 ? text.minuteStretch(figure(min)) : text.hourStretch(some(min / 60, 2));

export class Prompts {
  /**
   * @param {import("./bench.js").Bench} bench
   * @param {import("./cards.js").PromptCards} cards
   * @param {import("./undo.js").Undo} undo
   */
  constructor(bench, cards, undo) {
    this.bench = bench;
    this.cards = cards;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    this.cautioned = new Set();
    this.gapAsked = "";
    this.cautionShown = ""; // the step whose caution is shown
    /** @type {Map<string, string>} warnings already shown, by piece */
    this.warned = new Map();
    this.breaks = new BreakWatch(store, (worked) => this.suggestRest(worked));
    store.addEventListener("gap", () => this.askGap());
    store.addEventListener("clock", () => this.askGap());
    store.addEventListener("held", () => this.askDoubtful());
    store.addEventListener("standing", (e) =>
      this.warn(/** @type {CustomEvent<{piece: string}>} */ (e).detail?.piece ?? ""),
    );
    store.addEventListener("saved", (e) =>
      undo.newest(/** @type {CustomEvent<{change: Change}>} */ (e).detail.change),
    );
    store.addEventListener("undone", (e) =>
      this.reportUndone(/** @type {CustomEvent<{change: Change}>} */ (e).detail.change),
    );
    this.askGap();
    this.askDoubtful();
    for (const { id, state } of store.things("piece")) if (state !== "done") this.warn(id);
    setTimeout(() => this.reportLacks(), 1500);
  }

  /** The next tap removes the cards about the last one. */
  clearAfterCount() {
    this.cards.remove("much"); // its numbers are out of date
    if (this.cautionShown) markCautionRead(this.cautionShown); // it was shown until the work began
    this.cautionShown = "";
    for (const key of ["full", "undone", "care"]) this.cards.remove(key);
  }

  /**
   * The caution of a step just chosen; once for each, and gone with the first tap.
   * @param {string} piece
   * @param {string} step
   */
  caution(piece, step) {
    const warning = store.answers.plan(piece)?.steps?.find((s) => s.step === step)?.caution;
    if (!warning || this.cautioned.has(step) || cautionRead(piece, step)) return;
    this.cautioned.add(step);
    this.cautionShown = step;
    this.cards.put("care", {
      text: text.caution(firstSentence(warning)),
      acts: [],
      dismiss: text.understood,
      onDismiss: () => markCautionRead(step),
    });
  }

  /**
   * A warning, such as of softened rings of zinc-coated wire; all of it is on the lane's sheet.
   * @param {string} piece
   */
  warn(piece) {
    const [warning] = store.answers.standing(piece)?.warnings ?? [];
    if (!warning) return this.warned.delete(piece) && this.cards.remove("fire");
    const first = firstSentence(warning),
      rest = firstSentence(warning.slice(first.length).trim());
    if (this.warned.get(piece) === first) return;
    this.warned.set(piece, first);
    this.cards.put("fire", {
      text: text.cautionOf(
        store.thing("piece", piece)?.name ?? text.cautionPiece,
        `${first} ${rest}`.trim(),
      ),
      acts: [],
      dismiss: text.understood,
    });
  }

  /** The question about a gap stays while it is answered, whatever else happens on the Bench. */
  askGap() {
    const gap = store.clock.gaps[0];
    if (!gap) {
      this.gapAsked = "";
      return this.cards.remove("gap");
    }
    this.cards.remove("break"); // the time without a rest is unknown until this is answered
    const asked = `${gap.sitting} ${gap.from_ms} ${gap.to_ms}`;
    if (this.gapAsked === asked) return;
    this.gapAsked = asked;
    const few = Math.min(
      Math.round(gap.minutes),
      Math.max(1, Math.round(store.clock.usualMinutes(gap) / 3)),
    );
    this.cards.put("gap", {
      text: text.gap(stretch(gap.minutes), this.bench.nameOf(gap.piece, gap.step)),
      acts: [
        [text.allOfIt, () => this.answerGap(gap.minutes)],
        [text.noneOfIt, () => this.answerGap(0)],
        [text.minuteStretch(figure(few)), () => this.answerGap(few)],
        [text.other, () => this.askMinutes(gap)],
      ],
      dismiss: null,
    });
  }

  /** @param {number} n minutes of the gap */
  answerGap(n) {
    store.clock.answerGap(n).catch(() => {});
  }

  /** @param {import("../../types").Gap} gap */
  askMinutes(gap) {
    const most = Math.floor(gap.minutes),
      tens = [5, 10, 15, 20, 30, 45, 60, 90, 120, 180].filter((n) => n < most).slice(-6);
    const submit = (/** @type {string} */ typed) => {
      const n = typedNumber(typed);
      if (typeof n !== "number" || !(n >= 0 && n <= gap.minutes))
        return text.minutesUpTo(figure(most));
      this.answerGap(n);
      return "";
    };
    this.cards.put("gap", {
      text: text.gapMinutes(stretch(gap.minutes)),
      acts: tens.map((n) => [`${n}`, () => this.answerGap(n)]),
      field: { label: text.orType, word: text.save, submit },
      dismiss: text.back,
      onDismiss: () => {
        this.gapAsked = "";
        this.askGap();
      },
    });
  }

  /**
   * More at once than is left, or than ten batches.
   * @param {import("./lane.js").Lane} lane
   * @param {number} n
   * @param {import("./lane.js").LargeCount} large
   * @param {(n: number) => void} count
   */
  askLarge(lane, n, { left, batch }, count) {
    const name = laneName(lane.lane);
    const why =
      left === null || n <= left
        ? batch > 1
          ? text.moreThanBatches(figure(batch), name)
          : text.moreThanMany(figure(MANY), name)
        : left
          ? text.onlyLeft(figure(left), name)
          : text.noneLeft(name);
    /** @type {[string, () => void][]} */
    const acts = [[text.countN(figure(n)), () => count(n)]];
    if (left && n > left) acts.push([text.countN(figure(left)), () => count(left)]);
    this.cards.put("much", { text: text.countQuestion(figure(n), why), dismiss: text.no, acts });
  }

  async askDoubtful() {
    const held = await store.counting.holds();
    if (!held.length) return this.cards.remove("held");
    const first = held[0];
    const alike = held.filter((h) => h.piece === first.piece && h.step === first.step);
    const name = this.bench.nameOf(first.piece ?? "", first.step ?? "");
    const why = text.doubts[/** @type {keyof typeof text.doubts} */ (first.why)] ?? first.why ?? "";
    const n = figure(alike.length),
      many = alike.length > 1;
    this.cards.put("held", {
      text: many ? text.doubtMany(n, name, why) : text.doubtOne(name, why),
      acts: [[many ? text.countThem(n) : text.countIt, () => this.count(alike)]],
      dismiss: many ? text.notTaps : text.notTap,
      onDismiss: () => {
        store.counting.putHoldsAway(alike).then(() => this.askDoubtful());
      },
    });
  }

  /** @param {Change[]} held */
  async count(held) {
    senses.give("tap");
    for (const h of held)
      await store.counting
        .count(h.piece ?? "", h.step ?? "", h.n ?? 1, { holds: { device: h.device, seq: h.seq } })
        .saved.catch(() => {});
    this.askDoubtful();
  }

  /** @param {Change} change */
  reportUndone(change) {
    senses.give("back");
    const count = countWords(change, this.bench.nameOf(change.piece ?? "", change.step ?? ""));
    this.cards.remove("full"); // it no longer is
    this.note(text.tookBack(count));
  }

  /** A card for a little while. @param {string} words */
  note(words) {
    this.cards.put("undone", { text: words, acts: [] });
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.cards.remove("undone"), NOTE_MS);
  }

  /** @param {number} worked minutes */
  suggestRest(worked) {
    this.cards.put("break", {
      text: text.rest(minutes(worked)),
      acts: [
        [
          text.pauseClock,
          () => {
            store.clock.pause();
          },
        ],
      ],
      dismiss: text.later,
    });
  }

  reportLacks() {
    const known = new Set(store.own("said_lacks", []));
    const fresh = lacks().filter(
      ([name]) => !known.has(name) && (name !== "voice" || senses.every > 0),
    );
    if (!fresh.length) return;
    this.cards.put("lacks", {
      text: fresh.map(([, lack]) => lack).join(" "),
      acts: [],
      dismiss: text.understood,
      onDismiss: () => {
        store.setOwn("said_lacks", [...known, ...fresh.map(([name]) => name)]);
      },
    });
  }
}

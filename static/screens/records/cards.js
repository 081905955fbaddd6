// A card for each piece, so that a repair years later starts from the same ring, wire and rules.
import { html } from "../../vendor/lit-html.js";
import { format, plan as planText, records as text, ui } from "../../texts/texts.js";
import { richText } from "../../ui/rich-text.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { isSameWire, pick, pieceQuestion, ringOf } from "../../engine/questions.js";
import { figure, weight } from "../../format/numbers.js";
import { mark } from "../../pictures/mark.js";
import { day, hours, stepName } from "../../format/words.js";
import { askByParts } from "../../engine/question-parts.js";
import { choiceWord, label } from "../../format/labels.js";
import { someField } from "../../ui/form-fields.js";
import { fieldValue, panelName } from "./change-words.js";
import { ringWords, shapeWords, sizeWords } from "../../format/entity-words.js";

/** @typedef {import("../../entities").Entity<"piece">} Piece */
/** @typedef {import("../../answers").PieceAnswer} PieceAnswer */

/** How fabric lay when it was measured. @param {string | null | undefined} key */
const state = (key) => choiceWord("state", key ?? "") ?? choiceWord("state", "relaxed");

/** @param {import("../../entities").Entity<"ring">} ring @param {number} [lap_mm] the usual lap, where none was given */
function wholeRing(ring, lap_mm = 0) {
  const rivet = ring.rivet_kind === "wedge" ? text.wedgeRivet : text.roundRivet;
  const words = [
    ringWords(ring),
    (ring.lap_mm ?? lap_mm) > 0 && text.ringLap(figure(ring.lap_mm ?? lap_mm, 1)),
    ring.rivet_mm && rivet(figure(ring.rivet_mm, 2)),
    ring.cut && (ring.cut === "straight" ? planText.cutStraight : planText.cutWithOverlap),
  ].filter(Boolean);
  return `${words.join(", ")}${ring.zinc ? `; ${text.neverHeat}` : ""}`;
}

/** @type {Record<string, string>} what a repair years later must know before it heats a ring */
const FIRE = text.fire;

/** @param {PieceAnswer} plan */
function holdsWords({ rings, closed, open, weight_g }) {
  const words = text.ringsIn(figure(rings), figure(closed), figure(open));
  return weight_g ? `${words}; ${text.weighs(weight(weight_g))}` : words;
}

/** @typedef {{piece: Piece, plan: PieceAnswer | null, begun: string, ended: string, hours: number, lap_mm: number}} Card */

export class Cards {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {Card[]} */
    this.cards = [];
    this.round = 0;
    /** @type {import("../../answers").MakingRule[]} */
    this.rules = [];
  }

  /** Read again whatever was read before; a later reading overtakes an earlier one. */
  async load() {
    const round = ++this.round,
      /** @type {Card[]} */
      cards = [];
    const sittings = await history.sittings();
    for (const piece of store.things("piece")) {
      const question = pieceQuestion(store, piece.id);
      const plan =
        store.answers.plan(piece.id) ??
        (question
          ? await askByParts((q) => store.ask(q), question).then(
              ({ answer }) => answer,
              () => null,
            )
          : null);
      const own = sittings.filter((s) => s.piece === piece.id);
      cards.push({
        piece,
        plan,
        begun: own.at(-1)?.date ?? "",
        ended: own[0]?.date ?? "",
        hours: own.reduce((sum, s) => sum + s.minutes / 60, 0),
        lap_mm: await this.usualLap(piece.ring),
      });
    }
    if (round === this.round) this.cards = cards;
    if (!this.rules.length)
      this.rules = (await store.ask({ ask: "steps" }).catch(() => ({ rules: [] }))).rules;
  }

  /** What the engine takes where no lap was entered; asked there only. @param {string | null | undefined} id @returns {Promise<number>} mm */
  async usualLap(id) {
    const ring = ringOf(store, id);
    if (ring.wire_mm == null || ring.lap_mm != null) return 0;
    const answer = await store.ask({ ask: "ring", ring }).catch(() => null);
    return answer?.lap_mm ?? 0;
  }

  view() {
    if (!this.cards.length) return html`<p>${richText(text.noCards)}</p>`;
    return html`<p><button @click=${() => print()}>${text.printCards}</button></p>${this.cards.map((card) => this.card(card))}`;
  }

  /** @param {Card} card */
  card({ piece, plan: its, begun, ended, hours: worked, lap_mm }) {
    const row = text.card;
    const ring = store.thing("ring", piece.ring ?? "");
    return html`<article class="sheet card" aria-label=${piece.name ?? ui.unnamedPiece}><h2>${mark(piece.mark)} ${piece.name}</h2><dl>
      ${this.line(row.for, piece.customer)}
      ${this.line(row.made, begun ? text.madeFromTo(day(begun), piece.state === "done" ? day(ended) : text.now, hours(worked)) : "")}
      ${ring ? this.line(label("ring"), wholeRing(ring, lap_mm)) : null}
      ${ring ? this.line(row.fire, FIRE[its?.coating ?? ""]) : null}
      ${store
        .things("panel")
        .filter((p) => p.piece === piece.id)
        .map((p) => this.panel(p, its))}
      ${Object.entries(piece.rules ?? {}).map(([field, value]) => this.line(this.ruleName(field), fieldValue("piece", field, value)))}
      ${this.line(row.without, (piece.without ?? []).map((step) => stepName(store, step)).join(", "))}
      ${this.line(row.reels, (piece.reels ?? []).join(", "))}
      ${its ? this.line(row.holds, holdsWords(its)) : null}
      ${this.line(row.counted, this.counts(piece, its))}
      ${this.line(label("finishing"), (piece.finishing ?? []).map((f) => `${f.name}${f.items ? ` (${figure(f.items)})` : ""}`).join(", "))}
      ${this.line(label("notes"), piece.notes)}
    </dl>${this.reels(piece)}</article>`;
  }

  /** @param {string} name @param {unknown} words */
  line(name, words) {
    return words ? html`<div><dt>${name}</dt><dd>${words}</dd></div>` : null;
  }

  /** What was asked for, and what its rings come to. @param {import("../../entities").Entity<"panel">} panel @param {PieceAnswer | null} plan */
  panel(panel, plan) {
    const swatch = store.thing("swatch", panel.swatch ?? ""),
      { shape } = panel;
    const measured = swatch
      ? text.swatchSize(
          swatch.columns ?? 0,
          swatch.rows ?? 0,
          figure(swatch.width_mm ?? NaN, 1),
          figure(swatch.height_mm ?? NaN, 1),
          state(swatch.state),
        )
      : text.noSwatch;
    const ring = store.thing("ring", panel.ring ?? "");
    const words = shapeWords(
      shape && { ...shape, ...pick(panel, ["units_per_chain", "max_change", "rows_run"]) },
    );
    const size = plan?.panels.find((p) => p.name === panel.name)?.size_mm;
    return this.line(
      panelName(panel),
      [
        panel.state ? text.withMore(words, text.measured(state(panel.state))) : words,
        ...(size ? [text.cameTo(sizeWords(size))] : []),
        measured,
        ...(ring ? [text.ownRing(wholeRing(ring))] : []),
      ].join("; "),
    );
  }

  /** @param {string} field */
  ruleName(field) {
    return this.rules.find((r) => r.field === field)?.name ?? label(field);
  }

  /**
   * Which reels went into it only the maker knows: those of its wire are offered, and what was
   * ticked is kept in words, so that it outlives the reel.
   * @param {Piece} piece
   */
  reels(piece) {
    const rings = [piece, ...store.things("panel").filter((p) => p.piece === piece.id)]
      .map((p) => store.thing("ring", p.ring ?? ""))
      .filter((ring) => ring !== null);
    const alike = store
      .things("reel")
      .filter((r) => rings.some((ring) => isSameWire(r, ring)))
      .map((r) => `${r.name}${r.batch ? ` (${r.batch})` : ""}`);
    const made = piece.reels ?? [],
      all = [...new Set([...made, ...alike])];
    if (!all.length) return null;
    const tick = async (/** @type {string} */ reel, /** @type {boolean} */ on) => {
      await store.set("piece", piece.id, {
        reels: on ? [...made, reel] : made.filter((r) => r !== reel),
      });
      await this.load();
      this.redraw();
    };
    return someField(
      label("reels"),
      all.map((reel) => [reel, reel]),
      made,
      tick,
    );
  }

  /** @param {Piece} piece @param {PieceAnswer | null} plan */
  counts(piece, plan) {
    return (plan?.steps ?? [])
      .map(({ name, step }) => ({ name, ...store.totals.of(piece.id, step) }))
      .filter(({ done, spoiled }) => done || spoiled)
      .map(
        ({ name, done, spoiled }) =>
          text.called(name, figure(done)) +
          (spoiled ? ` (${format.spoiled(figure(spoiled))})` : ""),
      )
      .join(", ");
  }
}

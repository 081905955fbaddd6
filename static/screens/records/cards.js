// A card for each piece, so that a repair years later starts from the same ring, wire and rules.
import { html } from "../../vendor/lit-html.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { pick, pieceQuestion } from "../../engine/questions.js";
import { figure, weight } from "../../format/numbers.js";
import { mark } from "../../pictures/mark.js";
import { day, hours, stepName } from "../../format/words.js";
import { askByParts } from "../../engine/question-parts.js";
import { choiceWord, label } from "../../format/labels.js";
import { fieldValue, panelName } from "./change-words.js";
import { shapeWords } from "../../format/entity-words.js";

/** How fabric lay when it was measured. @param {string | undefined} key */
const state = (key) => choiceWord("state", key ?? "") ?? "relaxed";

/** @param {any} ring */
function ringSizeWords(ring) {
  const size = `${ring.metal ?? "metal not named,"} wire ${figure(ring.wire_mm, 2)} mm, inside ${figure(ring.inner_mm, 1)} mm`;
  return `${size}${ring.lap_mm ? `, overlap ${figure(ring.lap_mm, 1)} mm` : ""}${ring.rivet_mm ? `, ${ring.rivet_kind === "wedge" ? "wedge" : "round"} rivet ${figure(ring.rivet_mm, 2)} mm` : ""}${ring.cut ? `, ${ring.cut === "straight" ? "cut straight" : "cut with the overlap"}` : ""}${ring.zinc ? "; zinc-coated, never heat it" : ""}`;
}

/** @type {Record<string, string>} what a repair years later must know before it heats a ring */
const FIRE = {
  zinc: "Zinc-coated wire is in it: never heat it.",
  unknown: "Wire not known to be bare is in it: never heat it.",
};

/** @typedef {{piece: any, plan: any, begun: string, ended: string, hours: number}} Card */

export class Cards {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {Card[]} */
    this.cards = [];
    /** @type {any[]} */
    this.rules = [];
  }

  async load() {
    const sittings = await history.sittings();
    this.cards = [];
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
      this.cards.push({
        piece,
        plan,
        begun: own.at(-1)?.date ?? "",
        ended: own[0]?.date ?? "",
        hours: own.reduce((sum, s) => sum + s.minutes / 60, 0),
      });
    }
    if (!this.rules.length)
      this.rules = (await store.ask({ ask: "steps" }).catch(() => ({ rules: [] }))).rules;
  }

  view() {
    if (!this.cards.length)
      return html`<p>No piece is written down yet. <a href="#plan/new">Plan the first one</a>: its card keeps ring, wire and rules for a repair.</p>`;
    return html`<p><button @click=${() => print()}>Print the cards</button></p>${this.cards.map((card) => this.card(card))}`;
  }

  /** @param {Card} card */
  card({ piece, plan, begun, ended, hours: worked }) {
    const ring = store.thing("ring", piece.ring ?? "");
    return html`<article class="sheet card" aria-label=${piece.name ?? "Piece"}><h2>${mark(piece.mark)} ${piece.name}</h2><dl>
      ${this.line("For", piece.customer)}
      ${this.line("Made", begun ? `${day(begun)} to ${piece.state === "done" ? day(ended) : "now"}, ${hours(worked)} at the bench` : "")}
      ${ring ? this.line("Ring", ringSizeWords(ring)) : null}
      ${ring ? this.line("Fire", FIRE[plan?.coating]) : null}
      ${store
        .things("panel")
        .filter((p) => p.piece === piece.id)
        .map((p) => this.panel(p))}
      ${Object.entries(piece.rules ?? {}).map(([field, value]) => this.line(this.ruleName(field), fieldValue("piece", field, value)))}
      ${this.line("Done without", (piece.without ?? []).map((/** @type {string} */ step) => stepName(store, step)).join(", "))}
      ${this.line("Made of", (piece.reels ?? []).join(", "))}
      ${plan ? this.line("Holds", `${figure(plan.rings)} rings: ${figure(plan.closed)} closed, ${figure(plan.open)} open${plan.weight_g ? `; about ${weight(plan.weight_g)}` : ""}`) : null}
      ${this.line("Counted", this.counts(piece, plan))}
      ${this.line("Finishing", (piece.finishing ?? []).map((/** @type {any} */ f) => `${f.name}${f.items ? ` (${figure(f.items)})` : ""}`).join(", "))}
      ${this.line("Notes", piece.notes)}
    </dl>${this.reels(piece)}</article>`;
  }

  /** @param {string} name @param {unknown} words */
  line(name, words) {
    return words ? html`<div><dt>${name}</dt><dd>${words}</dd></div>` : null;
  }

  /** @param {any} panel */
  panel(panel) {
    const swatch = store.thing("swatch", panel.swatch ?? ""),
      shape = panel.shape ?? {};
    const measured = swatch
      ? `swatch ${swatch.columns} × ${swatch.rows} on ${figure(swatch.width_mm, 1)} × ${figure(swatch.height_mm, 1)} mm, ${state(swatch.state)}`
      : "no swatch";
    const ring = store.thing("ring", panel.ring ?? "");
    return this.line(
      panelName(panel),
      `${shapeWords({ ...shape, ...pick(panel, ["units_per_chain", "max_change", "rows_run"]) })}${panel.state ? `, measured ${state(panel.state)}` : ""}; ${measured}${ring ? `; its own ring: ${ringSizeWords(ring)}` : ""}`,
    );
  }

  /** @param {string} field */
  ruleName(field) {
    return this.rules.find((r) => r.field === field)?.name ?? label(field);
  }

  /**
   * Which reels went into it only the maker knows: those of its wire are offered, and what was
   * ticked is kept in words, so that it outlives the reel.
   * @param {any} piece
   */
  reels(piece) {
    const rings = [piece, ...store.things("panel").filter((p) => p.piece === piece.id)]
      .map((p) => store.thing("ring", p.ring ?? ""))
      .filter(Boolean);
    const alike = store
      .things("reel")
      .filter((r) =>
        rings.some((ring) => r.metal === ring?.metal && Math.abs(r.wire_mm - ring?.wire_mm) < 5e-4),
      )
      .map((r) => `${r.name}${r.batch ? ` (${r.batch})` : ""}`);
    const made = /** @type {string[]} */ (piece.reels ?? []),
      all = [...new Set([...made, ...alike])];
    if (!all.length) return null;
    const tick = async (/** @type {string} */ reel, /** @type {boolean} */ on) => {
      await store.set("piece", piece.id, {
        reels: on ? [...made, reel] : made.filter((r) => r !== reel),
      });
      await this.load();
      this.redraw();
    };
    return html`<fieldset class="field chips"><legend>Reels it is made from</legend><div class="row">${all.map(
      (reel) => html`<label class="chip">
      <input type="checkbox" .checked=${made.includes(reel)} @change=${(/** @type {any} */ e) => tick(reel, e.target.checked)}><span>${reel}</span></label>`,
    )}</div></fieldset>`;
  }

  /** @param {any} piece @param {any} plan */
  counts(piece, plan) {
    return (plan?.steps ?? [])
      .map((/** @type {any} */ s) => [s.name, store.totals.of(piece.id, s.step)])
      .filter((/** @type {any} */ [, t]) => t.done || t.spoiled)
      .map(
        (/** @type {any} */ [name, t]) =>
          `${name} ${figure(t.done)}${t.spoiled ? ` (${figure(t.spoiled)} spoiled)` : ""}`,
      )
      .join(", ");
  }
}

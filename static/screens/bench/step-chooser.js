// Which steps lie on the bench. The step's caution stands where the step is chosen.
import { store } from "../../store/store.js";
import { html, render } from "../../vendor/lit-html.js";
import { amount } from "../../format/words.js";
import { mark } from "../../pictures/mark.js";
import { caution } from "../../ui/caution.js";
import { openPieces } from "../../store/bench-lanes.js";

export class Chooser {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.root = document.createElement("section");
    this.root.className = "chooser";
    this.root.setAttribute("aria-label", "Choose a step");
  }

  /** @param {boolean} first no lane stands yet */
  draw(first) {
    const pieces = openPieces();
    render(
      pieces.length
        ? html`<h1>${first ? "What do you work on?" : "Put another step on the bench"}</h1>
      ${first ? null : html`<button type="button" @click=${() => this.bench.choose(false)}>Back to the pads</button>`}
      ${pieces.map((p) => this.#piece(p))}`
        : this.#welcome(),
      this.root,
    );
  }

  #welcome() {
    const first = !store.things("piece").length;
    return html`<h1>${first ? "Begin with a piece" : "Every piece is finished"}</h1>
      <p>Say what you make: a ring, a size or a number. Ringwright then says how many rings, units and joins it takes, and puts the first step here as one large pad to tap.</p>
      <p><a class="button main" href="#plan/new">${first ? "Make the first piece" : "Make the next piece"}</a></p>`;
  }

  /** @param {any} piece */
  #piece(piece) {
    const plan = store.plan(piece.id);
    const refused = store.answers.planRefused(piece.id);
    const next = store.standing(piece.id)?.next?.step;
    const steps = (plan?.steps ?? []).filter((/** @type {any} */ s) => (s.need ?? s.to_make) > 0);
    const order = [...steps].sort((a, b) => Number(b.step === next) - Number(a.step === next));
    return html`<h2>${mark(piece.mark)} ${piece.name ?? "Piece"}</h2>
      ${refused ? html`<p class="caution">${refused.why} <a href=${`#plan/${piece.id}`}>Open its plan</a></p>` : null}
      ${!plan && !refused ? html`<p role="status">Its steps are being worked out. <a href=${`#plan/${piece.id}`}>Open its plan</a></p>` : null}
      <ul class="steps">${order.map(
        (s) => html`<li>
        <button type="button" class=${s.step === next ? "main" : ""} @click=${() => this.bench.addLane(piece.id, s.step)}>${s.name}: ${amount(s.need ?? s.to_make, s.items ?? s.item, s.item)}${s.step === next ? " (next)" : ""}</button>
        ${caution(s.caution, piece.id, s.step)}</li>`,
      )}</ul>`;
  }
}

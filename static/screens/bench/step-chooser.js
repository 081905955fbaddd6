// Which steps are on the Bench. A step's caution is shown where the step is chosen.
import { bench as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { html, render } from "../../vendor/lit-html.js";
import { amount } from "../../format/words.js";
import { mark } from "../../pictures/mark.js";
import { caution } from "../../ui/caution.js";
import { openPieces } from "../../store/bench-lanes.js";
import { leftOf } from "./lane.js";

/** @typedef {import("../../answers").PlannedStep} PlannedStep */

export class StepChooser {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.root = document.createElement("section");
    this.root.className = "chooser";
    this.root.setAttribute("aria-label", text.chooseStep);
  }

  /** @param {boolean} first there are no lanes yet */
  draw(first) {
    const pieces = openPieces();
    render(
      pieces.length
        ? html`<h1>${first ? text.whatNow : text.addStep}</h1>
      ${first ? null : html`<button type="button" @click=${() => this.bench.choose(false)}>${text.back}</button>`}
      ${pieces.map((p) => this.#piece(p))}`
        : this.#welcome(),
      this.root,
    );
  }

  #welcome() {
    const first = !store.things("piece").length;
    return html`<h1>${first ? text.beginPiece : text.allFinished}</h1>
      <p>${text.welcome}</p>
      <p><a class="button main" href="#plan/new">${first ? text.planFirst : text.planNext}</a></p>`;
  }

  /** What is left of it, as its pad would say. @param {string} piece @param {PlannedStep} s @param {boolean} next */
  #stepWords(piece, s, next) {
    const left = leftOf({ piece, step: s.step }) ?? s.need;
    if (!left) return text.stepDone(s.name);
    return (next ? text.stepAmountNext : text.stepAmount)(s.name, amount(left, s.items, s.item));
  }

  /** @param {import("../../entities").Entity<"piece">} piece */
  #piece(piece) {
    const plan = store.answers.plan(piece.id);
    const refused = store.answers.planRefused(piece.id);
    const next = store.answers.standing(piece.id)?.next?.step;
    const steps = (plan?.steps ?? []).filter((s) => (s.need ?? s.to_make) > 0);
    const order = [...steps].sort((a, b) => Number(b.step === next) - Number(a.step === next));
    return html`<h2>${mark(piece.mark)} ${piece.name ?? text.piece}</h2>
      ${refused ? html`<p class="caution">${refused.why} <a href=${`#plan/${piece.id}`}>${text.openPlan}</a></p>` : null}
      ${!plan && !refused ? html`<p role="status">${text.workingOutSteps} <a href=${`#plan/${piece.id}`}>${text.openPlan}</a></p>` : null}
      <ul class="steps">${order.map(
        (s) => html`<li>
        <button type="button" class=${s.step === next ? "main" : ""}
          @click=${() => this.bench.addLane(piece.id, s.step)}>${this.#stepWords(piece.id, s, s.step === next)}</button>
        ${caution(s.caution, piece.id, s.step)}</li>`,
      )}</ul>`;
  }
}

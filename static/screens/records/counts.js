// Counts of a piece, step by step, and setting one to what really lies there.
import { html } from "../../vendor/lit-html.js";
import { records as text, ui } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { figure } from "../../format/numbers.js";
import { label } from "../../format/labels.js";
import { stepName, upper } from "../../format/words.js";
import { choiceField, pieceOptions } from "../../ui/form-fields.js";
import { SetCountForm } from "../../ui/set-count-form.js";

/** @typedef {import("../../answers").PlannedStep} PlannedStep */

export class Counts {
  /** @param {() => void} redraw @param {(words: string) => void} say */
  constructor(redraw, say) {
    this.redraw = redraw;
    this.here = new SetCountForm("count-here", redraw, say);
    for (const name of ["counted", "standing"])
      store.addEventListener(name, () => {
        if (this.here.piece) redraw();
      });
  }

  get pieces() {
    return store
      .things("piece")
      .filter((p) => p.state !== "done" && store.answers.plan(p.id)?.steps?.length);
  }

  async load() {
    const { piece, step } = this.here;
    if (!this.pieces.some((p) => p.id === piece)) return this.choose(this.pieces[0]?.id ?? "");
    await this.here.open(piece, step);
  }

  /** @param {string} piece @returns {PlannedStep[]} steps that the piece asks for or that were counted */
  steps(piece) {
    return (store.answers.plan(piece)?.steps ?? []).filter(
      (s) => s.to_make > 0 || store.totals.of(piece, s.step).done,
    );
  }

  /** @param {string} piece @param {string} [step] */
  choose(piece, step = this.steps(piece)[0]?.step ?? "") {
    return this.here.open(piece, step);
  }

  view() {
    const { piece, step } = this.here,
      pieces = this.pieces;
    if (!pieces.length) return html`<p>${text.noCounts}</p>`;
    const steps = this.steps(piece);
    return html`<div class="pair">
        ${choiceField("cnt-piece", label("piece"), piece, pieceOptions(pieces), (id) => this.choose(id))}
        ${choiceField(
          "cnt-step",
          label("step"),
          step,
          steps.map((s) => [s.step, upper(s.name ?? stepName(store, s.step))]),
          (s) => this.choose(piece, s),
        )}</div>
      <div class="sheet"><h2>${ui.setCountToHere}</h2>${this.here.view(steps.find((s) => s.step === step))}</div>
      <div class="scroll" tabindex="0" role="region" aria-label=${text.countsByStep}><table>
        <thead><tr><th>${label("step")}</th><th class="n">${text.counted}</th><th class="n">${label("bad")}</th><th class="n">${text.hereNow}</th></tr></thead>
        <tbody>${steps.map((s) => this.#row(piece, s))}</tbody></table></div>`;
  }

  /** @param {string} piece @param {PlannedStep} s */
  #row(piece, s) {
    const { done, spoiled } = store.totals.of(piece, s.step);
    const here = store.answers
      .standing(piece)
      ?.steps?.find((row) => row.step === s.step)?.stocktake;
    return html`<tr><th scope="row">${upper(s.name ?? stepName(store, s.step))}</th><td class="n">${figure(done)}</td><td class="n">${figure(spoiled)}</td>
      <td class="n">${here?.what === "loose" ? figure(Math.max(0, here.n)) : "–"}</td></tr>`;
  }
}

// Plan: one piece from its ring to its bill, answered while it is typed.
import { html, nothing, render } from "../../vendor/lit-html.js";
import { figure, weight } from "../../format/numbers.js";
import { some } from "../../format/words.js";
import { MARKS, mark } from "../../pictures/mark.js";
import { store } from "../../store/store.js";
import { plan as text } from "../../texts/texts.js";
import { copyPiece, removePiece } from "./actions.js";
import { billPart, consumablesPart, joinsPart, lossesPart } from "./bill.js";
import { readDraft } from "./draft.js";
import { field, idOf, lines, radios } from "./fields.js";
import { FormModel } from "./form-model.js";
import { panelsPart, picturesPart } from "./panels.js";
import { fabricPart, ringPart } from "./ring.js";
import { Lanes, rulesPart, stepsPart } from "./steps.js";

/** A row of the form that its totals can leave out: a panel, a join. */
const ROW = /^(panels|piece\.joins|piece\.finishing|piece\.consumables)\.\d+/;

/** What the totals do not count yet. @param {FormModel} model */
function leftOut({ draft, problems }) {
  const rows = [...new Set(problems.map(({ path }) => ROW.exec(path)?.[0] ?? ""))];
  const panels = rows
    .filter((row) => row.startsWith("panels."))
    .map((row) => draft?.panels[Number(row.slice("panels.".length))]?.name || text.aPanel);
  const joins = rows.filter((row) => row.startsWith("piece.joins")).length;
  const missing = [...panels, ...(joins ? [text.joinCount(joins)] : [])];
  return missing.length ? text.without(missing) : "";
}

export class PlanScreen extends HTMLElement {
  constructor() {
    super();
    this.model = new FormModel();
    this.lanes = new Lanes(() => this.draw());
    this.rest = /** @type {string[]} */ ([]);
    this.found = false;
    this.wide = matchMedia("(min-width: 900px)");
    this.wide.addEventListener("change", () => this.draw());
    /** @type {"" | "discard" | "remove"} what is being confirmed */
    this.confirming = "";
    this.model.addEventListener("change", () => this.draw());
    store.addEventListener("plan", () => this.openLanes());
    store.addEventListener("engine", () => this.model.ask());
    store.addEventListener("things", () => this.refresh());
  }

  get title() {
    return this.model.draft?.fresh ? text.newPiece : this.model.draft?.piece.name || text.plan;
  }

  /** @param {string[]} rest a piece's id or "new", and "lanes" when its steps are to be chosen */
  show(rest) {
    this.rest = rest;
    this.confirming = "";
    this.found = this.model.open(rest[0] ?? "new");
    this.model.refreshHours();
    this.openLanes();
    this.draw();
    scrollTo(0, 0);
    if (rest[1] === "lanes")
      /** @type {HTMLElement | null} */ (this.querySelector("#h-lanes"))?.focus();
  }

  /** Another device may have sent the piece that was asked for, or a change to it. */
  refresh() {
    if (!this.isConnected || this.hidden) return;
    if (this.found) this.model.refresh();
    else if (this.model.open(this.rest[0])) this.show(this.rest);
  }

  openLanes() {
    const id = this.model.draft?.id;
    const plan =
      this.model.draft?.fresh || this.model.changed
        ? null
        : (this.model.answer.plan ?? (id ? store.answers.plan(id) : null));
    if (id && plan) this.lanes.open(id, plan);
    if (this.isConnected) this.draw();
  }

  async save() {
    const first = this.model.draft?.fresh;
    if (!(await this.model.save())) {
      this.goToError();
      return;
    }
    this.lanes.rows = [];
    this.openLanes();
    if (first) location.hash = `plan/${this.model.draft?.id}/lanes`;
  }

  /** Bring the first error into sight. */
  goToError() {
    const keys = (this.model.firstError?.path ?? "").split(".");
    const at = keys
      .map((_, k) => keys.slice(0, keys.length - k).join("."))
      .map((path) => this.querySelector(`#${CSS.escape(idOf(path))}`))
      .find(Boolean);
    for (let box = at?.closest("details"); box; box = box.parentElement?.closest("details"))
      box.open = true;
    at?.scrollIntoView({ block: "center" });
    if (at instanceof HTMLElement) at.focus({ preventScroll: true });
  }

  piecePart() {
    const { model } = this;
    return html`<section class="sheet" aria-labelledby="h-piece"><h2 id="h-piece">${text.piece}</h2>
      <div class="pair roomy">${field(model, "piece.name", text.name, { longest: 80 })}${field(model, "piece.due", text.due, { type: "date" })}</div>
      <details class="inset"><summary>${text.customerMarkNotes}</summary>
        ${field(model, "piece.customer", text.customer, { longest: 120 })}
        ${radios(
          model,
          "piece.mark",
          text.mark,
          MARKS.map(([key]) => [key, mark(key)]),
          { hint: text.markHint },
        )}
        ${lines(model, "piece.notes", text.notes)}
      </details>
    </section>`;
  }

  /** What the totals come to. */
  summary() {
    const { plan, hours } = this.model.answer;
    if (!plan) return text.noTotals;
    return (
      leftOut(this.model) +
      [
        text.ringCount(figure(plan.rings)),
        ...(plan.weight_g ? [weight(plan.weight_g)] : []),
        ...(hours ? [text.aboutHours(some(hours.p50))] : []),
      ].join(", ")
    );
  }

  /** Always in sight: what it comes to, or what is wrong and where, and the one button that goes on. */
  bottomBar() {
    const { model } = this;
    const error = model.changed && model.firstError;
    return html`<div class="plan-foot">
      <p role="status">${error ? html`<span class="stop">▲ ${model.placeOf(error.path)}:</span> ${error.why}` : nothing}${error && model.answer.plan ? html`<br>` : nothing}${error && !model.answer.plan ? nothing : this.summary()}</p>
      ${error ? html`<button type="button" data-do="fault" @click=${() => this.goToError()}>${text.showWhere}</button>` : nothing}
      ${
        this.choosing
          ? html`<button type="button" class="main" data-do="lanes" @click=${() => this.toBench()}>${text.toBench}</button>`
          : html`<button type="submit" form="plan-form" class="main" data-do="save" ?disabled=${!model.changed}>${model.changed || model.draft?.fresh ? text.save : text.saved}</button>`
      }
    </div>`;
  }

  /** Steps can be chosen once there is a plan and nothing is left unsaved. */
  get choosing() {
    return (
      this.rest[1] === "lanes" &&
      !this.model.draft?.fresh &&
      !this.model.changed &&
      this.lanes.rows.length > 0
    );
  }

  async toBench() {
    if (await this.lanes.save()) location.hash = "bench";
  }

  /**
   * What cannot be undone is confirmed first.
   * @param {"discard" | "remove"} what
   * @param {{label: string, question: string, yes: string, act: () => unknown}} words
   */
  confirmed(what, { label, question, yes, act }) {
    const confirm = (/** @type {"" | "discard" | "remove"} */ next) => {
      this.confirming = next;
      this.draw();
    };
    const names = { discard: "forget", remove: "remove" };
    if (this.confirming !== what)
      return html`<button type="button" data-do=${names[what]} @click=${() => confirm(what)}>${label}</button>`;
    return html`<div class="sheet" role="group" aria-label=${question}><p>${question}</p><div class="row">
      <button type="button" data-do=${`${names[what]}-yes`} @click=${() => {
        this.confirming = "";
        act();
      }}>${yes}</button>
      <button type="button" @click=${() => confirm("")}>${text.keepIt}</button></div></div>`;
  }

  /** The ways out of a plan: discard, copy, remove. */
  pieceActions() {
    const { draft, changed } = this.model;
    const discard = {
      label: draft?.fresh ? text.clearForm : text.discardChanges,
      question: draft?.fresh ? text.clearFormQuestion : text.discardQuestion,
      yes: text.discardYes,
      act: () => this.model.discard(),
    };
    const remove = {
      label: text.removePiece,
      question: text.removePieceQuestion,
      yes: text.removePieceYes,
      act: () => removePiece(this.model),
    };
    const copy = readDraft("new") // one new piece at a time: its form would be overwritten
      ? html`<a class="button" href="#plan/new">${text.toUnsavedPiece}</a>`
      : html`<button type="button" data-do="another" @click=${() => copyPiece(this.model)}>${text.copyPiece}</button>`;
    return html`<div class="row away">
      ${changed ? this.confirmed("discard", discard) : draft?.fresh ? nothing : copy}
      ${draft?.fresh ? nothing : this.confirmed("remove", remove)}</div>`;
  }

  lanesPart() {
    return html`${this.lanes.part()}<p><a class="button" href=${`#plan/${this.model.draft?.id}`}>${text.toPlan}</a></p>`;
  }

  formPart() {
    const { model } = this;
    const lanes =
      model.draft?.fresh || model.changed
        ? nothing
        : html`<p><a class="button wide" href=${`#plan/${model.draft?.id}/lanes`}>${text.chooseSteps}</a></p>`;
    return html`<div class="two">
        <form class="form" id="plan-form" novalidate @submit=${(/** @type {Event} */ e) => {
          e.preventDefault();
          this.save();
        }}>
          ${this.piecePart()}${ringPart(model)}${fabricPart(model)}${panelsPart(model, !this.wide.matches)}${joinsPart(model)}${rulesPart(model)}${stepsPart(model)}${lossesPart(model)}${consumablesPart(model)}
        </form>
        <div class="pictures-and-bill" tabindex="0" role="region" aria-label=${text.pictureAndBill}>${this.wide.matches ? picturesPart(model) : nothing}${billPart(model)}${lanes}${this.pieceActions()}</div>
      </div>`;
  }

  draw() {
    const { model } = this;
    model.labels.clear();
    if (!this.found || !model.draft) {
      render(
        html`<div class="desk"><h1>${text.noSuchPiece}</h1><p>${text.noSuchPieceHint}</p><a class="button" href="#pieces">${text.toPieces}</a></div>`,
        this,
      );
      return;
    }
    render(
      html`<div class="desk plan"><h1>${this.title}</h1>${this.choosing ? this.lanesPart() : this.formPart()}</div>${this.bottomBar()}`,
      this,
    );
  }
}
customElements.define("rw-plan", PlanScreen);

// Plan: one piece from its ring to its bill, answered while it is typed.
import { html, nothing, render } from "../../vendor/lit-html.js";
import { figure, weight } from "../../format/numbers.js";
import { some } from "../../format/words.js";
import { mark, MARKS } from "../../pictures/mark.js";
import { store } from "../../store/store.js";
import { makeAnother } from "./actions.js";
import { billPart, consumablesPart, joinsPart, lossesPart } from "./bill.js";
import * as draftStorage from "./draft.js";
import { field, idOf, lines, radios } from "./fields.js";
import { FormModel } from "./form-model.js";
import { panelsPart, picturesPart } from "./panels.js";
import { fabricPart, ringPart } from "./ring.js";
import { cardPart, Lanes, stepsPart } from "./steps.js";

/** @param {PlanScreen} screen @param {string} what @param {{word: string, question: string, yes: string, act: () => void}} says */
function twice(screen, what, { word, question, yes, act }) {
  const ask = (/** @type {string} */ next) => {
    screen.asked = next;
    screen.draw();
  };
  if (screen.asked !== what)
    return html`<button type="button" data-do=${what} @click=${() => ask(what)}>${word}</button>`;
  return html`<div class="sheet" role="group" aria-label=${question}><p>${question}</p><div class="row">
    <button type="button" data-do=${`${what}-yes`} @click=${() => {
      screen.asked = "";
      act();
    }}>${yes}</button>
    <button type="button" @click=${() => ask("")}>No, keep it</button></div></div>`;
}

/** One new piece is begun at a time: its form would be overwritten. @param {PlanScreen} screen */
function another(screen) {
  return draftStorage.read("new")
    ? html`<a class="button" href="#plan/new">To the new piece begun before</a>`
    : html`<button type="button" data-do="another" @click=${() => makeAnother(screen.model)}>Plan another like it</button>`;
}

/** @param {PlanScreen} screen */
function forget(screen) {
  const fresh = screen.model.draft?.fresh;
  return twice(screen, "forget", {
    word: fresh ? "Clear the form" : "Go back to what was saved",
    yes: "Yes, put it away",
    act: () => screen.model.forget(),
    question: fresh
      ? "Put away all that is typed here?"
      : "Put away what was changed since it was saved?",
  });
}

/** @param {PlanScreen} screen */
export function awayPart(screen) {
  const { draft, changed } = screen.model;
  const remove = {
    word: "Take this piece off the list",
    question: "Take this piece off every list? What was counted on it stays in Records.",
    yes: "Yes, take it off",
    act: () => screen.remove(),
  };
  return html`<div class="row away">
    ${changed ? forget(screen) : draft?.fresh ? nothing : another(screen)}
    ${draft?.fresh ? nothing : twice(screen, "remove", remove)}</div>`;
}

/** What the sum does not hold yet. @param {FormModel} model */
function leftOut({ draft, wrongs }) {
  const rows = new Set(
    wrongs
      .map(
        ({ path }) =>
          /^(panels|piece\.joins|piece\.finishing|piece\.consumables)\.\d+/.exec(path)?.[0] ?? "",
      )
      .filter(Boolean),
  );
  const panels = [...rows].flatMap((row) =>
    row.startsWith("panels.") ? [draft?.panels[Number(row.slice(7))]?.name || "a panel"] : [],
  );
  const joins = [...rows].filter((row) => row.startsWith("piece.joins")).length;
  const without = [...panels, ...(joins ? [joins === 1 ? "a join" : `${joins} joins`] : [])];
  return without.length ? `Without ${without.join(" and ")}: ` : "";
}

export class PlanScreen extends HTMLElement {
  constructor() {
    super();
    this.model = new FormModel();
    this.lanes = new Lanes(() => this.draw());
    this.rest = /** @type {string[]} */ ([]);
    this.known = false;
    this.wide = matchMedia("(min-width: 900px)");
    this.wide.addEventListener("change", () => this.draw());
    this.asked = "";
    this.model.addEventListener("change", () => this.draw());
    store.addEventListener("plan", () => this.lane());
    store.addEventListener("engine", () => this.model.ask());
    store.addEventListener("things", () => this.heard());
  }

  get title() {
    return this.model.draft?.fresh ? "New piece" : this.model.get("piece.name") || "Plan";
  }

  /** @param {string[]} rest a piece's id or "new", and "lanes" when its steps are to be chosen */
  show(rest) {
    this.rest = rest;
    this.asked = "";
    this.known = this.model.open(rest[0] ?? "new");
    this.model.hoursAgain();
    this.lane();
    this.draw();
    scrollTo(0, 0);
    if (rest[1] === "lanes")
      /** @type {HTMLElement | null} */ (this.querySelector("#h-lanes"))?.focus();
  }

  /** What another device said may be the piece that was asked for, or a change to it. */
  heard() {
    if (!this.isConnected || this.hidden) return;
    if (this.known) this.model.refresh();
    else if (this.model.open(this.rest[0])) this.show(this.rest);
  }

  lane() {
    const id = this.model.draft?.id;
    const plan =
      this.model.draft?.fresh || this.model.changed
        ? null
        : (this.model.answer.plan ?? (id ? store.plan(id) : null));
    if (id && plan) this.lanes.open(id, plan);
    if (this.isConnected) this.draw();
  }

  async save() {
    const first = this.model.draft?.fresh;
    if (!(await this.model.save())) {
      this.toFault();
      return;
    }
    this.lanes.rows = [];
    this.lane();
    if (first) location.hash = `plan/${this.model.draft?.id}/lanes`;
  }

  /** Bring what is wrong into sight. */
  toFault() {
    const steps = (this.model.fault?.path ?? "").split(".");
    const at = steps
      .map((_, k) => steps.slice(0, steps.length - k).join("."))
      .map((p) => this.querySelector(`#${CSS.escape(idOf(p))}`))
      .find(Boolean);
    for (let box = at?.closest("details"); box; box = box.parentElement?.closest("details"))
      box.open = true;
    at?.scrollIntoView({ block: "center" });
    if (at instanceof HTMLElement) at.focus({ preventScroll: true });
  }

  async remove() {
    const { draft } = this.model;
    if (!draft) return;
    for (const lane of store.things("lane").filter((l) => l.piece === draft.id))
      await store.set("lane", lane.id, { deleted: true });
    if (store.clock?.piece === draft.id) await store.stopClock();
    await store.set("piece", draft.id, { deleted: true });
    this.model.forget();
    location.hash = "pieces";
  }

  piecePart() {
    const { model } = this;
    return html`<section class="sheet" aria-labelledby="h-piece"><h2 id="h-piece">Piece</h2>
      <div class="pair roomy">${field(model, "piece.name", "Name", { longest: 80 })}${field(model, "piece.due", "Due", { type: "date" })}</div>
      <details class="inset"><summary>For whom, mark, notes</summary>
        ${field(model, "piece.customer", "For whom", { longest: 120 })}
        ${radios(
          model,
          "piece.mark",
          "Mark",
          MARKS.map(([key]) => [key, mark(key)]),
          { hint: "Tells the piece apart on the Bench at a glance." },
        )}
        ${lines(model, "piece.notes", "Notes")}
      </details>
    </section>`;
  }

  /** Always in sight: what it comes to, or what is wrong, and the one button that goes on. */
  foot() {
    const { model } = this;
    const { plan, hours } = model.answer;
    const wrong = model.changed && model.fault;
    const sum = plan
      ? leftOut(model) +
        [
          `${figure(plan.rings)} rings`,
          ...(plan.weight_g ? [weight(plan.weight_g)] : []),
          ...(hours ? [`about ${some(hours.p50)} h`] : []),
        ].join(", ")
      : "Nothing worked out yet";
    return html`<div class="plan-foot">
      <p role="status">${wrong ? html`<span class="stop">▲</span> ${wrong.why}` : nothing}${wrong && plan ? html`<br>` : nothing}${wrong && !plan ? nothing : sum}</p>
      ${wrong ? html`<button type="button" data-do="fault" @click=${() => this.toFault()}>Show where</button>` : nothing}
      ${
        this.choosing
          ? html`<button type="button" class="main" data-do="lanes" @click=${() => this.toBench()}>To the Bench</button>`
          : html`<button type="submit" form="plan-form" class="main" data-do="save" ?disabled=${!model.changed}>${model.changed || model.draft?.fresh ? "Save" : "Saved"}</button>`
      }
    </div>`;
  }

  /** Steps can be chosen once a plan stands and nothing is left unsaved. */
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

  lanesPart() {
    return html`${this.lanes.part()}<p><a class="button" href=${`#plan/${this.model.draft?.id}`}>To its plan</a></p>`;
  }

  formPart() {
    const { model } = this;
    const lanes =
      model.draft?.fresh || model.changed
        ? nothing
        : html`<p><a class="button wide" href=${`#plan/${model.draft?.id}/lanes`}>Choose its steps for the Bench</a></p>`;
    return html`<div class="two">
        <form class="form" id="plan-form" novalidate @submit=${(/** @type {Event} */ e) => {
          e.preventDefault();
          this.save();
        }}>
          ${this.piecePart()}${ringPart(model)}${fabricPart(model)}${panelsPart(model, !this.wide.matches)}${joinsPart(model)}${cardPart(model)}${stepsPart(model)}${lossesPart(model)}${consumablesPart(model)}
        </form>
        <div class="told" tabindex="0" role="region" aria-label="Picture and bill">${this.wide.matches ? picturesPart(model) : nothing}${billPart(model)}${lanes}${awayPart(this)}</div>
      </div>`;
  }

  draw() {
    const { model } = this;
    model.shown.clear();
    if (!this.known || !model.draft) {
      render(
        html`<div class="desk"><h1>No such piece</h1><p>It may have been taken off the list on another device.</p><a class="button" href="#pieces">To the pieces</a></div>`,
        this,
      );
      return;
    }
    render(
      html`<div class="desk plan"><h1>${this.title}</h1>${this.choosing ? this.lanesPart() : this.formPart()}</div>${this.foot()}`,
      this,
    );
  }
}
customElements.define("rw-plan", PlanScreen);

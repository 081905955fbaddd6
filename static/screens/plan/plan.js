// Plan: one piece from its ring to its bill, answered while it is typed.
import { html, nothing, render } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { figure, weight } from "../../format/numbers.js";
import { some } from "../../format/words.js";
import { MARKS, mark } from "../../pictures/mark.js";
import { awayPart } from "./piece-actions.js";
import { billPart } from "./bill.js";
import { cardPart, stepsPart } from "./card.js";
import { PlanDesk } from "./form-model.js";
import { fabricPart } from "./fabric-state.js";
import { field, idOf, lines, radios } from "./fields.js";
import { Lanes } from "./bench-steps.js";
import { consumablesPart, joinsPart, lossesPart } from "./extras.js";
import { panelsPart, picturesPart } from "./panel.js";
import { ringPart } from "./ring.js";

/** What the sum does not hold yet. @param {PlanDesk} desk */
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
    this.desk = new PlanDesk();
    this.lanes = new Lanes(() => this.draw());
    this.rest = /** @type {string[]} */ ([]);
    this.known = false;
    this.wide = matchMedia("(min-width: 900px)");
    this.wide.addEventListener("change", () => this.draw());
    this.asked = "";
    this.desk.addEventListener("change", () => this.draw());
    store.addEventListener("plan", () => this.lane());
    store.addEventListener("engine", () => this.desk.ask());
    store.addEventListener("things", () => this.heard());
  }

  get title() {
    return this.desk.draft?.fresh ? "New piece" : this.desk.get("piece.name") || "Plan";
  }

  /** @param {string[]} rest a piece's id or "new", and "lanes" when its steps are to be chosen */
  show(rest) {
    this.rest = rest;
    this.asked = "";
    this.known = this.desk.open(rest[0] ?? "new");
    this.desk.hoursAgain();
    this.lane();
    this.draw();
    scrollTo(0, 0);
    if (rest[1] === "lanes")
      /** @type {HTMLElement | null} */ (this.querySelector("#h-lanes"))?.focus();
  }

  /** What another device said may be the piece that was asked for, or a change to it. */
  heard() {
    if (!this.isConnected || this.hidden) return;
    if (this.known) this.desk.refresh();
    else if (this.desk.open(this.rest[0])) this.show(this.rest);
  }

  lane() {
    const id = this.desk.draft?.id;
    const plan =
      this.desk.draft?.fresh || this.desk.changed
        ? null
        : (this.desk.answer.plan ?? (id ? store.plan(id) : null));
    if (id && plan) this.lanes.open(id, plan);
    if (this.isConnected) this.draw();
  }

  async save() {
    const first = this.desk.draft?.fresh;
    if (!(await this.desk.save())) {
      this.toFault();
      return;
    }
    this.lanes.rows = [];
    this.lane();
    if (first) location.hash = `plan/${this.desk.draft?.id}/lanes`;
  }

  /** Bring what is wrong into sight. */
  toFault() {
    const steps = (this.desk.fault?.path ?? "").split(".");
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
    const { draft } = this.desk;
    if (!draft) return;
    for (const lane of store.things("lane").filter((l) => l.piece === draft.id))
      await store.set("lane", lane.id, { deleted: true });
    if (store.clock?.piece === draft.id) await store.stopClock();
    await store.set("piece", draft.id, { deleted: true });
    this.desk.forget();
    location.hash = "pieces";
  }

  piecePart() {
    const { desk } = this;
    return html`<section class="sheet" aria-labelledby="h-piece"><h2 id="h-piece">Piece</h2>
      <div class="pair roomy">${field(desk, "piece.name", "Name", { longest: 80 })}${field(desk, "piece.due", "Due", { type: "date" })}</div>
      <details class="inset"><summary>For whom, mark, notes</summary>
        ${field(desk, "piece.customer", "For whom", { longest: 120 })}
        ${radios(
          desk,
          "piece.mark",
          "Mark",
          MARKS.map(([key]) => [key, mark(key)]),
          { hint: "Tells the piece apart on the Bench at a glance." },
        )}
        ${lines(desk, "piece.notes", "Notes")}
      </details>
    </section>`;
  }

  /** Always in sight: what it comes to, or what is wrong, and the one button that goes on. */
  foot() {
    const { desk } = this;
    const { plan, hours } = desk.answer;
    const wrong = desk.changed && desk.fault;
    const sum = plan
      ? leftOut(desk) +
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
          : html`<button type="submit" form="plan-form" class="main" data-do="save" ?disabled=${!desk.changed}>${desk.changed || desk.draft?.fresh ? "Save" : "Saved"}</button>`
      }
    </div>`;
  }

  /** Steps can be chosen once a plan stands and nothing is left unsaved. */
  get choosing() {
    return (
      this.rest[1] === "lanes" &&
      !this.desk.draft?.fresh &&
      !this.desk.changed &&
      this.lanes.rows.length > 0
    );
  }

  async toBench() {
    if (await this.lanes.save()) location.hash = "bench";
  }

  lanesPart() {
    return html`${this.lanes.part()}<p><a class="button" href=${`#plan/${this.desk.draft?.id}`}>To its plan</a></p>`;
  }

  formPart() {
    const { desk } = this;
    const lanes =
      desk.draft?.fresh || desk.changed
        ? nothing
        : html`<p><a class="button wide" href=${`#plan/${desk.draft?.id}/lanes`}>Choose its steps for the Bench</a></p>`;
    return html`<div class="two">
        <form class="form" id="plan-form" novalidate @submit=${(/** @type {Event} */ e) => {
          e.preventDefault();
          this.save();
        }}>
          ${this.piecePart()}${ringPart(desk)}${fabricPart(desk)}${panelsPart(desk, !this.wide.matches)}${joinsPart(desk)}${cardPart(desk)}${stepsPart(desk)}${lossesPart(desk)}${consumablesPart(desk)}
        </form>
        <div class="told" tabindex="0" role="region" aria-label="Picture and bill">${this.wide.matches ? picturesPart(desk) : nothing}${billPart(desk)}${lanes}${awayPart(this)}</div>
      </div>`;
  }

  draw() {
    const { desk } = this;
    desk.shown.clear();
    if (!this.known || !desk.draft) {
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

// Plan: one piece from its ring to its bill, answered while it is typed.
import { html, nothing, render } from "../vendor/lit-html.js";
import { store } from "../store.js";
import { about, figure, weight } from "../figures.js";
import { MARKS, mark } from "../pictures/mark.js";
import { billPart } from "./plan-bill.js";
import { cardPart, stepsPart } from "./plan-card.js";
import { PlanDesk } from "./plan-desk.js";
import { fabricPart } from "./plan-fabric.js";
import { field, idOf, radios } from "./plan-fields.js";
import { Lanes } from "./plan-lanes.js";
import { consumablesPart, joinsPart, lossesPart } from "./plan-more.js";
import { panelsPart, picturesPart } from "./plan-panel.js";
import { ringPart } from "./plan-ring.js";

export class PlanScreen extends HTMLElement {
  constructor() {
    super();
    this.desk = new PlanDesk();
    this.lanes = new Lanes(() => this.draw());
    this.rest = /** @type {string[]} */ ([]);
    this.known = false;
    this.wide = matchMedia("(min-width: 900px)");
    this.wide.addEventListener("change", () => this.draw());
    this.leaving = false;
    this.desk.addEventListener("change", () => this.draw());
    store.addEventListener("plan", () => this.lane());
    store.addEventListener("engine", () => this.desk.ask());
  }

  get title() { return this.desk.draft?.fresh ? "New piece" : this.desk.get("piece.name") || "Plan"; }

  /** @param {string[]} rest a piece's id or "new", and "lanes" when its steps are to be chosen */
  show(rest) {
    this.rest = rest;
    this.leaving = false;
    this.known = this.desk.open(rest[0] ?? "new");
    this.lane();
    this.draw();
  }

  lane() {
    const id = this.desk.draft?.id;
    const plan = this.desk.draft?.fresh || this.desk.changed ? null : this.desk.answer.plan ?? (id ? store.plan(id) : null);
    if (id && plan) this.lanes.open(id, plan);
    if (this.isConnected) this.draw();
  }

  async save() {
    const first = this.desk.draft?.fresh;
    if (!await this.desk.save()) { this.toFault(); return; }
    this.lanes.rows = [];
    this.lane();
    if (first) location.hash = `plan/${this.desk.draft?.id}/lanes`;
    if (first) requestAnimationFrame(() => /** @type {HTMLElement | null} */ (this.querySelector("#h-lanes"))?.focus());
  }

  /** Bring what is wrong into sight. */
  toFault() {
    const path = this.desk.wrong?.path ?? "";
    const at = [path, path.split(".").slice(0, 2).join("."), path.split(".")[0]].map((p) => this.querySelector(`#${CSS.escape(idOf(p))}`)).find(Boolean);
    const box = at?.closest("details");
    if (box) box.open = true;
    at?.scrollIntoView({ block: "center" });
    if (at instanceof HTMLElement) at.focus({ preventScroll: true });
  }

  async remove() {
    const { draft } = this.desk;
    if (!draft) return;
    for (const lane of store.things("lane").filter((l) => l.piece === draft.id)) await store.set("lane", lane.id, { deleted: true });
    await store.set("piece", draft.id, { deleted: true });
    this.desk.forget();
    location.hash = "pieces";
  }

  piecePart() {
    const { desk } = this;
    return html`<section class="sheet" aria-labelledby="h-piece"><h2 id="h-piece">Piece</h2>
      ${field(desk, "piece.name", "Name", { longest: 80 })}
      <div class="pair">${field(desk, "piece.customer", "For whom", { longest: 120 })}
      ${field(desk, "piece.due", "Due", { type: "date" })}</div>
      ${radios(desk, "piece.mark", "Mark", MARKS.map(([key]) => [key, mark(key)]), { hint: "Tells the piece apart on the Bench at a glance." })}
    </section>`;
  }

  /** Always in sight: what it comes to, or what is wrong, and the one button. */
  foot() {
    const { desk } = this;
    const { plan } = desk.answer;
    const sum = plan ? `${figure(plan.rings)} rings, ${weight(plan.weight_g)}, ${about(plan.wire_m)} m of wire` : "Nothing reckoned yet";
    return html`<div class="plan-foot">
      <p role="status">${desk.wrong && desk.changed ? html`<span class="stop">▲</span> ${desk.wrong.why}` : sum}</p>
      ${desk.wrong && desk.changed ? html`<button type="button" data-do="fault" @click=${() => this.toFault()}>Show where</button>` : nothing}
      ${desk.changed ? html`<button type="button" @click=${() => desk.forget()}>Put back</button>` : nothing}
      <button type="button" class="main" data-do="save" ?disabled=${!desk.changed} @click=${() => this.save()}>${desk.draft?.fresh ? "Save the piece" : desk.changed ? "Save" : "Saved"}</button>
    </div>`;
  }

  away() {
    if (this.desk.draft?.fresh) return nothing;
    return this.leaving
      ? html`<section class="sheet"><p>Take this piece off every list? What was counted on it stays in Records.</p>
          <div class="row"><button type="button" data-do="remove" @click=${() => this.remove()}>Yes, take it off</button><button type="button" @click=${() => { this.leaving = false; this.draw(); }}>No, keep it</button></div></section>`
      : html`<button type="button" @click=${() => { this.leaving = true; this.draw(); }}>Take this piece off the list</button>`;
  }

  lanesPart() {
    if (this.desk.draft?.fresh || this.desk.changed || !this.lanes.rows.length) return nothing;
    return this.lanes.part(() => { location.hash = "bench"; });
  }

  draw() {
    const { desk } = this;
    desk.shown.clear();
    if (!this.known || !desk.draft) {
      render(html`<div class="desk"><h1>No such piece</h1><p>It may have been taken off the list on another device.</p><a class="button" href="#pieces">To the pieces</a></div>`, this);
      return;
    }
    render(html`<div class="desk plan">
      <h1>${this.title}</h1>
      ${this.rest[1] === "lanes" ? this.lanesPart() : nothing}
      <div class="two">
        <form class="form" @submit=${(/** @type {Event} */ e) => { e.preventDefault(); this.save(); }}>
          ${this.piecePart()}${ringPart(desk)}${fabricPart(desk)}${panelsPart(desk, !this.wide.matches)}${joinsPart(desk)}${cardPart(desk)}${stepsPart(desk)}${lossesPart(desk)}${consumablesPart(desk)}
        </form>
        <div class="told">${this.wide.matches ? picturesPart(desk) : nothing}${billPart(desk)}${this.rest[1] === "lanes" ? nothing : this.lanesPart()}${this.away()}</div>
      </div>
    </div>${this.foot()}`, this);
  }
}
customElements.define("rw-plan", PlanScreen);

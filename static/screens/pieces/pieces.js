// Pieces: all of them in the maker's order, how far each has got and when it will be done.
import { html, nothing, render } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { figure, percent, weight } from "../../format/numbers.js";
import { day, dueOutlook, finishWords } from "../../format/words.js";
import { mark } from "../../pictures/mark.js";
import { pieces as text } from "../../texts/texts.js";
import { overCounted } from "../../ui/over-counted.js";

/** @typedef {import("../../entities").Entity<"piece">} AnyPiece */
/** @typedef {AnyPiece & {name: string}} Piece */

/** @param {AnyPiece} piece @returns {piece is Piece} */
const isNamed = (piece) => Boolean(piece.name);

/** @param {Piece} piece */
const forecastOf = (piece) => store.answers.forecast?.pieces?.find((p) => p.id === piece.id);

/** @param {Piece} piece */
function finishLine(piece) {
  if (piece.state === "done") {
    const share = store.answers.standing(piece.id)?.share ?? 1;
    return share < 1 ? text.finishedPart(percent(share)) : text.finished;
  }
  const finish = forecastOf(piece)?.finish;
  if (finish) return finishWords(finish);
  if (!store.answers.plan(piece.id)) return withoutPlan(piece);
  return store.answers.forecastRefused ? text.noForecast : text.forecastPending;
}

/** @param {Piece} piece */
function withoutPlan(piece) {
  const why = store.answers.planRefused(piece.id)?.why;
  if (why) return text.planError(why);
  return store.entities.isSized(piece.id) ? text.planPending : text.notPlanned;
}

/** Whether it will be in time, in words and by a shape. @param {Piece} piece */
function dueLine(piece) {
  if (!piece.due) return nothing;
  const chance = piece.state === "done" ? null : forecastOf(piece)?.p_due;
  const { shape, words, fine } = chance == null ? {} : dueOutlook(chance);
  return html`<p class="due">${text.due(day(piece.due, true))}${words ? html` <strong class=${fine ? "fine" : "late"}>${shape} ${words}</strong>` : nothing}</p>`;
}

/** Rows of its plan that its totals and dates do not count. @param {Piece} piece */
function leftOut(piece) {
  const [fault] = store.answers.planFaults(piece.id);
  return fault
    ? html`<p class="advice">${text.leftOut(fault.why)} <a href=${`#plan/${piece.id}`}>${text.openPlan}</a></p>`
    : nothing;
}

/** @param {Piece} piece */
function progress(piece) {
  const share = store.answers.standing(piece.id)?.share ?? (piece.state === "done" ? 1 : null);
  if (share == null) return nothing;
  return html`<p class="share"><progress max="1" .value=${share} aria-label=${text.shareDone(piece.name)}></progress> <span class="figure">${percent(share)}</span></p>`;
}

export class PiecesScreen extends HTMLElement {
  constructor() {
    super();
    this.confirming = "";
    for (const name of ["things", "plan", "standing", "forecast"])
      store.addEventListener(name, () => {
        if (!this.hidden && this.isConnected) this.draw();
      });
  }

  show() {
    this.confirming = "";
    this.draw();
  }

  /** With work left, the maker confirms first. @param {Piece} piece */
  done(piece) {
    const share = store.answers.standing(piece.id)?.share;
    if (share == null || share >= 1) return this.finish(piece);
    this.confirm(piece.id);
    /** @type {HTMLElement | null} */ (
      this.querySelector(`[data-piece="${piece.id}"] [data-do="finish"]`)
    )?.focus();
  }

  /** @param {string} id of the piece to confirm, or "" */
  confirm(id) {
    this.confirming = id;
    this.draw();
  }

  /** No clock runs on for a piece that is done. @param {Piece} piece */
  async finish(piece) {
    this.confirming = "";
    await store.setAll([["piece", piece.id, { state: "done" }]], { stopClockOf: piece.id });
  }

  /** @param {Piece} piece */
  question(piece) {
    const question = text.finishQuestion(
      piece.name,
      percent(store.answers.standing(piece.id)?.share ?? 0),
      store.clock.shown?.piece === piece.id,
    );
    return html`<div class="sheet" role="group" aria-label=${question}><p>${question} ${text.finishQuestionMore}</p><div class="row">
      <button type="button" data-do="finish" @click=${() => this.finish(piece)}>${text.finishYes}</button>
      <button type="button" @click=${() => this.confirm("")}>${text.finishNo}</button></div></div>`;
  }

  /**
   * The forecast follows at once: the first piece is made first.
   * @param {Piece[]} open
   * @param {number} i
   * @param {number} by
   */
  async move(open, i, by) {
    const order = open.map((p) => p.id);
    const [id] = order.splice(i, 1);
    order.splice(i + by, 0, id);
    await store.orderPieces(order);
    const twin =
      this.querySelector(`[data-piece="${id}"] [data-by="${by}"]:not([disabled])`) ??
      this.querySelector(`[data-piece="${id}"] button:not([disabled])`);
    if (twin instanceof HTMLElement) twin.focus();
  }

  /** @param {Piece} piece @param {Piece[]} open */
  buttons(piece, open) {
    const i = open.indexOf(piece);
    const done = piece.state === "done";
    return html`<div class="row">
        ${
          i >= 0 && open.length > 1
            ? html`
          <button type="button" data-by="-1" ?disabled=${i === 0} aria-label=${text.named(text.earlier, piece.name)} @click=${() => this.move(open, i, -1)}>▲ ${text.earlier}</button>
          <button type="button" data-by="1" ?disabled=${i === open.length - 1} aria-label=${text.named(text.later, piece.name)} @click=${() => this.move(open, i, 1)}>▼ ${text.later}</button>`
            : nothing
        }
        ${done ? nothing : html`<a class="button" href=${`#plan/${piece.id}/lanes`} aria-label=${text.named(text.benchSteps, piece.name)}>${text.benchSteps}</a>`}
        <button type="button" aria-label=${text.named(done ? text.reopen : text.done, piece.name)}
          @click=${() => (done ? store.set("piece", piece.id, { state: "open" }) : this.done(piece))}>${done ? text.reopen : text.done}</button>
      </div>`;
  }

  /** @param {Piece} piece @param {Piece[]} open */
  row(piece, open) {
    const i = open.indexOf(piece);
    const plan = store.answers.plan(piece.id);
    return html`<li class="sheet piece" data-piece=${piece.id}>
      <a class="piece-name" href=${`#plan/${piece.id}`}>${i >= 0 && open.length > 1 ? html`<span class="rank">${i + 1}</span>` : nothing}${mark(piece.mark)}<span><strong>${piece.name}</strong>${piece.customer ? html`<br><span class="soft">${text.forCustomer(piece.customer)}</span>` : nothing}</span></a>
      ${progress(piece)}
      ${plan ? html`<p class="soft size">${text.rings(figure(plan.rings))}${plan.weight_g ? `, ${weight(plan.weight_g)}` : ""}</p>` : nothing}
      <div class="when">
        <p class="finish">${finishLine(piece)}</p>
        ${leftOut(piece)}${overCounted(store, piece.id, plan)}
        ${dueLine(piece)}
        ${this.confirming === piece.id ? this.question(piece) : this.buttons(piece, open)}
      </div>
    </li>`;
  }

  draw() {
    const all = store.things("piece").filter(isNamed);
    const open = all.filter((p) => p.state !== "done"),
      done = all.filter((p) => p.state === "done");
    const order = store.setting("queue", "in_order") === "in_order" ? text.inOrder : text.inTurns;
    render(
      html`<div class="desk">
      <div class="row head"><h1>${text.title}</h1><a class="button main" href="#plan/new">${text.addPiece}</a></div>
      ${
        open.length
          ? html`${open.length > 1 ? html`<p class="soft">${order}</p>` : nothing}<ol class="plain pieces">${open.map((p) => this.row(p, open))}</ol>`
          : html`<p>${text.empty}</p>`
      }
      ${done.length ? html`<h2>${text.doneTitle}</h2><ul class="plain pieces">${done.map((p) => this.row(p, open))}</ul>` : nothing}
    </div>`,
      this,
    );
  }
}
customElements.define("rw-pieces", PiecesScreen);

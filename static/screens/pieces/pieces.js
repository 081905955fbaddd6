// Pieces: all of them in the maker's order, how far each has come and when it will be done.
import { html, nothing, render } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { day, figure, percent, weight } from "../../format/numbers.js";
import { mark } from "../../pictures/mark.js";
import { overCounted } from "../../ui/over-counted.js";

/** @typedef {import("../../types").Thing} Thing */

/** @param {Thing} piece */
function finishLine(piece) {
  const said = store.forecast?.pieces?.find((/** @type {any} */ p) => p.id === piece.id);
  if (piece.state === "done") {
    const share = store.standing(piece.id)?.share ?? 1;
    return share < 1 ? `Finished, with ${percent(share)} of its work counted.` : "Done.";
  }
  if (!said?.finish)
    return store.plan(piece.id)
      ? store.answers.forecastRefused
        ? "No forecast yet."
        : "Its forecast is being worked out."
      : refusal(piece);
  return `As likely as not by ${day(said.finish.p50)}; four chances in five by ${day(said.finish.p80)}.`;
}

/** @param {Thing} piece */
function refusal(piece) {
  const why = store.answers.planRefused(piece.id)?.why;
  if (why) return `Its plan has a fault: ${why}`;
  return store.sized(piece.id)
    ? "Its plan is being worked out."
    : "Not planned yet: open it and give its panel.";
}

/** Whether it will be in time is said in words and by a shape. @param {Thing} piece */
function dueLine(piece) {
  if (!piece.due) return nothing;
  const said = store.forecast?.pieces?.find((/** @type {any} */ p) => p.id === piece.id);
  const p = piece.state === "done" ? null : said?.p_due;
  const [shape, word] =
    p == null
      ? ["", ""]
      : p >= 0.8
        ? ["●", "likely in time"]
        : p >= 0.5
          ? ["◐", "may be late"]
          : ["▲", "likely late"];
  return html`<p class="due">Due ${day(piece.due)}${word ? html` <strong class=${p >= 0.8 ? "fine" : "late"}>${shape} ${word}</strong>` : nothing}</p>`;
}

/** Rows that its totals and dates do not hold. @param {Thing} piece */
function leftOut(piece) {
  const faults = store.answers.planFaults(piece.id);
  if (!faults.length) return nothing;
  return html`<p class="advice">A part of it is not in these figures: ${faults[0].why} <a href=${`#plan/${piece.id}`}>Open its plan</a></p>`;
}

/** @param {Thing} piece */
function progress(piece) {
  const share = store.standing(piece.id)?.share ?? (piece.state === "done" ? 1 : null);
  if (share == null) return nothing;
  return html`<p class="share"><progress max="1" .value=${share} aria-label=${`${piece.name}: share done`}></progress> <span class="figure">${percent(share)}</span></p>`;
}

export class PiecesScreen extends HTMLElement {
  constructor() {
    super();
    this.asked = "";
    for (const name of ["things", "plan", "standing", "forecast"])
      store.addEventListener(name, () => {
        if (!this.hidden && this.isConnected) this.draw();
      });
  }

  show() {
    this.asked = "";
    this.draw();
  }

  /** A piece with work left is asked about first. @param {Thing} piece */
  done(piece) {
    const share = store.standing(piece.id)?.share;
    if (share == null || share >= 1) return this.finish(piece);
    this.ask(piece.id);
    /** @type {HTMLElement | null} */ (
      this.querySelector(`[data-piece="${piece.id}"] [data-do="finish"]`)
    )?.focus();
  }

  /** @param {string} id of the piece asked about, or "" */
  ask(id) {
    this.asked = id;
    this.draw();
  }

  /** No clock runs on for a piece that is done. @param {Thing} piece */
  async finish(piece) {
    this.asked = "";
    if (store.clock?.piece === piece.id) await store.stopClock();
    await store.set("piece", piece.id, { state: "done" });
  }

  /** @param {Thing} piece */
  question(piece) {
    const text = `${piece.name} is ${percent(store.standing(piece.id)?.share ?? 0)} done. Mark it as finished?${store.clock?.piece === piece.id ? " Its clock stops." : ""}`;
    return html`<div class="sheet" role="group" aria-label=${text}><p>${text} It leaves the Bench and the forecast; its counts stay.</p><div class="row">
      <button type="button" data-do="finish" @click=${() => this.finish(piece)}>Yes, finished</button>
      <button type="button" @click=${() => this.ask("")}>No, not yet</button></div></div>`;
  }

  /** Order is asked of the forecast at once: what stands first is worked at first. @param {Thing[]} open @param {number} i @param {number} by */
  async move(open, i, by) {
    const order = open.map((p) => p.id);
    const [id] = order.splice(i, 1);
    order.splice(i + by, 0, id);
    for (const [n, piece] of order.entries())
      if (store.thing("piece", piece)?.order !== n) await store.set("piece", piece, { order: n });
    const twin =
      this.querySelector(`[data-piece="${id}"] [data-by="${by}"]:not([disabled])`) ??
      this.querySelector(`[data-piece="${id}"] button:not([disabled])`);
    if (twin instanceof HTMLElement) twin.focus();
  }

  /** @param {Thing} piece @param {Thing[]} open */
  buttons(piece, open) {
    const i = open.indexOf(piece);
    const done = piece.state === "done";
    return html`<div class="row">
        ${
          i >= 0 && open.length > 1
            ? html`
          <button type="button" data-by="-1" ?disabled=${i === 0} aria-label=${`Earlier: ${piece.name}`} @click=${() => this.move(open, i, -1)}>↑ Earlier</button>
          <button type="button" data-by="1" ?disabled=${i === open.length - 1} aria-label=${`Later: ${piece.name}`} @click=${() => this.move(open, i, 1)}>↓ Later</button>`
            : nothing
        }
        ${done ? nothing : html`<a class="button" href=${`#plan/${piece.id}/lanes`} aria-label=${`Bench steps: ${piece.name}`}>Bench steps</a>`}
        <button type="button" aria-label=${`${done ? "Take up again" : "Done"}: ${piece.name}`}
          @click=${() => (done ? store.set("piece", piece.id, { state: "open" }) : this.done(piece))}>${done ? "Take up again" : "Done"}</button>
      </div>`;
  }

  /** @param {Thing} piece @param {Thing[]} open */
  row(piece, open) {
    const i = open.indexOf(piece);
    const plan = store.plan(piece.id);
    return html`<li class="sheet piece" data-piece=${piece.id}>
      <a class="piece-name" href=${`#plan/${piece.id}`}>${i >= 0 && open.length > 1 ? html`<span class="rank">${i + 1}</span>` : nothing}${mark(piece.mark)}<span><strong>${piece.name}</strong>${piece.customer ? html`<br><span class="soft">for ${piece.customer}</span>` : nothing}</span></a>
      ${progress(piece)}
      ${plan ? html`<p class="soft size">${figure(plan.rings)} rings${plan.weight_g ? `, ${weight(plan.weight_g)}` : ""}</p>` : nothing}
      <div class="when">
        <p class="finish">${finishLine(piece)}</p>
        ${leftOut(piece)}${overCounted(store, piece.id, plan)}
        ${dueLine(piece)}
        ${this.asked === piece.id ? this.question(piece) : this.buttons(piece, open)}
      </div>
    </li>`;
  }

  draw() {
    const all = store.things("piece").filter((p) => p.name);
    const open = all.filter((p) => p.state !== "done"),
      done = all.filter((p) => p.state === "done");
    const most =
      store.setting("queue", "in_order") === "in_order"
        ? "The first is worked at first: put another first, and every date answers."
        : "Pieces are worked at in turns.";
    render(
      html`<div class="desk">
      <div class="row head"><h1>Pieces</h1><a class="button main" href="#plan/new">New piece</a></div>
      ${
        open.length
          ? html`${open.length > 1 ? html`<p class="soft">${most}</p>` : nothing}<ol class="plain pieces">${open.map((p) => this.row(p, open))}</ol>`
          : html`<p>Nothing in hand. A piece begins with its ring and its size; rings, wire, weight and hours follow.</p>`
      }
      ${done.length ? html`<h2>Done</h2><ul class="plain pieces">${done.map((p) => this.row(p, open))}</ul>` : nothing}
    </div>`,
      this,
    );
  }
}
customElements.define("rw-pieces", PiecesScreen);

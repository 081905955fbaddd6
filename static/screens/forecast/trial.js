// Ten timed minutes of one step: a clock and a pad. The time kept ends with the last item made, so
// that an unfinished one in the hand spoils nothing.
import { html, render } from "../../vendor/lit-html.js";
import { forecast as text, ui } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { senses } from "../../device/feedback.js";
import { Wake } from "../../device/wake-lock.js";
import { amount, minutes, stepName, upper } from "../../format/words.js";
import { choiceField, pieceOptions } from "../../ui/form-fields.js";
import { caution, cautionRead } from "../../ui/caution.js";

/** @typedef {import("../../answers").PlannedStep} PlannedStep */

const MS = 60000,
  LONG_MIN = 10;
const KEPT = "ringwright-trial"; // on this device, so that a reload loses no item

/** @param {number} ms */
const clockFace = (ms) =>
  `${Math.floor(ms / MS)}:${String(Math.floor(ms / 1000) % 60).padStart(2, "0")}`;

/** @returns {{step: string, began: number, last: number, items: number, piece: string} | null} */
function readKept() {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? "null");
  } catch {
    return null;
  }
}

export class Trial extends HTMLElement {
  constructor() {
    super();
    /** @type {PlannedStep | null} */
    this.step = null;
    this.began = 0;
    this.last = 0;
    this.items = 0;
    this.rung = false;
    this.piece = "";
    this.asking = false; // whether to throw the items away
    this.wake = new Wake(() => {});
    /** @type {ReturnType<typeof setInterval> | undefined} */
    this.ticking = undefined;
  }

  connectedCallback() {
    this.classList.add("room");
  }

  /** @returns {HTMLDialogElement} */
  get dialog() {
    return /** @type {HTMLDialogElement} */ (this.querySelector("dialog"));
  }

  /** @param {PlannedStep} step a step of a plan */
  open(step) {
    Object.assign(this, {
      step,
      began: 0,
      last: 0,
      items: 0,
      piece: this.pieces(step)[0]?.id ?? "",
      asking: false,
    });
    this.draw();
    this.dialog.showModal();
  }

  /** Go on with what was being timed when the page was left. */
  resume() {
    const kept = this.dialog?.open ? null : readKept();
    if (!kept) return;
    const plans = store.things("piece").map(({ id }) => store.answers.plan(id));
    const step = plans.flatMap((plan) => plan?.steps ?? []).find((s) => s.step === kept.step);
    if (!step) return;
    this.open(step);
    Object.assign(this, kept, { step });
    this.run();
  }

  run() {
    this.rung = Date.now() - this.began >= LONG_MIN * MS;
    this.ticking = setInterval(() => this.tick(), 500);
    this.wake.want(true);
    this.draw();
  }

  save() {
    const { step, began, last, items, piece } = this;
    localStorage.setItem(KEPT, JSON.stringify({ step: step?.step, began, last, items, piece }));
  }

  /** @param {PlannedStep} step */
  pieces(step) {
    return store
      .things("piece")
      .filter(
        (p) =>
          p.state !== "done" && store.answers.plan(p.id)?.steps.some((s) => s.step === step.step),
      );
  }

  /** One pair of hands: the clock of the bench rests meanwhile. */
  begin() {
    if (store.clock.shown?.running) store.clock.pause();
    this.began = this.last = Date.now();
    this.save();
    this.run();
  }

  tick() {
    if (!this.rung && Date.now() - this.began >= LONG_MIN * MS) {
      this.rung = true;
      senses.give("full");
    }
    this.draw();
  }

  ended() {
    localStorage.removeItem(KEPT);
    clearInterval(this.ticking);
    this.wake.want(false);
  }

  /** @param {number} n */
  made(n) {
    this.items = Math.max(0, this.items + n);
    this.last = Date.now();
    this.asking = false;
    this.save();
    senses.give(n > 0 ? "tap" : "back");
    this.draw();
  }

  close() {
    this.ended();
    this.dialog.close();
  }

  /** Rings that were made are not thrown away by one touch, nor by a key. @param {Event} [event] */
  leave(event) {
    if (!this.items) return this.close();
    event?.preventDefault();
    this.asking = true;
    this.draw();
  }

  /** @param {boolean} pace whether the time says something too */
  async finish(pace = true) {
    const { items, piece, step } = this;
    if (!step) return;
    const trial = { minutes: (this.last - this.began) / MS, items, date: today() };
    this.close();
    if (pace) await store.set("step", step.step, { trial });
    if (piece) await store.counting.countByHand(piece, step.step, items).saved;
  }

  draw() {
    const { step } = this;
    if (!step) return;
    const name = upper(step.name ?? stepName(store, step.step));
    render(
      html`<dialog class="trial" aria-labelledby="trial-name" @cancel=${(/** @type {Event} */ e) => this.leave(e)} @close=${() => this.ended()}>
      <h2 id="trial-name">${text.trialOf(name)}</h2>
      ${this.began ? this.running(step) : this.ready(step)}
    </dialog>`,
      this,
    );
  }

  /** @param {PlannedStep} step */
  ready(step) {
    const { item = ui.item, batch } = step;
    const how = batch > 1 ? text.layReadyBatch(item, batch) : text.layReady(item);
    return html`${this.care(step)}<p>${how} ${text.stopWhen}</p>
      <div class="row"><button class="main" @click=${() => this.begin()}>${ui.startClock}</button><button @click=${() => this.close()}>${text.notNow}</button></div>`;
  }

  /** Whole, but where it was read before and the wire is bare. @param {PlannedStep} planned */
  care({ caution: text, step }) {
    if (!text) return null;
    return cautionRead(this.piece, step)
      ? caution(text, this.piece, step)
      : html`<p class="caution">${text}</p>`;
  }

  /** @param {PlannedStep} step */
  running(step) {
    const spent = Date.now() - this.began;
    const batch = step.batch > 1 ? step.batch : 0;
    return html`<p class="face" role="timer" aria-live="off">${clockFace(spent)}<span class="soft"> ${spent >= LONG_MIN * MS ? text.timesUp : text.ofTenMinutes}</span></p>
      <button class="main tappad" @click=${() => this.made(1)}><span class="count">${this.items}</span> ${text.itemInHand(step.item ?? ui.item)}</button>
      <div class="row">${batch ? html`<button @click=${() => this.made(batch)}>+${batch}</button>` : null}<button ?disabled=${!this.items} @click=${() => this.made(-1)}>${text.takeOneBack}</button></div>
      ${this.items ? this.ending(step) : html`<button class="apart" @click=${() => this.close()}>${text.discard}</button>`}`;
  }

  /** @param {PlannedStep} step */
  question(step) {
    const made = amount(this.items, step.items ?? ui.items, step.item);
    return html`<p role="alert">${text.discardTimed(made)}</p><div class="row">
      ${this.piece ? html`<button class="main" @click=${() => this.finish(false)}>${text.countOnly}</button>` : null}
      <button @click=${() => this.close()}>${text.discardBoth}</button></div>`;
  }

  /** @param {PlannedStep} step */
  ending(step) {
    const took = (this.last - this.began) / MS;
    const pieces = this.pieces(step);
    return html`<p role="status">${text.madeIn(amount(this.items, step.items ?? ui.items, step.item), minutes(took), minutes(took / this.items))}</p>
      ${
        pieces.length
          ? choiceField(
              "trial-piece",
              text.countFor,
              this.piece,
              [...pieceOptions(pieces), ["", text.noPiece]],
              (id) => {
                this.piece = id;
              },
            )
          : null
      }
      ${this.asking ? this.question(step) : html`<div class="row"><button class="main" ?disabled=${took < 1} @click=${() => this.finish()}>${text.usePace}</button><button @click=${() => this.leave()}>${text.discard}</button></div>`}
      ${took < 1 ? html`<p class="soft">${text.tooShort}</p>` : null}`;
  }
}
customElements.define("rw-trial", Trial);

// Whose counts this device holds. Where the server keeps another workshop, the ways out; and the device emptied.
import { store } from "../../store/store.js";
import { bringOver, emptyDevice, holdings } from "../../store/workshop.js";
import { html } from "../../vendor/lit-html.js";
import { setup as text } from "../../texts/texts.js";
import { figure } from "../../format/numbers.js";
import { several, workshopMark } from "../../format/words.js";
import { writeLog } from "../../ui/log-export.js";
import { richText } from "../../ui/rich-text.js";

/** @typedef {"bring" | "empty"} Deed */

/** With the workshop's mark in one piece. @param {string} words */
const marked = (words) => richText(words, "mark-of");

/** Pieces by name, the first of many. @param {string[]} names */
const pieceNames = (names) =>
  names.length > 4
    ? text.piecesMore(names.slice(0, 3).join(", "), figure(names.length - 3))
    : text.piecesHere(names.join(", "));

export class Whose {
  /** @param {HTMLElement & {soon: () => void}} room */
  constructor(room) {
    this.room = room;
    this.held = {
      workshop: "",
      changes: 0,
      brought: /** @type {{refused: number} | null} */ (null),
    };
    /** @type {Deed | null} what is being asked about */
    this.deed = null;
    /** Which of the two questions stands. */
    this.asked = 0;
    this.copied = "";
    this.wrong = "";
    this.busy = false;
    this.stood = "";
    /** The workshop that answered when the question was asked. */
    this.about = "";
    store.addEventListener("sync", () => this.turned());
  }

  /** @param {boolean} [there] the maker came for this */
  async refresh(there = false) {
    this.held = await holdings();
    this.room.soon();
    if (there)
      setTimeout(() => this.room.querySelector(".whose")?.scrollIntoView({ block: "start" }), 100);
  }

  /** Another server answers now: what was asked about the last one falls away. */
  turned() {
    const { served, state, waiting } = store.sync.now,
      now = `${served} ${state} ${waiting}`;
    if (now === this.stood) return;
    if (this.deed === "bring" && !this.busy && served !== this.about) this.deed = null;
    this.stood = now;
    if (this.room.isConnected && !this.room.hidden) this.refresh().catch(() => {});
  }

  /** @param {Deed | null} deed @param {number} asked */
  turn(deed, asked) {
    Object.assign(this, { deed, asked, wrong: "", about: store.sync.now.served });
    this.room.soon();
    if (deed)
      setTimeout(
        () =>
          /** @type {HTMLElement | null} */ (this.room.querySelector(".whose .question"))?.focus(),
        50,
      );
  }

  async copy() {
    const { name } = await writeLog();
    this.copied = text.written(name);
    this.room.soon();
  }

  /** @param {() => Promise<void>} work */
  async run(work) {
    this.busy = true;
    this.room.soon();
    try {
      await work();
      this.turn(null, 0);
    } catch (error) {
      this.wrong = text.failed(/** @type {Error} */ (error).message);
    }
    this.busy = false;
    this.refresh().catch(() => {});
  }

  view() {
    return store.sync.now.served ? this.two(store.sync.now.served) : this.one();
  }

  one() {
    const { workshop, brought } = this.held;
    return html`<section class="sheet whose"><h2>${text.workshop}</h2>
      <p>${this.belongs(workshop)}</p>
      ${brought?.refused ? html`<p>${text.broughtRefused(several(brought.refused, "change"))}</p>` : null}
      ${this.deed === "empty" ? this.question() : html`<button type="button" @click=${() => this.turn("empty", 1)}>${text.asking(text.emptyDevice)}</button>`}</section>`;
  }

  /** @param {string} workshop */
  belongs(workshop) {
    if (!workshop) return text.noWorkshop;
    const words = store.sync.now.state === "alone" ? text.belongsAlone : text.belongsServed;
    return marked(words(workshopMark(workshop)));
  }

  /** @param {string} served */
  two(served) {
    const { workshop, changes } = this.held,
      { waiting } = store.sync.now;
    const pieces = store.things("piece").flatMap(({ name }) => (name ? [name] : []));
    const all = several(changes, "change"),
      there = workshopMark(served);
    return html`<section class="sheet whose"><h2>${text.twoWorkshops}</h2>
      <p>${workshop ? marked(text.belongs(workshopMark(workshop))) : text.anotherWorkshop} ${waiting ? text.holdsWaiting(all, figure(waiting)) : text.holds(all)} ${pieces.length ? pieceNames(pieces) : null}</p>
      <p>${marked(text.served(there))}</p>
      <h3>${text.keepBoth}</h3>
      <p>${richText(text.keepBothHow)}</p>
      <h3>${text.bringTitle}</h3>
      ${
        this.deed === "bring"
          ? this.question()
          : html`<p>${marked(text.bringWhen(there))}</p>
        <button type="button" @click=${() => this.turn("bring", 1)}>${text.asking(text.bringOver)}</button>`
      }
      <h3>${text.emptyTitle}</h3>
      ${
        this.deed === "empty"
          ? this.question()
          : html`<p>${text.emptyWhen}</p>
        <button type="button" @click=${() => this.turn("empty", 1)}>${text.asking(text.emptyDevice)}</button>`
      }</section>`;
  }

  question() {
    const words = this.deed === "bring" ? this.bringWords() : this.emptyWords();
    const [act, does] =
      this.asked === 1
        ? [words.on, () => this.turn(this.deed, 2)]
        : [words.act, () => this.run(words.work)];
    return html`<div class="question inset" role="group" tabindex="-1" aria-label=${words.name}>
      ${this.asked === 1 ? words.first : html`<p><strong>${words.second}</strong></p>`}
      ${this.asked === 1 && this.copied ? html`<p role="status">● ${this.copied}</p>` : null}
      ${this.wrong ? html`<p class="bad" role="alert">${this.wrong}</p>` : null}
      <div class="row">${this.asked === 1 ? html`<button type="button" class="main" @click=${() => this.copy()}>${text.saveFirst}</button>` : null}
        <button type="button" ?disabled=${this.busy} @click=${does}>${act}</button>
        <button type="button" ?disabled=${this.busy} @click=${() => this.turn(null, 0)}>${text.leave}</button></div></div>`;
  }

  bringWords() {
    const { changes } = this.held,
      { served } = store.sync.now,
      all = several(changes, "change");
    const there = workshopMark(served);
    return {
      name: text.bringOver,
      on: text.continue,
      act: text.bringYes,
      first: html`<p>${marked(text.bringFirst(all, there))}</p><p>${richText(text.bringMerge)}</p>`,
      second: text.bringQuestion(all, there),
      work: () => bringOver(served),
    };
  }

  emptyWords() {
    const { changes, workshop } = this.held,
      { waiting, served } = store.sync.now,
      all = several(changes, "change");
    const alone = store.sync.now.state === "alone";
    const then = alone
      ? ""
      : served
        ? text.thenJoins(workshopMark(served))
        : workshop
          ? text.thenFetches
          : "";
    return {
      name: text.emptyDevice,
      on: this.copied ? text.continue : text.continueWithout,
      act: text.emptyDevice,
      first: html`<p>${text.emptyFirst(all)}</p>
        <p>${richText(alone ? text.emptyAlone : waiting ? text.emptyLost(figure(waiting)) : text.emptyNothingLost)} ${richText(alone ? text.emptyRestoreAlone : text.emptyRestore)}</p>`,
      second: `${text.emptyQuestion(all)} ${then}`.trim(),
      work: () => emptyDevice(served || workshop),
    };
  }
}

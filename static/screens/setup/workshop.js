// Whose counts this device holds. Where the server keeps another workshop, the ways out; and the device emptied.
import { store } from "../../store/store.js";
import { bringOver, emptyDevice, holdings } from "../../store/workshop.js";
import { html } from "../../vendor/lit-html.js";
import { several, workshopMark } from "../../format/words.js";
import { writeLog } from "../../ui/log-export.js";

/** @typedef {"bring" | "empty"} Deed */

/** @param {string} identity */
const named = (identity) =>
  html`<strong class="mark-of">workshop ${workshopMark(identity)}</strong>`;

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
    store.addEventListener("sync", () => this.turned());
  }

  /** @param {boolean} [there] the maker came for this */
  async look(there = false) {
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
    if (this.deed === "bring" && !this.busy && served !== this.stood.split(" ")[0])
      this.deed = null;
    this.stood = now;
    if (this.room.isConnected && !this.room.hidden) this.look().catch(() => {});
  }

  /** @param {Deed | null} deed @param {number} asked */
  turn(deed, asked) {
    Object.assign(this, { deed, asked, wrong: "" });
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
    this.copied = `Written to ${name}.`;
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
      this.wrong = `It could not be done: ${/** @type {Error} */ (error).message}`;
    }
    this.busy = false;
    this.look().catch(() => {});
  }

  view() {
    return store.sync.now.served ? this.two(store.sync.now.served) : this.one();
  }

  one() {
    const { workshop, brought } = this.held;
    return html`<section class="sheet whose"><h2>Workshop</h2>
      <p>${workshop ? html`This device's counts belong to ${named(workshop)}. The server prints the same figures when it starts; a server of another workshop gets nothing from here.` : "This device belongs to no workshop yet: it joins the first server it meets."}</p>
      ${brought?.refused ? html`<p>▲ ${several(brought.refused, "change")} that came along could not be counted there, since other ones stand under their numbers. The server keeps them aside.</p>` : null}
      ${this.deed === "empty" ? this.question() : html`<button type="button" @click=${() => this.turn("empty", 1)}>Empty this device …</button>`}</section>`;
  }

  /** @param {string} served */
  two(served) {
    const { workshop, changes } = this.held,
      { waiting } = store.sync.now;
    const pieces = store
      .things("piece")
      .map((p) => p.name)
      .filter(Boolean);
    const shown = pieces.length > 4 ? [...pieces.slice(0, 3), `${pieces.length - 3} more`] : pieces;
    return html`<section class="sheet whose"><h2>▲ Two workshops at one address</h2>
      <p>This device's counts belong to ${workshop ? named(workshop) : "another workshop"}${shown.length ? `: ${shown.join(", ")}` : ""}. ${several(changes, "change")}${waiting ? `, ${waiting} of them not on its server yet` : ", all on its server"}.</p>
      <p>The server that answers here keeps ${named(served)}. Nothing goes from one to the other unless you say so below; counting goes on meanwhile.</p>
      <h3>Keep both, each at its own address</h3>
      <p>A browser keeps what it stores apart by address. Stop the server and start it with a port of its own, for example <code>ringwright serve --port 8757</code>, then open the address it prints. (The demo has its own: 8747.) When this device's own workshop is served here again, its counts are sent there as before.</p>
      <h3>Bring this device's records over</h3>
      ${
        this.deed === "bring"
          ? this.question()
          : html`<p>For when the file of the old workshop is lost, or these counts belong to ${named(served)}.</p>
        <button type="button" @click=${() => this.turn("bring", 1)}>Bring the records over …</button>`
      }
      <h3>Start empty</h3>
      ${
        this.deed === "empty"
          ? this.question()
          : html`<p>For when what this device holds was only a trial.</p>
        <button type="button" @click=${() => this.turn("empty", 1)}>Empty this device …</button>`
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
      <div class="row">${this.asked === 1 ? html`<button type="button" class="main" @click=${() => this.copy()}>Save the log as a file first</button>` : null}
        <button type="button" ?disabled=${this.busy} @click=${does}>${act}</button>
        <button type="button" ?disabled=${this.busy} @click=${() => this.turn(null, 0)}>Leave everything as it is</button></div></div>`;
  }

  bringWords() {
    const { changes } = this.held,
      { served } = store.sync.now,
      all = several(changes, "change");
    return {
      name: "Bring the records over",
      on: "Go on",
      act: "Bring them over",
      first: html`<p>${all} go to ${named(served)} as they stand: this device's own and those it heard from other devices. From then on this device belongs there.</p>
        <p>The pieces of both stand side by side afterwards. Where both set the same thing, such as the hours of a week, the later one holds. Only a backup of the server takes this back: make one first, with <code>ringwright backup</code>.</p>`,
      second: `Bring ${all} into workshop ${workshopMark(served)} for good?`,
      work: () => bringOver(served),
    };
  }

  emptyWords() {
    const { changes, workshop } = this.held,
      { waiting, served } = store.sync.now,
      all = several(changes, "change");
    const then = served
      ? ` It then belongs to workshop ${workshopMark(served)} and fetches what that holds.`
      : workshop
        ? " It then fetches what its workshop's server holds."
        : "";
    return {
      name: "Empty this device",
      on: this.copied ? "Go on" : "Go on without a copy",
      act: "Empty this device",
      first: html`<p>All that Ringwright keeps in this browser is erased: ${all}, the pieces, plans half written, this device's settings. The server's file is left alone.</p>
        <p>${waiting ? html`<strong>▲ ${waiting === 1 ? "1 change is" : `${waiting} changes are`} on no server yet and would be lost.</strong>` : "The server of its workshop has them all, as far as this device knows."} A copy brings them back: <code>ringwright import</code> takes it in.</p>`,
      second: `Erase ${all} from this device now?${then}`,
      work: () => emptyDevice(served || workshop),
    };
  }
}

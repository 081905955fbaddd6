// Which devices are paired: their names, when each was last seen, taken out again. This device itself only goes
// after its counts were sent, or at the maker's word, and a copy is offered first.
import { html } from "../../vendor/lit-html.js";
import { pairing as text, setup, ui } from "../../texts/texts.js";
import { pairing } from "../../store/pairing.js";
import { store } from "../../store/store.js";
import { emptyDevice } from "../../store/workshop.js";
import { deviceKind } from "../../device/kind.js";
import { figure } from "../../format/numbers.js";
import { moment, several } from "../../format/words.js";
import { checkField, errorText, inputField } from "../../ui/form-fields.js";
import { writeLog } from "../../ui/log-export.js";

/** @typedef {import("../../types").PairedDevice} PairedDevice */
/** @typedef {"rename" | "remove" | "others"} Deed */

const LONGEST = 60;

/** Why there is no list, and what would do. */
export function noList() {
  const { problem } = pairing;
  if (!problem) return html`<p role="status">${text.looking}</p>`;
  const again = html`<button type="button" @click=${() => pairing.look()}>${text.lookAgain}</button>`;
  if (problem.kind === "unpaired")
    return html`<section class="sheet"><p>${text.unpairedHere(text.kinds[deviceKind()])}</p>
      <a class="button main" href="#setup/pair">${text.pairNow(text.kinds[deviceKind()])}</a></section>`;
  return html`<section class="sheet"><p>${problem.message} ${problem.kind === "away" ? text.awayList : null}</p>${again}</section>`;
}

export class Devices {
  /** @param {HTMLElement & {soon: () => void}} room */
  constructor(room) {
    this.room = room;
    /** @type {{deed: Deed, id: number} | null} what is being done */
    this.doing = null;
    this.name = "";
    this.wrong = "";
    this.said = "";
    this.copied = "";
    this.busy = false;
    /** Whether this browser is emptied once it is removed. */
    this.emptying = false;
    this.kind = text.kinds[deviceKind()];
  }

  async show() {
    this.turn(null);
    this.said = "";
    await pairing.look();
  }

  /** @param {{deed: Deed, id: number} | null} doing */
  turn(doing) {
    Object.assign(this, { doing, wrong: "", copied: "", emptying: false });
    this.room.soon();
    if (doing) requestAnimationFrame(() => this.focusOn(doing.deed)); // drawn by then
  }

  /** @param {Deed} deed */
  focusOn(deed) {
    const what = deed === "rename" ? "#device-name" : ".devices .question";
    /** @type {HTMLElement | null} */ (this.room.querySelector(what))?.focus();
  }

  /** @param {() => Promise<string>} work what it has done, in words */
  async run(work) {
    this.busy = true;
    this.wrong = "";
    this.room.soon();
    try {
      this.said = await work();
      this.turn(null);
    } catch (error) {
      this.wrong = /** @type {Error} */ (error).message;
    }
    this.busy = false;
    this.room.soon();
  }

  /** @param {Deed} deed @param {number} id */
  is(deed, id) {
    return this.doing?.deed === deed && this.doing.id === id;
  }

  view() {
    const { list } = pairing;
    if (!list)
      return html`${this.said ? html`<p role="status">● ${this.said}</p>` : null}${noList()}`;
    const others = list.devices.filter(({ id }) => id !== list.you);
    const rows = [...list.devices.filter(({ id }) => id === list.you), ...others];
    return html`<div class="devices">
      <a class="button main wide after" href="#setup/add">${text.addPhone}</a>
      <p class="after" role="status">${this.said ? html`● ${this.said}` : null}</p>
      ${rows.length ? html`<ul class="plain">${rows.map((one) => html`<li class="sheet">${this.row(one)}</li>`)}</ul>` : html`<p>${text.nonePaired}</p>`}
      ${list.you === null ? html`<p>${text.needsNone(this.kind)}</p>` : null}
      ${rows.length ? html`<p class="advice">${text.removingKeeps}</p>` : null}
      ${others.length > 1 ? this.allOthers(others.length) : null}
      ${list.removed.length ? this.removed(list.removed) : null}</div>`;
  }

  /** @param {PairedDevice} one */
  row(one) {
    const own = one.id === pairing.list?.you;
    const seen = own ? text.thisOne(this.kind) : text.lastSeen(moment(one.seen_ms));
    return html`<h2>${one.name}</h2><p class="soft">${seen}</p>
      ${
        this.is("rename", one.id)
          ? this.renaming(one)
          : this.is("remove", one.id)
            ? own
              ? this.removingOwn(one)
              : this.removing(one)
            : html`<div class="row">
        <button type="button" aria-label=${ui.named(text.rename, one.name)} @click=${() => this.startRename(one)}>${text.rename}</button>
        <button type="button" class="taking" aria-label=${ui.named(text.remove, one.name)} @click=${() => this.turn({ deed: "remove", id: one.id })}>${text.asking(text.remove)}</button></div>`
      }`;
  }

  /** @param {PairedDevice} one */
  startRename(one) {
    this.name = one.name;
    this.turn({ deed: "rename", id: one.id });
  }

  /** @param {PairedDevice} one */
  renaming({ id, name }) {
    const save = (/** @type {SubmitEvent} */ e) => {
      e.preventDefault();
      const wanted = this.name.trim();
      if (!wanted) {
        this.wrong = text.nameMissing;
        return this.room.soon();
      }
      this.run(async () => {
        await pairing.rename(id, wanted);
        return text.renamed(wanted);
      });
    };
    return html`<form class="question" aria-label=${ui.named(text.rename, name)} novalidate @submit=${save}>
      ${inputField("device-name", text.name, { value: this.name, longest: LONGEST, error: this.wrong, alert: true, onInput: (e) => (this.name = e.target.value) })}
      <div class="row"><button class="main" ?disabled=${this.busy}>${ui.save}</button>${this.leave()}</div></form>`;
  }

  leave() {
    return html`<button type="button" ?disabled=${this.busy} @click=${() => this.turn(null)}>${text.leave}</button>`;
  }

  /** @param {PairedDevice} one */
  removing({ id, name }) {
    const work = async () => {
      await pairing.remove(id);
      return text.removedNow(name);
    };
    return this.question(text.removeQuestion(name), text.removeMeans, text.removeYes, work);
  }

  /** @param {number} n */
  allOthers(n) {
    const work = async () => {
      await pairing.removeOthers();
      return text.othersRemoved;
    };
    if (this.is("others", 0))
      return html`<section class="sheet">${this.question(text.othersQuestion(figure(n)), text.removeMeans, text.othersYes, work)}</section>`;
    return html`<button type="button" class="taking after" @click=${() => this.turn({ deed: "others", id: 0 })}>${text.asking(text.removeOthers)}</button>`;
  }

  /** @param {string} asked @param {unknown} means @param {string} yes @param {() => Promise<string>} work @param {unknown} [first] */
  question(asked, means, yes, work, first = null) {
    return html`<div class="question inset" role="group" tabindex="-1" aria-label=${asked}>
      <p><strong>${asked}</strong></p><p>${means}</p>${first}${errorText(this.wrong)}
      <div class="row"><button type="button" class="taking" ?disabled=${this.busy} @click=${() => this.run(work)}>${yes}</button>${this.leave()}</div></div>`;
  }

  /** @param {PairedDevice} one */
  removingOwn({ id }) {
    const { waiting } = store.sync.now;
    const state = waiting
      ? text.ownWaiting(several(waiting, "change"), this.kind)
      : text.ownAllSent;
    const first = html`<div class="row after"><button type="button" class="main" ?disabled=${this.busy} @click=${() => this.copy()}>${setup.saveFirst}</button>
        ${waiting ? html`<button type="button" ?disabled=${this.busy} @click=${() => store.sync.run()}>${text.sendNow}</button>` : null}</div>
      <p role="status">${this.copied}</p>
      ${checkField("own-empty", text.emptyToo, this.emptying, (on) => this.setEmptying(on), { hint: text.emptyHint(this.kind) })}
      ${this.emptying && waiting ? html`<p class="message bad">${text.emptyLoses(several(waiting, "change"))}</p>` : null}`;
    const yes = this.emptying ? text.ownEmptyYes : text.ownYes;
    return this.question(
      text.ownQuestion(this.kind),
      `${state} ${text.ownMeans}`,
      yes,
      () => this.removeOwn(id, waiting),
      first,
    );
  }

  /** @param {boolean} on */
  setEmptying(on) {
    this.emptying = on;
    this.room.soon();
  }

  async copy() {
    const { name } = await writeLog();
    this.copied = setup.written(name);
    this.room.soon();
  }

  /**
   * What was not sent when the maker agreed is sent if it can be; what came in since then is not erased unseen.
   * @param {number} id @param {number} agreed changes on no server, as the question said
   */
  async removeOwn(id, agreed) {
    const emptying = this.emptying;
    await store.sync.run();
    if (emptying && store.sync.now.waiting > agreed) throw new Error(text.moreCameIn);
    await pairing.remove(id);
    if (emptying) await emptyDevice("");
    return text.ownRemoved(this.kind);
  }

  /** @param {import("../../types").DeviceList["removed"]} rows */
  removed(rows) {
    return html`<details><summary>${text.removedDevices(figure(rows.length))}</summary>
      <ul class="plain">${rows.map(({ name, removed_ms }) => html`<li>${name} <span class="soft">${text.removedAt(moment(removed_ms))}</span></li>`)}</ul></details>`;
  }
}

// A file of the log is brought in: chosen, looked through and shown before anything is written, then taken in.
import { store } from "../../store/store.js";
import * as incoming from "../../store/file-in.js";
import { html } from "../../vendor/lit-html.js";
import { fileIn as text } from "../../texts/texts.js";
import { figure } from "../../format/numbers.js";
import { moment, several, workshopMark } from "../../format/words.js";
import { richText } from "../../ui/rich-text.js";

/** @typedef {import("../../types").FileLooked} FileLooked */

const MOST_NAMES = 8;

/** @param {unknown} error @returns {string} */
function troubleWords(error) {
  if (error instanceof incoming.Broken) return text.broken(figure(error.line));
  if (error instanceof incoming.NoLog) return text.noLog;
  if (error instanceof incoming.ServersFile) return text.serversFile;
  return text.unreadable;
}

/** @param {string[]} names */
const namesOf = (names) =>
  names.length > MOST_NAMES
    ? text.piecesMore(names.slice(0, MOST_NAMES).join(", "), figure(names.length - MOST_NAMES))
    : text.pieces(names.join(", "));

export class FileIn {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {File | null} */
    this.file = null;
    /** @type {FileLooked | null} */
    this.looked = null;
    /** How far reading or taking in is, of 1; null: neither. @type {number | null} */
    this.part = null;
    this.said = "";
    this.wrong = "";
    this.sure = false; // that another workshop's counts are to come into this one
  }

  /** @param {Partial<FileIn>} change */
  set(change) {
    Object.assign(this, change);
    this.redraw();
  }

  /** @param {Event} event */
  async choose({ target }) {
    const field = /** @type {HTMLInputElement} */ (target);
    const [file] = field.files ?? [];
    if (!file) return;
    this.set({ file, looked: null, said: "", wrong: "", part: 0, sure: false });
    try {
      const looked = await incoming.look(file, (part) => this.set({ part }));
      this.set({ looked, part: null });
    } catch (error) {
      this.set({ wrong: troubleWords(error), part: null });
    }
    field.value = ""; // the same file may be chosen again
  }

  async take() {
    const { file, looked } = this;
    if (!file || !looked) return;
    this.set({ part: 0, wrong: "" });
    let taken = 0;
    try {
      taken = await incoming.takeIn(file, looked, (n) => {
        taken = n;
        this.set({ part: n / looked.fresh });
      });
      this.set({ said: this.result(looked, taken), looked: null, part: null });
    } catch (error) {
      store.report(error, text.notTaken);
      this.set({ wrong: text.cutShort(several(taken, "change")), part: null });
    }
  }

  /** @param {FileLooked} looked @param {number} taken */
  result({ known, aside, leftOut }, taken) {
    return [
      text.taken(several(taken, "change"), figure(taken)),
      ...this.rest(known, aside, leftOut),
    ].join(" ");
  }

  /** @param {number} known @param {number} aside @param {number} leftOut */
  rest(known, aside, leftOut) {
    return [
      ...(known ? [text.known(several(known, "change"), figure(known))] : []),
      ...(aside ? [text.aside(several(aside, "change"))] : []),
      ...(leftOut ? [text.leftOut(several(leftOut, "change"))] : []),
    ];
  }

  view() {
    return html`<section class="sheet file-in"><h2>${text.title}</h2>
      <p class="soft">${richText(text.about)}</p>
      <label class="choose-file"><span>${text.choose}</span>
        <input type="file" accept=".json,.jsonl,.txt,application/json,text/plain" ?disabled=${this.part !== null} @change=${(/** @type {Event} */ e) => this.choose(e)}></label>
      ${this.part === null ? null : html`<p><progress max="1" .value=${this.part} aria-label=${text.progress}></progress></p>`}
      ${this.wrong ? html`<p class="bad" role="alert">${richText(this.wrong)}</p>` : null}
      ${this.looked && this.part === null ? this.preview(this.looked) : null}
      <p role="status">${this.said}</p></section>`;
  }

  /** @param {FileLooked} looked */
  preview(looked) {
    const { workshop, made_ms, changes, fresh, pieces, known, aside, leftOut } = looked;
    const whose = workshop ? text.whose(workshopMark(workshop)) : text.whoseUnknown;
    return html`<div class="inset" role="group" aria-label=${text.inFile}>
      <p><b>${this.file?.name}</b></p>
      <p>${richText(whose)} ${made_ms ? text.written(moment(made_ms)) : null}</p>
      <p>${text.holds(several(changes, "change"), figure(fresh))} ${pieces.length ? namesOf(pieces) : null}</p>
      ${this.rest(known, aside, leftOut).map((words) => html`<p>${words}</p>`)}
      ${leftOut ? this.leftList(looked) : null}
      ${this.ways(looked)}</div>`;
  }

  /** @param {FileLooked} looked */
  leftList({ left, leftOut }) {
    const more = leftOut - left.length;
    return html`<ul>${left.map(({ line, why, device, seq }) => html`<li>${text.left(figure(line), `${device} ${seq ?? ""}`.trim(), text.leftWhy[why])}</li>`)}
      ${more ? html`<li>${text.leftMore(figure(more))}</li>` : null}</ul>`;
  }

  /** What can be done with it. @param {FileLooked} looked */
  ways(looked) {
    if (!looked.fresh)
      return html`<p>${looked.leftOut || looked.aside ? text.nothingElse : text.nothingNew}</p>`;
    if (looked.other && !this.sure) return this.otherWays(looked);
    const words = looked.other ? text.joinYes : text.take(several(looked.fresh, "change"));
    return html`${looked.own ? html`<p>${text.ownLife(several(looked.own, "change"), figure(looked.own))}</p>` : null}
      ${looked.joins ? html`<p>${richText(text.joins(workshopMark(looked.workshop)))}</p>` : null}
      ${looked.other ? html`<p><strong>${text.joinQuestion(several(looked.fresh, "change"))}</strong></p>` : null}
      <div class="row"><button type="button" class="main" @click=${() => this.take()}>${words}</button>
      <button type="button" @click=${() => this.set({ looked: null, sure: false })}>${text.leave}</button></div>`;
  }

  /** Of another workshop: nothing is mixed unless the maker says so. @param {FileLooked} looked */
  otherWays({ workshop }) {
    return html`<p class="bad">${workshop ? text.other(workshopMark(workshop)) : text.otherUnknown}</p>
      <h3>${text.keepBoth}</h3><p>${text.keepBothHow}</p>
      <h3>${text.emptyFirst}</h3><p>${richText(text.emptyHow)}</p>
      <h3>${text.joinTitle}</h3><p>${richText(text.joinWhen)}</p>
      <div class="row"><button type="button" @click=${() => this.set({ sure: true })}>${text.join}</button>
      <button type="button" @click=${() => this.set({ looked: null })}>${text.leave}</button></div>`;
  }
}

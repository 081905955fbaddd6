// Sittings: what was done when, how long it took and how many it made; each can be corrected or deleted (entered;
// nothing is overwritten), and one that was not tapped is written in afterwards.
import { html } from "../../vendor/lit-html.js";
import { records as text } from "../../texts/texts.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { label } from "../../format/labels.js";
import { figure } from "../../format/numbers.js";
import { day, minutes, pieceName, several, some, stepName, upper } from "../../format/words.js";
import { stateOf } from "../../log/sitting.js";
import { choiceField, pieceOptions } from "../../ui/form-fields.js";
import { richText } from "../../ui/rich-text.js";
import { clockTime, CorrectSitting } from "./sitting-correct.js";
import { WriteSitting } from "./sitting-write.js";

const PAGE = 20;

/** @typedef {Awaited<ReturnType<typeof history.sittings>>[number]} Row */

export class Sittings {
  /** @param {() => void} redraw @param {(words: string) => void} say */
  constructor(redraw, say) {
    this.redraw = redraw;
    this.say = say;
    /** @type {Row[]} */
    this.rows = [];
    /** @type {Row[]} */
    this.deleted = [];
    this.shown = PAGE;
    this.piece = "";
    this.writing = new WriteSitting(redraw, (words) => this.again(words));
    this.correcting = new CorrectSitting(redraw, (words) => {
      this.writing.last = ""; // what was written in may be just what was corrected
      return this.again(words);
    });
  }

  async load() {
    [this.rows, this.deleted] = await Promise.all([
      history.sittings(),
      history.sittings({ deleted: true }),
    ]);
  }

  get wanted() {
    return this.rows.filter((r) => !this.piece || r.piece === this.piece);
  }

  /** @param {string} piece whose sittings are shown; all for "" */
  choose(piece) {
    this.piece = piece;
    this.shown = PAGE;
    this.redraw();
  }

  view() {
    if (!this.rows.length)
      return html`<p>${richText(text.noSittings)}</p>${this.writing.view(this.rows)}${this.gone()}`;
    const rows = this.wanted;
    return html`
      <div class="narrow">${choiceField("sit-of", label("piece"), this.piece, [["", text.allPieces], ...pieceOptions(store.things("piece"))], (id) => this.choose(id))}</div>
      <div class="halves"><section>${byStep(rows)}</section><section>
      <h2>${text.newestFirst}</h2>
      ${this.writing.view(this.rows)}
      <ul class="plain sittings">${rows.slice(0, this.shown).map((row) => this.row(row))}</ul>
      ${
        rows.length > this.shown
          ? html`<button @click=${() => {
              this.shown += PAGE;
              this.redraw();
            }}>${text.olderCount(figure(rows.length - this.shown))}</button>`
          : null
      }
      ${this.gone()}</section></div>`;
  }

  /** @param {string} words what was done */
  async again(words) {
    await this.load();
    this.say(words);
  }

  /** @param {Row} row */
  row(row) {
    const name = upper(stepName(store, row.step)),
      open = this.correcting.id === row.sitting;
    const on = stateOf(row) !== "stopped",
      set = row.events.some((e) => e.event === "trim" && e.minutes != null) || row.corrected;
    return html`<li><div class="grow"><strong>${name}</strong> <span class="soft">${pieceName(store, row.piece)}</span><br>
        ${text.withMore(day(row.date), clockTime(row.start_min))} · ${several(row.items, "item")} · ${eachWords(row)}${set ? html` · <span class="tag">${text.setByHand}</span>` : null}${on ? html` · <span class="tag">${store.clock.shown?.sitting === row.sitting ? text.clockRunning : text.neverStopped}</span>` : null}</div>
      <details .open=${open} @toggle=${(/** @type {Event} */ e) => this.correcting.turn(row, /** @type {HTMLDetailsElement} */ (e.target).open)}>
        <summary>${minutes(row.minutes)} <span class="soft">&nbsp;${text.correct}</span><span class="quiet">: ${text.sittingAt(name, day(row.date), clockTime(row.start_min))}</span></summary>
        ${open ? this.correcting.view(row, this.rows) : null}</details></li>`;
  }

  /** Deleted ones can be brought back. */
  gone() {
    if (!this.deleted.length) return null;
    return html`<details class="sheet gone-sittings"><summary>${text.deletedSittings(figure(this.deleted.length))}</summary><ul class="plain">${this.deleted.map(
      (row) => html`<li class="row between">
      <span>${text.stepOf(upper(stepName(store, row.step)), pieceName(store, row.piece))}<br><span class="soft">${text.withMore(day(row.date), clockTime(row.start_min))} · ${minutes(row.minutes)} · ${several(row.items, "item")}</span></span>
      <button @click=${async () => {
        await history.correctSitting(row.sitting, { deleted: false, uncounted: false });
        await this.again(text.restored);
      }}
        aria-label=${text.of(text.restore, text.sittingAt(stepName(store, row.step), day(row.date), clockTime(row.start_min)))}>${text.restore}</button></li>`,
    )}</ul></details>`;
  }
}

/** @param {number} n items made before the clock ran */
const before = (n) => text.madeBefore(figure(n));

/** The time of one item, and how many items it was taken from where that is not all. @param {Row} row */
function eachWords({ items, timed, untimed, minutes: worked }) {
  if (!items) return text.noneCounted;
  if (!timed) return html`${text.noneTimed} <span class="soft">(${before(untimed)})</span>`;
  return html`${text.eachTook(minutes(worked / timed))}${timed < items ? html` <span class="soft">(${text.timedOnly(figure(timed))}; ${before(items - timed)})</span>` : null}`;
}

/** @param {Row[]} rows */
function byStep(rows) {
  /** @type {Map<string, {minutes: number, items: number, timed: number}>} */
  const steps = new Map();
  for (const r of rows) {
    const s = steps.get(r.step) ?? { minutes: 0, items: 0, timed: 0 };
    steps.set(r.step, {
      minutes: s.minutes + r.minutes,
      items: s.items + r.items,
      timed: s.timed + r.timed,
    });
  }
  const untimed = [...steps.values()].reduce((sum, s) => sum + s.items - s.timed, 0);
  return html`<h2>${text.benchTime}</h2><div class="scroll" tabindex="0" role="region" aria-label=${text.benchTime}><table>
    <thead><tr><th>${label("step")}</th><th class="n">${text.time}</th><th class="n">${text.itemsColumn}</th><th class="n">${text.each}</th></tr></thead>
    <tbody>${[...steps].sort((a, b) => b[1].minutes - a[1].minutes).map(([step, s]) => html`<tr><th scope="row">${upper(stepName(store, step))}</th><td class="n">${minutes(s.minutes)}</td><td class="n">${some(s.items, 9)}</td><td class="n">${s.timed ? minutes(s.minutes / s.timed) : "–"}${s.timed && s.timed < s.items ? html` <small class="soft">${text.timedOnly(figure(s.timed))}</small>` : null}</td></tr>`)}</tbody>
  </table></div>
  ${untimed ? html`<p class="hint">${text.itemsExplained(several(untimed, "item"))}</p>` : null}`;
}

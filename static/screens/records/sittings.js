// Sittings: what was done when, how long it took and how many it made; each can be corrected or deleted (said;
// nothing is overwritten), and one that was not tapped is written in afterwards.
import { html } from "../../vendor/lit-html.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { figure } from "../../format/numbers.js";
import { day, minutes, several, some, stepName, upper } from "../../format/words.js";
import { stateOf } from "../../log/sitting.js";
import { clockTime, CorrectSitting } from "./sitting-correct.js";
import { WriteSitting } from "./sitting-write.js";

const PAGE = 20;

/** @typedef {Awaited<ReturnType<typeof history.sittings>>[number]} Row */

/** @param {string} piece */
const pieceName = (piece) => store.thing("piece", piece)?.name ?? "a piece no longer kept";

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

  view() {
    if (!this.rows.length)
      return html`<p>No sitting yet. The clock starts with the first tap on the <a href="#bench">Bench</a>.</p>${this.writing.view(this.rows)}${this.gone()}`;
    const rows = this.wanted;
    return html`
      <div class="field narrow"><label for="sit-of">Piece</label><select id="sit-of" @change=${(
        /** @type {Event} */ e,
      ) => {
        this.piece = /** @type {HTMLSelectElement} */ (e.target).value;
        this.shown = PAGE;
        this.redraw();
      }}>
        <option value="">All pieces</option>${store.things("piece").map((p) => html`<option value=${p.id} ?selected=${p.id === this.piece}>${p.name}</option>`)}</select></div>
      <div class="halves"><section>${byStep(rows)}</section><section>
      <h2>Sittings, newest first</h2>
      ${this.writing.view(this.rows)}
      <ul class="plain sittings">${rows.slice(0, this.shown).map((row) => this.row(row))}</ul>
      ${
        rows.length > this.shown
          ? html`<button @click=${() => {
              this.shown += PAGE;
              this.redraw();
            }}>Older ones (${rows.length - this.shown})</button>`
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
    return html`<li><div class="grow"><strong>${name}</strong> <span class="soft">${pieceName(row.piece)}</span><br>
        ${day(row.date)}, ${clockTime(row.start_min)} · ${several(row.items, "item")} · ${eachWords(row)}${set ? html` · <span class="tag">◆ set by hand</span>` : null}${on ? html` · <span class="tag">${store.clock.shown?.sitting === row.sitting ? "clock still on" : "never stopped"}: up to the last count</span>` : null}</div>
      <details .open=${open} @toggle=${(/** @type {Event} */ e) => this.correcting.turn(row, /** @type {HTMLDetailsElement} */ (e.target).open)}>
        <summary>${minutes(row.minutes)} <span class="soft">&nbsp;correct it</span><span class="quiet">, ${name}, ${day(row.date)} ${clockTime(row.start_min)}</span></summary>
        ${open ? this.correcting.view(row, this.rows) : null}</details></li>`;
  }

  /** Deleted ones can be brought back. */
  gone() {
    if (!this.deleted.length) return null;
    return html`<details class="sheet gone-sittings"><summary>Deleted sittings (${this.deleted.length})</summary><ul class="plain">${this.deleted.map(
      (row) => html`<li class="row between">
      <span>${upper(stepName(store, row.step))}, ${pieceName(row.piece)}<br><span class="soft">${day(row.date)}, ${clockTime(row.start_min)} · ${minutes(row.minutes)} · ${several(row.items, "item")}</span></span>
      <button @click=${async () => {
        await history.correctSitting(row.sitting, { deleted: false, uncounted: false });
        await this.again("Brought back.");
      }}
        aria-label=${`Bring back: ${stepName(store, row.step)}, ${day(row.date)} ${clockTime(row.start_min)}`}>Bring it back</button></li>`,
    )}</ul></details>`;
  }
}

/** @param {number} n items made before the clock ran */
const before = (n) => `${figure(n)} ${n === 1 ? "was" : "were"} made before the clock ran`;

/** The time of one item, and how many items it was taken from where that is not all. @param {Row} row */
function eachWords({ items, timed, untimed, minutes: worked }) {
  if (!items) return "none counted";
  if (!timed) return html`none timed <span class="soft">(${before(untimed)})</span>`;
  return html`${minutes(worked / timed)} each${timed < items ? html` <span class="soft">(${figure(timed)} timed; ${before(items - timed)})</span>` : null}`;
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
  return html`<h2>Bench time by step</h2><div class="scroll" tabindex="0" role="region" aria-label="Bench time by step"><table>
    <thead><tr><th>Step</th><th class="n">Time</th><th class="n">Items</th><th class="n">Each</th></tr></thead>
    <tbody>${[...steps].sort((a, b) => b[1].minutes - a[1].minutes).map(([step, s]) => html`<tr><th scope="row">${upper(stepName(store, step))}</th><td class="n">${minutes(s.minutes)}</td><td class="n">${some(s.items, 9)}</td><td class="n">${s.timed ? minutes(s.minutes / s.timed) : "–"}${s.timed && s.timed < s.items ? html` <small class="soft">by ${figure(s.timed)}</small>` : null}</td></tr>`)}</tbody>
  </table></div>
  ${untimed ? html`<p class="hint">Items are all that were counted. The time of each leaves out those made before the clock ran: ${several(untimed, "item")} whose tap started it.</p>` : null}`;
}

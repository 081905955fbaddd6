// Sittings: the bench time of each, and its correction (said; nothing is overwritten); and one that was not
// tapped, written in afterwards with its own day and time.
import { html } from "../vendor/lit-html.js";
import { store } from "../store.js";
import { today } from "../answers.js";
import { typedNumber } from "../typed.js";
import { day, minutes, several, some, stepName, upper } from "../plainly.js";

const PAGE = 20, MINUTE = 60000;

/** @typedef {{sitting: string, piece: string, step: string, date: string, start_min: number, minutes: number, items: number, events: any[]}} Row */

export class Sittings {
  /** @param {() => void} redraw @param {(words: string) => void} say */
  constructor(redraw, say) {
    this.redraw = redraw;
    this.say = say;
    /** @type {Row[]} */
    this.rows = [];
    this.shown = PAGE;
    this.piece = "";
  }

  async load() {
    this.rows = await store.sittings();
  }

  get wanted() { return this.rows.filter((r) => !this.piece || r.piece === this.piece); }

  view() {
    if (!this.rows.length) return html`<p>No sitting yet. The clock starts with the first tap on the <a href="#bench">Bench</a>.</p>${addSitting(() => this.again())}`;
    const rows = this.wanted;
    return html`
      <div class="field narrow"><label for="sit-piece">Piece</label><select id="sit-piece" @change=${(/** @type {Event} */ e) => { this.piece = /** @type {HTMLSelectElement} */ (e.target).value; this.shown = PAGE; this.redraw(); }}>
        <option value="">All pieces</option>${store.things("piece").map((p) => html`<option value=${p.id} ?selected=${p.id === this.piece}>${p.name}</option>`)}</select></div>
      <div class="halves"><section>${byStep(rows)}</section><section>
      <h2>Sittings, newest first</h2>
      ${addSitting(() => this.again())}
      <ul class="plain sittings">${rows.slice(0, this.shown).map((row) => this.row(row))}</ul>
      ${rows.length > this.shown ? html`<button @click=${() => { this.shown += PAGE; this.redraw(); }}>Older ones (${rows.length - this.shown})</button>` : null}</section></div>`;
  }

  async again() {
    await this.load();
    this.redraw();
  }

  /** @param {Row} row */
  row(row) {
    const name = upper(stepName(store, row.step)), piece = store.thing("piece", row.piece)?.name ?? "a piece no longer kept";
    const id = `min-${row.sitting}`;
    const set = row.events.some((e) => e.event === "trim" && e.minutes != null);
    return html`<li><div class="grow"><strong>${name}</strong> <span class="soft">${piece}</span><br>
        ${day(row.date)}, ${clock(row.start_min)} · ${several(row.items, "item")} · ${row.items ? html`${minutes(row.minutes / row.items)} each` : "none counted"}${set ? html` · <span class="tag">◆ set by hand</span>` : null}</div>
      <details><summary>${minutes(row.minutes)} <span class="soft">&nbsp;correct it</span><span class="quiet">, ${name}, ${day(row.date)} ${clock(row.start_min)}</span></summary>
        <form class="row" @submit=${(/** @type {SubmitEvent} */ e) => this.correct(e, row)}>
          <label for=${id}>Minutes really worked</label>
          <input id=${id} name="minutes" class="short" inputmode="decimal" .value=${some(row.minutes, 4)}><button>Correct</button></form></details></li>`;
  }

  /** @param {SubmitEvent} e @param {Row} row */
  async correct(e, row) {
    e.preventDefault();
    const input = /** @type {HTMLInputElement} */ (/** @type {HTMLFormElement} */ (e.target).elements.namedItem("minutes"));
    const value = typedNumber(input.value);
    const good = typeof value === "number" && value >= 0 && value <= 1440;
    input.setCustomValidity(good ? "" : "Give the minutes really worked, 0 to 1,440 (a whole day).");
    if (!good) { input.reportValidity(); return; }
    await store.correctSitting(row.sitting, /** @type {number} */ (value));
    this.say(`Corrected to ${minutes(/** @type {number} */ (value))}.`);
    await this.again();
  }
}

/** @param {number} min of the day */
const clock = (min) => `${String(Math.floor(min / 60) % 24).padStart(2, "0")}:${String(min % 60).padStart(2, "0")}`;

/** @param {Row[]} rows */
function byStep(rows) {
  /** @type {Map<string, {minutes: number, items: number, n: number}>} */
  const steps = new Map();
  for (const r of rows) {
    const s = steps.get(r.step) ?? { minutes: 0, items: 0, n: 0 };
    steps.set(r.step, { minutes: s.minutes + r.minutes, items: s.items + r.items, n: s.n + 1 });
  }
  return html`<h2>Bench time by step</h2><div class="scroll" tabindex="0" role="region" aria-label="Bench time by step"><table>
    <thead><tr><th>Step</th><th class="n">Time</th><th class="n">Items</th><th class="n">Each</th></tr></thead>
    <tbody>${[...steps].sort((a, b) => b[1].minutes - a[1].minutes).map(([step, s]) => html`<tr><th scope="row">${upper(stepName(store, step))}</th><td class="n">${minutes(s.minutes)}</td><td class="n">${some(s.items, 9)}</td><td class="n">${s.items ? minutes(s.minutes / s.items) : "–"}</td></tr>`)}</tbody>
  </table></div>`;
}

/** @param {string} piece */
const stepsOf = (piece) => store.plan(piece)?.steps ?? [];

/** @param {() => void} done */
function addSitting(done) {
  const pieces = store.things("piece").filter((p) => stepsOf(p.id).length);
  if (!pieces.length) return null;
  /** @type {Map<string, string>} */
  const steps = new Map(pieces.flatMap((p) => stepsOf(p.id).map((/** @type {any} */ s) => [s.step, upper(s.name ?? stepName(store, s.step))])));
  return html`<details class="sheet"><summary>Write in a sitting you did not tap</summary>
    <form @submit=${(/** @type {SubmitEvent} */ e) => write(e, done)}>
      <div class="pair">
        <div class="field"><label for="fg-piece">Piece</label><select id="fg-piece" name="piece">${pieces.map((p) => html`<option value=${p.id}>${p.name}</option>`)}</select></div>
        <div class="field"><label for="fg-step">Step</label><select id="fg-step" name="step">${[...steps].map(([key, name]) => html`<option value=${key}>${name}</option>`)}</select></div>
        <div class="field"><label for="fg-date">Day</label><input id="fg-date" name="date" type="date" required max=${today()} .value=${today()}></div>
        <div class="field"><label for="fg-time">Begun at</label><input id="fg-time" name="time" type="time" required value="19:00"></div>
        <div class="field"><label for="fg-minutes">Minutes</label><input id="fg-minutes" name="minutes" type="number" min="1" max="960" required></div>
        <div class="field"><label for="fg-items">Items made</label><input id="fg-items" name="items" type="number" min="0" max="100000" required></div>
      </div>
      <button class="main">Write it in</button>
    </form></details>`;
}

/** @param {SubmitEvent} e @param {() => void} done */
async function write(e, done) {
  e.preventDefault();
  const form = /** @type {HTMLFormElement} */ (e.target);
  const said = Object.fromEntries(/** @type {[string, string][]} */ ([...new FormData(form)]));
  const from = new Date(`${said.date}T${said.time}`), time = /** @type {HTMLInputElement} */ (form.elements.namedItem("time"));
  const ends = from.getTime() + Number(said.minutes) * MINUTE;
  time.setCustomValidity(ends > Date.now() ? "It would end after now: give an earlier beginning or fewer minutes." : "");
  if (ends > Date.now()) { time.reportValidity(); return; }
  await store.writeSitting(said.piece, said.step, from.getTime(), ends, Number(said.items));
  form.reset();
  done();
}

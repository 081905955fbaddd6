// A sitting that was not tapped, written in afterwards with its own day and time.
import { html } from "../vendor/lit-html.js";
import { store } from "../store.js";
import { today } from "../answers.js";
import { stepName, upper } from "../plainly.js";

const MINUTE = 60000;

/** @param {string} piece */
const stepsOf = (piece) => store.plan(piece)?.steps ?? [];

/** @param {() => void} done */
export function addSitting(done) {
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

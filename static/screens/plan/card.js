// The piece's card: how its rings are made, the steps it skips and those it has of its own.
import { html, nothing } from "../../vendor/lit-html.js";
import { addRow, dropRow, skipSteps } from "./actions.js";
import { choice, field, lines, number, radios, restOf, whole } from "./fields.js";

/** @typedef {import("./form-model.js").PlanDesk} PlanDesk */

const SKIP = ["soften", "flatten", "soften_again", "pierce"];

/** @param {string} key an option's key: left_over_right */
const word = (key) => key.replaceAll("_", " ");

/** Rules come as a table: what has options is chosen, the rest is written. @param {PlanDesk} desk @param {any} rule */
function rulePart(desk, rule) {
  const path = `piece.rules.${rule.field}`;
  if (rule.field === "rivet_kind") return nothing; // said with the ring
  if (!rule.options.length) return lines(desk, path, rule.name, { hint: rule.note });
  return radios(
    desk,
    path,
    rule.name,
    [...rule.options.map((/** @type {string} */ o) => [o, word(o)]), ["", "not said"]],
    { hint: rule.note },
  );
}

/** @param {PlanDesk} desk */
export function cardPart(desk) {
  const rules = desk.answer.table?.rules ?? [];
  return html`<details class="sheet"><summary><h2>Making rules</h2></summary>
    <p class="soft">They stand on the Bench with each step they matter to.</p>
    ${rules.map((/** @type {any} */ rule) => rulePart(desk, rule))}
    ${restOf(desk, "piece.rules")}
  </details>`;
}

/** @param {PlanDesk} desk @param {number} i */
function ownStep(desk, i) {
  const path = `piece.finishing.${i}`;
  const after = (desk.answer.table?.steps ?? []).map((/** @type {any} */ s) => [
    s.step,
    `after ${s.name}`,
  ]);
  return html`<div class="inset own-step">
    <div class="pair">
      ${field(desk, `${path}.name`, "Step", { longest: 80, hint: i ? "" : "Edge rings, straps, lining stitches, polishing …" })}
      ${field(desk, `${path}.item`, "One item is a", { longest: 40, hint: i ? "" : "ring, strap, stitch …" })}
      ${whole(desk, `${path}.items`, "How many")}
      ${number(desk, `${path}.guess_min_per_item`, "Minutes for one, as you guess")}
      ${choice(desk, `${path}.after`, "When", [["", "at the end"], ...after])}
      ${field(desk, `${path}.caution`, "What can hurt in it", { longest: 300 })}
    </div>
    <button type="button" @click=${() => dropRow(desk, "finishing", i)}>Take this step out</button>
  </div>`;
}

/** @param {PlanDesk} desk */
function skipping(desk) {
  const left = desk.get("piece.without");
  const steps = (desk.answer.table?.steps ?? []).filter((/** @type {any} */ s) =>
    SKIP.includes(s.step),
  );
  return html`<fieldset class="field chips"><legend>Steps this piece does without</legend>
    <div class="row">${steps.map(
      (
        /** @type {any} */ s,
      ) => html`<label class="chip"><input type="checkbox" .checked=${left.includes(s.step)}
      @change=${(/** @type {any} */ e) => skipSteps(desk, [s.step], e.target.checked)}><span>${s.name}</span></label>`,
    )}</div>
    <p class="hint">Butted rings need no piercing; soft wire may need no fire.</p></fieldset>`;
}

/** @param {PlanDesk} desk */
export function stepsPart(desk) {
  const rows = desk.get("piece.finishing");
  const open = rows.length || desk.get("piece.without").length;
  return html`<details class="sheet" ?open=${Boolean(open)}><summary><h2>Steps of its own</h2></summary>
    ${rows.map((/** @type {any} */ _, /** @type {number} */ i) => ownStep(desk, i))}
    <button type="button" @click=${() => addRow(desk, "finishing", { step: "", name: "", item: "", items: "", guess_min_per_item: "", after: "", caution: "" })}>Add a step</button>
    ${skipping(desk)}
    ${restOf(desk, "piece.finishing")}${restOf(desk, "piece.without")}
  </details>`;
}

// What else a piece asks for: joins between panels, losses from the record, things used up by the thousand.
import { html, nothing } from "../../vendor/lit-html.js";
import { addRow, dropRow, takeRecord } from "./actions.js";
import { choice, field, number, restOf, whole } from "./fields.js";
import { PLACES } from "./serialize.js";

/** @typedef {import("./form-model.js").PlanDesk} PlanDesk */

/** @type {[string, string][]} */
const HOW = [
  ["end_to_end", "side by side"],
  ["stacked", "one below the other"],
  ["round", "closed to a tube"],
  ["rings", "by a number of rings"],
];
/** @type {[string, string][]} */
const SURE = [
  ["0.8", "4 times in 5"],
  ["0.9", "9 times in 10"],
  ["", "19 times in 20"],
  ["0.99", "99 times in 100"],
];

/** The panels a join names follow from how it joins. @param {PlanDesk} desk @param {number} i @param {string} how */
function joinPanels(desk, i, how) {
  const names = /** @type {[string, string][]} */ (
    desk.draft?.panels.map((p, k) => [p.id, p.name.trim() || `Panel ${k + 1}`]) ?? []
  );
  const options = /** @type {[string, string][]} */ ([["", "choose"], ...names]);
  return html`${Array.from({ length: PLACES[how] ?? 2 }, (_, k) => choice(desk, `piece.joins.${i}.panels.${k}`, k ? "and" : "Panel", options))}
    ${how === "rings" ? whole(desk, `piece.joins.${i}.rings`, "Joining rings") : nothing}`;
}

/** @param {PlanDesk} desk */
export function joinsPart(desk) {
  const rows = desk.get("piece.joins");
  return html`<details class="sheet" ?open=${rows.length > 0}><summary><h2>Joins between panels</h2></summary>
    ${rows.map(
      (
        /** @type {any} */ row,
        /** @type {number} */ i,
      ) => html`<div class="inset"><div class="pair">
        ${choice(desk, `piece.joins.${i}.how`, "Joined", HOW)}${joinPanels(desk, i, row.how)}</div>
      ${restOf(desk, `piece.joins.${i}`)}
      <button type="button" @click=${() => dropRow(desk, "joins", i)}>Take this join out</button></div>`,
    )}
    <button type="button" @click=${() => addRow(desk, "joins", { how: "end_to_end", panels: ["", ""], rings: "" })}>Add a join</button>
  </details>`;
}

/** @param {PlanDesk} desk @param {any} step */
function lossRow(desk, step) {
  const path = `piece.losses.${step.step}`;
  const write = (/** @type {string} */ what, /** @type {string} */ value) =>
    desk.set(path, { ...desk.get(path), [what]: value });
  const input = (
    /** @type {string} */ what,
    /** @type {string} */ word,
  ) => html`<td class="n"><input class="short" inputmode="numeric" maxlength="9" autocomplete="off" id=${`f-piece-losses-${step.step}-${what}`}
    aria-label=${`${step.name}: ${word}`} aria-invalid=${desk.why(`${path}.${what}`) ? "true" : "false"} .value=${String(desk.get(`${path}.${what}`) ?? "")}
    @input=${(/** @type {any} */ e) => write(what, e.target.value)}></td>`;
  const why = desk.why(`${path}.good`) || desk.why(`${path}.bad`);
  return html`<tr><th scope="row">${step.name}</th>${input("good", "good")}${input("bad", "spoiled")}</tr>
    ${why ? html`<tr><td colspan="3" class="field"><span class="bad">${why}</span></td></tr>` : nothing}`;
}

/** @param {PlanDesk} desk */
export function lossesPart(desk) {
  const steps = (desk.answer.table?.steps ?? []).filter(
    (/** @type {any} */ s) => s.step !== "wind",
  );
  const open = Object.keys(desk.get("piece.losses")).length > 0;
  return html`<details class="sheet" ?open=${open}><summary><h2>Losses</h2></summary>
    <p class="soft">From your own record: how many came out good and how many spoiled. More are then begun, so that enough come out.</p>
    <button type="button" @click=${() => takeRecord(desk)}>Take what I have counted so far</button>
    <div class="scroll"><table><thead><tr><th scope="col">Step</th><th scope="col" class="n">good</th><th scope="col" class="n">spoiled</th></tr></thead>
      <tbody>${steps.map((/** @type {any} */ s) => lossRow(desk, s))}</tbody></table></div>
    ${choice(desk, "piece.sure", "Enough should come out", SURE)}
    ${restOf(desk, "piece.losses")}
  </details>`;
}

/** @param {PlanDesk} desk */
export function consumablesPart(desk) {
  const rows = desk.get("piece.consumables");
  return html`<details class="sheet" ?open=${rows.length > 0}><summary><h2>Used up besides wire</h2></summary>
    <p class="soft">By your own use for every 1000 rings: gas, charcoal, saw blades, oil.</p>
    ${rows.map(
      (
        /** @type {any} */ _,
        /** @type {number} */ i,
      ) => html`<div class="inset"><div class="pair trio">
        ${field(desk, `piece.consumables.${i}.name`, "What", { longest: 80 })}
        ${field(desk, `piece.consumables.${i}.unit`, "Told in", { longest: 20, hint: i ? "" : "kg, blades, litres …" })}
        ${number(desk, `piece.consumables.${i}.per_1000_rings`, "For 1000 rings")}</div>
      <button type="button" @click=${() => dropRow(desk, "consumables", i)}>Take this out</button></div>`,
    )}
    <button type="button" @click=${() => addRow(desk, "consumables", { name: "", unit: "", per_1000_rings: "" })}>Add something</button>
    ${restOf(desk, "piece.consumables")}
  </details>`;
}

// How the fabric lies when it is measured: from the maker's own swatch, or a guess from geometry that says so.
import { html, nothing } from "../../vendor/lit-html.js";
import { about, figure } from "../../format/numbers.js";
import { radios, number, restOf, tick, whole } from "./fields.js";

/** @type {[string, string, string][]} state, its word, what it means */
export const STATES = [
  ["relaxed", "Relaxed", "Laid on the bench and left to itself, neither pulled nor pushed."],
  [
    "hang",
    "Hanging",
    "Hung by its top row: rows drawn apart, rings close together along the row. The densest.",
  ],
  ["flat", "Spread flat", "Spread both ways as far as it goes: the fewest rings to an area."],
  ["across", "Pulled across", "Pulled along the rows until it stops."],
];

/** @param {string} state */
export const stateWord = (state) =>
  (STATES.find(([key]) => key === state)?.[1] ?? state).toLowerCase();

/** @param {any} said the engine's answer `fabric` */
function compared(said) {
  return html`<table class="states">
    <caption>The same fabric in each state${said.basis === "swatch" ? ", from your swatch" : ", guessed from geometry"}</caption>
    <thead><tr><th scope="col">State</th><th scope="col" class="n">mm along × down</th><th scope="col" class="n">rings in 10 × 10 cm</th><th scope="col" class="n">kg/m²</th></tr></thead>
    <tbody>${STATES.map(([key, word]) => {
      const row = said.states[key];
      return html`<tr class=${key === said.state ? "chosen" : ""}><th scope="row">${key === said.state ? "▸ " : ""}${word}</th><td class="n">${about(row.pitch_mm.column)} × ${about(row.pitch_mm.row)}</td>
        <td class="n">${figure(row.rings_per_100cm2)}</td><td class="n">${row.kg_per_m2 == null ? "–" : about(row.kg_per_m2)}</td></tr>`;
    })}</tbody></table>`;
}

/** @param {import("./form-model.js").PlanDesk} desk @param {string} path of the swatch in the draft */
export function swatchFields(desk, path) {
  return html`<div class="inset">
    <p class="hint">Weave at least ten columns and ten rows of your own rings. Count from one ring to the same side of another: the count is the steps between them.</p>
    <div class="pair">
      ${whole(desk, `${path}.columns`, "Rings along the row")}
      ${number(desk, `${path}.width_mm`, "They measure", { unit: "mm" })}
      ${whole(desk, `${path}.rows`, "Rows down")}
      ${number(desk, `${path}.height_mm`, "They measure", { unit: "mm" })}
    </div>
    ${radios(
      desk,
      `${path}.swatch_state`,
      "The swatch was measured",
      STATES.map(([key, word]) => [key, word]),
    )}
  </div>`;
}

/** @param {import("./form-model.js").PlanDesk} desk */
export function fabricPart(desk) {
  const said = desk.answer.fabric;
  const meaning = STATES.find(([key]) => key === desk.get("fabric.state"))?.[2];
  return html`<details class="sheet" data-part="fabric"><summary><h2>Fabric: ${stateWord(desk.get("fabric.state"))}, ${desk.get("fabric.swatch") ? "by your swatch" : "a guess"}</h2></summary>
    ${radios(
      desk,
      "fabric.state",
      "Your measures are of the fabric",
      STATES.map(([key, name]) => [key, name]),
      { hint: meaning },
    )}
    ${tick(desk, "fabric.swatch", "I have measured a swatch of these rings", { hint: "Surer than any guess: lap, rivets and hands all change the fabric." })}
    ${desk.get("fabric.swatch") ? swatchFields(desk, "fabric") : nothing}
    ${restOf(desk, "fabric")}
    ${
      said
        ? html`${compared(said)}${said.notes.map((/** @type {string} */ n) => html`<p class="advice">${n}</p>`)}
      ${said.warnings.filter((/** @type {string} */ w) => !(desk.answer.ring?.warnings ?? []).includes(w)).map((/** @type {string} */ w) => html`<p class="advice">${w}</p>`)}`
        : nothing
    }
  </details>`;
}

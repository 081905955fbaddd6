// What one panel has of its own, where the piece's does not fit: its rings, its swatch, how its fabric lay when measured.
import { html, nothing } from "../../vendor/lit-html.js";
import { about } from "../../format/numbers.js";
import { typedLength } from "../../format/parse-length.js";
import { some } from "../../format/words.js";
import { ownRing, ownSwatch } from "./actions.js";
import { STATES, stateWord, swatchFields } from "./fabric-state.js";
import { choice, number, restOf } from "./fields.js";
import { cutting, metalChoices, ownMetal } from "./ring.js";

/** @typedef {import("./form-model.js").PlanDesk} PlanDesk */

/** @param {boolean} on @param {string} path @param {string} words @param {(on: boolean) => void} act */
const switchOf = (
  on,
  path,
  words,
  act,
) => html`<div class="field"><label class="chip wide"><input type="checkbox" data-path=${path} .checked=${on} @change=${(/** @type {any} */ e) => act(e.target.checked)}>
  <span>${words}</span></label></div>`;

/** A collar of finer rings, a hem of heavier ones. @param {PlanDesk} desk @param {number} i */
function ring(desk, i) {
  const path = `panels.${i}.ring`,
    own = desk.get(path);
  return html`${switchOf(Boolean(own), path, "Other rings in this panel", (on) => ownRing(desk, i, on))}
    ${
      own
        ? html`<div class="inset"><div class="pair">
      ${number(desk, `${path}.wire_mm`, "Wire", { unit: "mm" })}${number(desk, `${path}.inner_mm`, "Inside", { unit: "mm" })}
      ${number(desk, `${path}.lap_mm`, "Lap", { unit: "mm" })}${number(desk, `${path}.rivet_mm`, "Rivet thickness", { unit: "mm" })}</div>
      ${choice(desk, `${path}.metal`, "Metal", metalChoices(desk, own.metal))}
      ${ownMetal(desk, path)}
      ${(own.kind || "riveted") === "riveted" ? cutting(desk, path) : nothing}
      ${restOf(desk, path)}</div>`
        : nothing
    }`;
}

/** @param {PlanDesk} desk @param {number} i */
function fabric(desk, i) {
  const path = `panels.${i}`,
    own = Boolean(desk.get(`${path}.swatch`));
  const foreign = !own && desk.get(`${path}.ring`) && desk.get("fabric.swatch");
  return html`${choice(desk, `${path}.state`, "Its measures are of the fabric", [["", `as the piece's: ${stateWord(desk.get("fabric.state"))}`], ...STATES.map(([key, word]) => /** @type {[string, string]} */ ([key, word.toLowerCase()]))])}
    ${switchOf(own, `${path}.swatch`, "A swatch of its own", (on) => ownSwatch(desk, i, on))}
    ${own ? swatchFields(desk, `${path}.swatch`) : foreign ? html`<p class="hint">The piece's swatch is of other rings, so this panel is a guess until a swatch of its own is measured.</p>` : nothing}`;
}

/** @param {PlanDesk} desk @param {number} i */
function summary(desk, i) {
  const { ring: rings, state, swatch } = desk.get(`panels.${i}`);
  const wire = typedLength(rings?.wire_mm);
  const own = [
    rings && `${typeof wire === "number" ? `${some(wire)} mm` : "other"} wire`,
    state && stateWord(state),
    swatch && "own swatch",
  ].filter(Boolean);
  return own.length ? `Of its own: ${own.join(", ")}` : "Ring and fabric: the piece's";
}

/** @param {PlanDesk} desk @param {number} i @param {any} said @param {boolean} counted only, so that no fabric matters */
export function ownPart(desk, i, said, counted) {
  const panel = desk.get(`panels.${i}`);
  const some_own = Boolean(panel.ring || panel.state || panel.swatch);
  if (!some_own && desk.draft && desk.draft.panels.length < 2) return nothing;
  return html`<details class="inset own" data-part="own"><summary>${summary(desk, i)}</summary>
    ${ring(desk, i)}${counted ? nothing : fabric(desk, i)}</details>
    ${some_own && said?.pitch_mm ? html`<p>Ring to ring ${about(said.pitch_mm.column)} mm along the row, ${about(said.pitch_mm.row)} mm row to row: ${said.basis === "swatch" ? "by a swatch" : "a guess from geometry"}.</p>` : nothing}`;
}

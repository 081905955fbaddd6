// The ring of a piece (wire, inside, lap, metal, rivet, what one ring takes) and the fabric it makes: its state when
// measured, and the maker's own swatch.
import { html, nothing } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { about, figure, weight } from "../../format/numbers.js";
import { some } from "../../format/words.js";
import { ringPicture } from "../../pictures/ring.js";
import { plan as text } from "../../texts/texts.js";
import { inputField, lengthKeyboard } from "../../ui/form-fields.js";
import { askGauge, askMandrel, copyRing, skipSteps } from "./actions.js";
import { check, choice, field, lengthsHint, number, otherErrors, radios, whole } from "./fields.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */

const OWN_METAL = "";
const SOFTENINGS = ["soften", "soften_again"];

/** @param {string} warning of the engine, on wire that must not be heated */
export const isZincWarning = (warning) => warning.includes("never heated");

/**
 * Metals to choose from; the one chosen is listed even before the engine has answered.
 * @param {FormModel} model
 * @param {string} now
 * @returns {[string, string][]}
 */
export function metalChoices({ answer: { metals } }, now) {
  const listed =
    now === OWN_METAL || metals.some((m) => m.name === now)
      ? metals
      : [...metals, { name: now, density_g_cm3: NaN }];
  return [
    ...listed.map(
      (m) =>
        /** @type {[string, string]} */ ([
          m.name,
          m.density_g_cm3 ? text.metalWithDensity(m.name, about(m.density_g_cm3)) : m.name,
        ]),
    ),
    [OWN_METAL, text.otherMetal],
  ];
}

/** The same number is another wire in each system, so all of them are always in sight. @param {FormModel} model */
function byGauge(model) {
  const { gauge } = model;
  return html`<details class="inset">
    <summary>${text.onlyGauge}</summary>
    ${inputField("f-gauge", text.gaugeNumber, { value: gauge.typed, mode: "numeric", longest: 4, error: gauge.error, hint: text.gaugeHint, onInput: (e) => askGauge(model, e.target.value) })}
    <div class="choices">${gauge.systems.map(
      (
        s,
      ) => html`<button type="button" @click=${() => model.set("ring.wire_mm", String(Number(s.wire_mm.toFixed(3))))}>
      ${s.name}<br><strong>${about(s.wire_mm)} mm</strong></button>`,
    )}</div>
  </details>`;
}

/** The ring that a mandrel at hand gives, by the way it is cut and springs back. @param {FormModel} model */
function byMandrel(model) {
  const { inner_mm, springback_measured, why } = model.mandrelAnswer ?? {};
  const inside = String(Number((inner_mm ?? 0).toFixed(2)));
  const hint = `${springback_measured ? text.withSpringback : text.withoutSpringback} ${model.answer.ring?.cut === "straight" ? text.lappingDrawsIn : text.overlapKeepsWidth}`;
  return html`<details class="inset"><summary>${text.onlyMandrel}</summary>
    ${inputField("f-mandrel", text.mandrel, { value: model.mandrel, unit: "mm", mode: lengthKeyboard(model.mandrel), longest: 24, error: why, hint, onInput: (e) => askMandrel(model, e.target.value) })}
    ${inner_mm ? html`<div class="choices"><button type="button" data-do="mandrel" @click=${() => model.set("ring.inner_mm", inside)}>${text.useInside}<br><strong>${inside} mm</strong></button></div>` : nothing}
  </details>`;
}

/** The system's name without what is in brackets. @param {string} name */
const shortName = (name) => name.replace(/ \(.*\)/, "");

/** @param {FormModel} model */
function gaugesOfWire(model) {
  const systems = model.answer.gauge?.systems ?? [];
  if (!systems.length) return nothing;
  const gauges = systems.map(
    (s) => `${shortName(s.name)} ${s.gauge}${s.close ? "" : ` (${about(s.wire_mm)} mm)`}`,
  );
  return html`<p class="hint">${text.byGauge(gauges.join(", "))}</p>`;
}

/** @typedef {import("../../entities").Entity<"ring"> | import("./draft.js").RingDraft} AnyRing saved or typed */

/** Rings of earlier pieces, to begin from. @param {FormModel} model */
function earlierRings(model) {
  const alike = (/** @type {AnyRing | undefined} */ a, /** @type {AnyRing | undefined} */ b) =>
    /** @type {const} */ (["wire_mm", "inner_mm", "lap_mm", "metal", "kind"]).every(
      (k) => String(a?.[k] ?? "") === String(b?.[k] ?? ""),
    );
  const all = store.things("ring").filter((r) => r.wire_mm && r.inner_mm);
  const rings = all.filter(
    (r, i) => !alike(r, model.draft?.ring) && all.findIndex((other) => alike(other, r)) === i,
  );
  if (!model.draft?.fresh || !rings.length) return nothing;
  return html`<div class="choices" role="group" aria-label=${text.useEarlierRing}>
    ${rings.slice(-4).map((r) => html`<button type="button" @click=${() => copyRing(model, r)}>${text.asBefore}<br><strong>${text.wireAndInside(some(r.wire_mm), some(r.inner_mm))}</strong></button>`)}</div>`;
}

/** @type {Record<string, string>} */
const CUT = { overlap: text.cutWithOverlap, straight: text.cutStraight };

/** The same ring cut the other way, named as such. @param {import("../../answers").RingCut | null} other */
function otherWay(other) {
  if (!other) return nothing;
  const rings = other.rings_per_coil ? figure(other.rings_per_coil) : "";
  return html`<p class="hint" data-part="other-cut">${text.otherCut(CUT[other.cut], about(other.mandrel_mm), rings)}</p>`;
}

/** @param {import("../../answers").RingAnswer} answer the engine's, to `ring` */
function ringFigures(answer) {
  const rows = [
    [text.wireForOneRing, `${about(answer.wire_per_ring_mm)} mm`],
    [text.oneRingWeighs, weight(answer.mass_g)],
    [text.aspect, about(answer.aspect)],
    [
      answer.springback_measured ? text.mandrelSprungBack : text.mandrelNoSpringback,
      `${about(answer.mandrel_mm)} mm`,
    ],
    [text.ringsPerKg, figure(answer.rings_per_kg)],
    ...(answer.rings_per_coil ? [[text.ringsPerCoil, figure(answer.rings_per_coil)]] : []),
    ...(answer.rings_per_reel ? [[text.ringsPerReel, figure(answer.rings_per_reel)]] : []),
    ...(answer.rivet_wire_mm ? [[text.rivetWireForOne, `${about(answer.rivet_wire_mm)} mm`]] : []),
  ];
  return html`<dl class="figures">${rows.map(([name, value]) => html`<div><dt>${name}</dt><dd>${value}</dd></div>`)}</dl>
    ${otherWay(answer.other_cut)}`;
}

/** @param {FormModel} model */
function jointSummary(model) {
  const { ring } = model.answer;
  const kind = model.get("ring.kind") || "riveted";
  if (kind === "solid") return text.solidSummary;
  if (kind !== "riveted") return text.buttedSummary;
  return text.rivetedSummary(
    ring?.lap_mm ? some(ring.lap_mm) : "",
    ring ? CUT[ring.cut] : "",
    model.get("ring.rivet_kind") === "wedge",
  );
}

/** @param {FormModel} model @param {string} path of the ring */
export const cutField = (model, path) =>
  radios(
    model,
    `${path}.cut`,
    text.howCut,
    [
      ["overlap", text.withOverlap],
      ["straight", text.straight],
    ],
    { hint: text.cutHint, usual: "overlap" },
  );

/**
 * Asked where the metal's name does not say whether the wire is coated.
 * @param {FormModel} model
 * @param {string} path of the ring
 */
function coatingField(model, path) {
  if (model.get(`${path}.metal`) !== OWN_METAL && !model.get(`${path}.coating`)) return nothing;
  return radios(
    model,
    `${path}.coating`,
    text.isCoated,
    [
      ["bare", text.bare],
      ["coated", text.coated],
      ["", text.coatingUnknown],
    ],
    { hint: text.coatingHint },
  );
}

/** @param {FormModel} model @param {string} path of the ring */
export function ownMetal(model, path) {
  return html`${
    model.get(`${path}.metal`) === OWN_METAL
      ? html`<div class="pair">${field(model, `${path}.own_metal`, text.metalName, { longest: 40, hint: text.metalNameHint })}
    ${number(model, `${path}.density_g_cm3`, text.density, { unit: "g/cm³" })}</div>`
      : nothing
  }${coatingField(model, path)}`;
}

/** @param {FormModel} model */
function rivetFields(model) {
  const wedge = model.get("ring.rivet_kind") === "wedge";
  return html`<div class="pair">
      ${number(model, "ring.lap_mm", text.lapOverlap, { unit: "mm", hint: text.lapHint })}
      ${number(model, "ring.rivet_mm", wedge ? text.wedgeButt : text.rivetThickness, { unit: "mm", hint: text.rivetHint })}
      ${wedge ? number(model, "ring.rivet_point_mm", text.wedgePoint, { unit: "mm" }) : nothing}
    </div>
    ${cutField(model, "ring")}
    ${radios(model, "ring.rivet_kind", text.rivet, [
      ["round", text.rivetRound],
      ["wedge", text.rivetWedge],
    ])}`;
}

/** @param {FormModel} model */
const coilFields = (model) =>
  html`<details class="inset">
    <summary>${text.coilSummary}</summary>
    <div class="pair">
      ${number(model, "ring.mandrel_length_mm", text.coilLength, { unit: "mm", hint: text.coilLengthHint })}
      ${number(model, "ring.reel_kg", text.fullReel, { unit: "kg" })}
      ${number(model, "ring.kerf_mm", text.kerf, { unit: "mm", hint: text.kerfHint })}
      ${number(model, "ring.flat_mm", text.flattenedEnd, { unit: "mm", hint: text.flattenedEndHint })}
      ${number(model, "ring.mandrel_mm_used", text.usedMandrel, { unit: "mm" })}
      ${number(model, "ring.coil_inner_mm", text.sprungCoil, { unit: "mm", hint: text.sprungCoilHint })}
    </div>
  </details>`;

/**
 * Zinc-coated wire must not be heated: the warning, with the way out beside it.
 * @param {FormModel} model
 * @param {string} warning
 */
function zincWarning(model, warning) {
  const skipped = SOFTENINGS.every((step) => model.typed.piece.without.includes(step));
  return html`<div class="caution"><p>${warning}</p>${
    skipped
      ? html`<p>${text.softeningsLeftOut}</p>`
      : html`<button type="button" data-do="no-fire" @click=${() => skipSteps(model, SOFTENINGS, true)}>${text.leaveSofteningsOut}</button>`
  }</div>`;
}

/** @param {FormModel} model */
export function ringPart(model) {
  const { ring: answer } = model.answer;
  const riveted = (model.get("ring.kind") || "riveted") === "riveted";
  return html`<section class="sheet" aria-labelledby="h-ring"><h2 id="h-ring">${text.ring}</h2>
    ${earlierRings(model)}
    ${lengthsHint(model)}
    <div class="pair">
      ${number(model, "ring.wire_mm", text.wire, { unit: "mm", hint: text.wireHint })}
      ${number(model, "ring.inner_mm", text.inside, { unit: "mm", hint: text.insideHint })}
    </div>
    ${gaugesOfWire(model)}
    ${byGauge(model)}${byMandrel(model)}
    ${choice(model, "ring.metal", text.metal, metalChoices(model, model.typed.ring.metal ?? ""))}
    ${ownMetal(model, "ring")}
    <details class="inset"><summary>${jointSummary(model)}</summary>
      ${radios(model, "ring.kind", text.ring, [
        ["riveted", text.riveted],
        ["butted", text.butted],
        ["solid", text.solid],
      ])}
      ${riveted ? rivetFields(model) : nothing}
    </details>
    ${coilFields(model)}${otherErrors(model, "ring")}
    ${answer ? html`<div class="beside">${ringPicture(answer, model.typed.piece.rules.overlap)}${ringFigures(answer)}</div>` : nothing}
    ${(answer?.warnings ?? []).map((/** @type {string} */ w) => (isZincWarning(w) ? zincWarning(model, w) : html`<p class="advice">${w}</p>`))}
  </section>`;
}

// — the fabric —

/** @typedef {"relaxed" | "hang" | "flat" | "across"} State */
/** @type {State[]} */
const STATES = ["relaxed", "hang", "flat", "across"];

/** @type {[string, string][]} */
export const stateChoices = STATES.map((state) => [state, text.states[state]]);

/** @param {string} state */
export const stateName = (state) =>
  (text.states[/** @type {State} */ (state)] ?? state).toLowerCase();

/** @param {import("../../answers").FabricAnswer} answer the engine's, to `fabric` */
function statesTable(answer) {
  return html`<table class="states">
    <caption>${answer.basis === "swatch" ? text.statesFromSwatch : text.statesGuessed}</caption>
    <thead><tr><th scope="col">${text.state}</th><th scope="col" class="n">${text.alongDown}</th><th scope="col" class="n">${text.ringsPer100cm2}</th><th scope="col" class="n">kg/m²</th></tr></thead>
    <tbody>${STATES.map((state) => {
      const row = answer.states[state],
        chosen = state === answer.state;
      return html`<tr class=${chosen ? "chosen" : ""}><th scope="row">${chosen ? "▸ " : ""}${text.states[state]}</th><td class="n">${about(row.pitch_mm.column)} × ${about(row.pitch_mm.row)}</td>
        <td class="n">${figure(row.rings_per_100cm2)}</td><td class="n">${row.kg_per_m2 == null ? "–" : about(row.kg_per_m2)}</td></tr>`;
    })}</tbody></table>`;
}

/** @param {FormModel} model @param {string} path of the swatch in the draft */
export const swatchFields = (model, path) =>
  html`<div class="inset">
    <p class="hint">${text.swatchHint}</p>
    <div class="pair">
      ${whole(model, `${path}.columns`, text.swatchColumns)}
      ${number(model, `${path}.width_mm`, text.swatchMeasure, { unit: "mm" })}
      ${whole(model, `${path}.rows`, text.swatchRows)}
      ${number(model, `${path}.height_mm`, text.swatchMeasure, { unit: "mm" })}
    </div>
    ${radios(model, `${path}.swatch_state`, text.swatchState, stateChoices)}
  </div>`;

/** @param {FormModel} model */
export function fabricPart(model) {
  const answer = model.answer.fabric;
  const { state, swatch } = model.typed.fabric;
  const known = model.answer.ring?.warnings ?? [];
  return html`<details class="sheet" data-part="fabric"><summary><h2>${text.fabric(stateName(state), swatch)}</h2></summary>
    ${radios(model, "fabric.state", text.fabricState, stateChoices, { hint: text.stateMeans[/** @type {State} */ (state)] })}
    ${check(model, "fabric.swatch", text.haveSwatch, { hint: text.haveSwatchHint })}
    ${swatch ? swatchFields(model, "fabric") : nothing}
    ${otherErrors(model, "fabric")}
    ${
      answer
        ? html`${statesTable(answer)}${[
            ...answer.notes,
            ...answer.warnings.filter((/** @type {string} */ w) => !known.includes(w)),
          ].map((/** @type {string} */ note) => html`<p class="advice">${note}</p>`)}`
        : nothing
    }
  </details>`;
}

// The ring of a piece (wire, inside, lap, metal, rivet) and the fabric it makes: how it lies when it is measured.
import { html, nothing } from "../../vendor/lit-html.js";
import { about, figure, weight } from "../../format/numbers.js";
import { keyboard, understood } from "../../format/parse-length.js";
import { some } from "../../format/words.js";
import { ringPicture } from "../../pictures/ring.js";
import { store } from "../../store/store.js";
import { askGauge, skipSteps, takeRing } from "./actions.js";
import { choice, field, lengthsHint, number, radios, restOf, tick, whole } from "./fields.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */

export const OWN_METAL = "";

/** What the engine says of wire that is not to be heated. @param {string} text */
export const zincCaution = (text) => text.includes("never heated");

/** Metals to choose from; the one chosen stands there before the engine has named them. @param {FormModel} model @param {string} now @returns {[string, string][]} */
export function metalChoices({ answer: { metals } }, now) {
  const listed =
    now === OWN_METAL || metals.some((/** @type {any} */ m) => m.name === now)
      ? metals
      : [...metals, { name: now, density_g_cm3: NaN }];
  return [
    ...listed.map(
      (/** @type {any} */ m) =>
        /** @type {[string, string]} */ ([
          m.name,
          m.density_g_cm3 ? `${m.name}, ${about(m.density_g_cm3)} g/cm³` : m.name,
        ]),
    ),
    [OWN_METAL, "other: own density"],
  ];
}

/** The same number is another wire in each system, so all of them are always in sight. @param {FormModel} model */
function byGauge(model) {
  const asked = model.gauge;
  return html`<details class="inset">
    <summary>I know only the gauge number</summary>
    <div class="field">
      <label for="f-gauge">Gauge number</label>
      <input id="f-gauge" inputmode="numeric" maxlength="4" autocomplete="off" aria-invalid=${asked.why ? "true" : "false"} aria-describedby="f-gauge-hint"
        .value=${asked.typed} @input=${(/** @type {any} */ e) => askGauge(model, e.target.value)}>
      ${asked.why ? html`<p class="bad">${asked.why}</p>` : nothing}
      <p class="hint" id="f-gauge-hint">One number is a different wire in each system. Take the one your seller uses, or measure the wire.</p>
    </div>
    <div class="choices">${asked.systems.map(
      (
        /** @type {any} */ s,
      ) => html`<button type="button" @click=${() => model.set("ring.wire_mm", String(Number(s.wire_mm.toFixed(3))))}>
      ${s.name}<br><strong>${about(s.wire_mm)} mm</strong></button>`,
    )}</div>
  </details>`;
}

/** What a mandrel at hand gives, by the way it is cut, and let go. @param {FormModel} model */
function byMandrel(model) {
  const { inner_mm, springback_measured, why } = model.wound ?? {};
  const take = String(Number((inner_mm ?? 0).toFixed(2)));
  return html`<details class="inset"><summary>I know only the mandrel</summary>
    <div class="field"><label for="f-mandrel">Mandrel <span class="unit">mm</span> <span class="mm">${understood(model.mandrel)}</span></label>
      <input id="f-mandrel" inputmode=${keyboard(store.own("letters", false), model.mandrel)} maxlength="24" autocomplete="off" aria-invalid=${why ? "true" : "false"} aria-describedby="f-mandrel-hint"
        .value=${model.mandrel} @input=${(/** @type {any} */ e) => {
          model.mandrel = e.target.value;
          model.tell();
          model.ask();
        }}>
      ${why ? html`<p class="bad">${why}</p>` : nothing}
      <p class="hint" id="f-mandrel-hint">${springback_measured ? "With the spring-back of your coil." : "Without spring-back: measure a coil below to have it in."} ${model.answer.ring?.cut === "straight" ? "Lapping draws the ring in." : "Cut with the overlap, the ring is as wide as its coil."}</p></div>
    ${inner_mm ? html`<div class="choices"><button type="button" data-do="mandrel" @click=${() => model.set("ring.inner_mm", take)}>Take the inside it gives:<br><strong>${take} mm</strong></button></div>` : nothing}
  </details>`;
}

/** The system's name without what stands in brackets. @param {string} name */
const short = (name) => name.replace(/ \(.*\)/, "");

/** @param {FormModel} model */
function gaugesOf(model) {
  const systems = model.answer.gauge?.systems ?? [];
  if (!systems.length) return nothing;
  return html`<p class="hint">By gauge: ${systems.map((/** @type {any} */ s) => `${short(s.name)} ${s.gauge}${s.close ? "" : ` (${about(s.wire_mm)} mm)`}`).join(", ")}.</p>`;
}

/** Rings already planned with, to begin from. @param {FormModel} model */
function known(model) {
  const alike = (/** @type {any} */ a, /** @type {any} */ b) =>
    ["wire_mm", "inner_mm", "lap_mm", "metal", "kind"].every(
      (k) => String(a[k] ?? "") === String(b[k] ?? ""),
    );
  const all = store.things("ring").filter((r) => r.wire_mm && r.inner_mm);
  const rings = all.filter(
    (r, i) => !alike(r, model.draft?.ring) && all.findIndex((other) => alike(other, r)) === i,
  );
  if (!model.draft?.fresh || !rings.length) return nothing;
  return html`<div class="choices" role="group" aria-label="Take a ring planned before">
    ${rings.slice(-4).map((r) => html`<button type="button" @click=${() => takeRing(model, r)}>As before:<br><strong>${some(r.wire_mm)} mm wire, ${some(r.inner_mm)} inside</strong></button>`)}</div>`;
}

/** @type {Record<string, string>} */
const CUT = { overlap: "cut with the overlap", straight: "cut straight" };

/** The same ring cut the other way, named as such. @param {any} other */
function otherWay(other) {
  if (!other) return nothing;
  const rings = other.rings_per_coil
    ? ` and ${figure(other.rings_per_coil)} rings from a coil`
    : "";
  return html`<p class="hint" data-part="other-cut">The other way, ${CUT[other.cut]}: mandrel ${about(other.mandrel_mm)} mm${rings}.</p>`;
}

/** @param {any} said the engine's answer `ring` */
function takes(said) {
  const rows = [
    ["wire for one ring", `${about(said.wire_per_ring_mm)} mm`],
    ["one ring weighs", weight(said.mass_g)],
    ["inside, in wires", about(said.aspect)],
    [
      said.springback_measured ? "mandrel, spring-back in" : "mandrel, no spring-back",
      `${about(said.mandrel_mm)} mm`,
    ],
    ["rings in a kilogram", figure(said.rings_per_kg)],
    ...(said.rings_per_coil ? [["rings from a coil", figure(said.rings_per_coil)]] : []),
    ...(said.rings_per_reel ? [["rings from a reel", figure(said.rings_per_reel)]] : []),
    ...(said.rivet_wire_mm ? [["rivet wire for one", `${about(said.rivet_wire_mm)} mm`]] : []),
  ];
  return html`<dl class="figures">${rows.map(([word, value]) => html`<div><dt>${word}</dt><dd>${value}</dd></div>`)}</dl>
    ${otherWay(said.other_cut)}`;
}

/** @param {FormModel} model */
function joint(model) {
  const { ring } = model.answer;
  if ((model.get("ring.kind") ?? "riveted") !== "riveted")
    return model.get("ring.kind") === "solid" ? "Closed rings are solid" : "Butted, without a lap";
  return `Riveted${ring?.lap_mm ? `, lap ${some(ring.lap_mm)} mm` : ""}${ring ? `, ${CUT[ring.cut]}` : ""}, ${model.get("ring.rivet_kind") === "wedge" ? "wedge" : "round"} rivet`;
}

/** @param {FormModel} model @param {string} path of the ring */
export function cutting(model, path) {
  const hint =
    "With the overlap: the coil is as wide as the ring, and each ring takes more than a turn; notched cutters work so. Straight: along one line, a ring a turn, and lapping then draws the ring in, so the mandrel is thicker.";
  return radios(
    model,
    `${path}.cut`,
    "Rings are cut off the coil",
    [
      ["overlap", "With the overlap"],
      ["straight", "Straight"],
    ],
    { hint, otherwise: "overlap" },
  );
}

/** Where the metal's name does not tell, the maker is asked. @param {FormModel} model @param {string} path of the ring */
export function coating(model, path) {
  const ring = model.get(path);
  if (ring.metal !== OWN_METAL && !ring.coating) return nothing;
  return radios(
    model,
    `${path}.coating`,
    "Is this wire coated?",
    [
      ["bare", "No, it is bare"],
      ["coated", "Yes: zinc, galvanised"],
      ["", "I do not know"],
    ],
    { hint: "Wire not known to be bare counts as zinc-coated: its softening is left out." },
  );
}

/** @param {FormModel} model @param {string} path of the ring */
export function ownMetal(model, path) {
  return html`${
    model.get(`${path}.metal`) === OWN_METAL
      ? html`<div class="pair">${field(model, `${path}.own_metal`, "Its name", { longest: 40, hint: "As the seller writes it." })}
    ${number(model, `${path}.density_g_cm3`, "Density", { unit: "g/cm³" })}</div>`
      : nothing
  }${coating(model, path)}`;
}

/** @param {FormModel} model */
function rivet(model) {
  const wedge = model.get("ring.rivet_kind") === "wedge";
  return html`<div class="pair">
      ${number(model, "ring.lap_mm", "Lap (overlap)", { unit: "mm", hint: "Left empty: twice the wire." })}
      ${number(model, "ring.rivet_mm", wedge ? "Wedge at its butt" : "Rivet thickness", { unit: "mm", hint: "Left empty: its wire is not reckoned." })}
      ${wedge ? number(model, "ring.rivet_point_mm", "Wedge at its point", { unit: "mm" }) : nothing}
    </div>
    ${cutting(model, "ring")}
    ${radios(model, "ring.rivet_kind", "Rivet", [
      ["round", "Round, from wire"],
      ["wedge", "Wedge, from strip"],
    ])}`;
}

/** @param {FormModel} model */
function rarer(model) {
  return html`<details class="inset">
    <summary>Coil, reel, kerf, spring-back</summary>
    <div class="pair">
      ${number(model, "ring.mandrel_length_mm", "Length of a coil on the mandrel", { unit: "mm", hint: "So that coils can be counted." })}
      ${number(model, "ring.reel_kg", "Wire on a full reel", { unit: "kg" })}
      ${number(model, "ring.kerf_mm", "What the saw takes", { unit: "mm", hint: "Snips take nothing." })}
      ${number(model, "ring.flat_mm", "Thickness of one flattened end", { unit: "mm", hint: "Two of them are what the rivet goes through." })}
      ${number(model, "ring.mandrel_mm_used", "A mandrel you have wound on", { unit: "mm" })}
      ${number(model, "ring.coil_inner_mm", "That coil, let go, inside", { unit: "mm", hint: "The two together give your wire's spring-back." })}
    </div>
  </details>`;
}

const FIRE = ["soften", "soften_again"];

/** Zinc-coated wire and fire: said, with the way out beside it. @param {FormModel} model @param {string} text */
function zinc(model, text) {
  const left = FIRE.every((step) => model.get("piece.without").includes(step));
  return html`<div class="caution"><p>${text}</p>${
    left
      ? html`<p>Both softenings are left out of this piece.</p>`
      : html`<button type="button" data-do="no-fire" @click=${() => skipSteps(model, FIRE, true)}>Leave both softenings out</button>`
  }</div>`;
}

/** @param {FormModel} model */
export function ringPart(model) {
  const { ring: said } = model.answer;
  const riveted = (model.get("ring.kind") ?? "riveted") === "riveted";
  const parts = html`
    ${known(model)}
    ${lengthsHint(() => model.tell())}
    <div class="pair">
      ${number(model, "ring.wire_mm", "Wire", { unit: "mm", hint: "Measure the bare wire." })}
      ${number(model, "ring.inner_mm", "Inside", { unit: "mm", hint: "Across the hole of the finished ring." })}
    </div>
    ${gaugesOf(model)}
    ${byGauge(model)}${byMandrel(model)}
    ${choice(model, "ring.metal", "Metal", metalChoices(model, model.get("ring.metal")))}
    ${ownMetal(model, "ring")}
    <details class="inset"><summary>${joint(model)}</summary>
      ${radios(model, "ring.kind", "Ring", [
        ["riveted", "Riveted"],
        ["butted", "Butted"],
        ["solid", "Solid"],
      ])}
      ${riveted ? rivet(model) : nothing}
    </details>
    ${rarer(model)}`;
  return html`<section class="sheet" aria-labelledby="h-ring"><h2 id="h-ring">Ring</h2>
    ${parts}${restOf(model, "ring")}
    ${said ? html`<div class="beside">${ringPicture(said, model.get("piece.rules.overlap"))}${takes(said)}</div>` : nothing}
    ${(said?.warnings ?? []).map((/** @type {string} */ w) => (zincCaution(w) ? zinc(model, w) : html`<p class="advice">${w}</p>`))}
  </section>`;
}

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

/** @param {FormModel} model @param {string} path of the swatch in the draft */
export function swatchFields(model, path) {
  return html`<div class="inset">
    <p class="hint">Weave at least ten columns and ten rows of your own rings. Count from one ring to the same side of another: the count is the steps between them.</p>
    <div class="pair">
      ${whole(model, `${path}.columns`, "Rings along the row")}
      ${number(model, `${path}.width_mm`, "They measure", { unit: "mm" })}
      ${whole(model, `${path}.rows`, "Rows down")}
      ${number(model, `${path}.height_mm`, "They measure", { unit: "mm" })}
    </div>
    ${radios(
      model,
      `${path}.swatch_state`,
      "The swatch was measured",
      STATES.map(([key, word]) => [key, word]),
    )}
  </div>`;
}

/** @param {FormModel} model */
export function fabricPart(model) {
  const said = model.answer.fabric;
  const meaning = STATES.find(([key]) => key === model.get("fabric.state"))?.[2];
  return html`<details class="sheet" data-part="fabric"><summary><h2>Fabric: ${stateWord(model.get("fabric.state"))}, ${model.get("fabric.swatch") ? "by your swatch" : "a guess"}</h2></summary>
    ${radios(
      model,
      "fabric.state",
      "Your measures are of the fabric",
      STATES.map(([key, name]) => [key, name]),
      { hint: meaning },
    )}
    ${tick(model, "fabric.swatch", "I have measured a swatch of these rings", { hint: "Surer than any guess: lap, rivets and hands all change the fabric." })}
    ${model.get("fabric.swatch") ? swatchFields(model, "fabric") : nothing}
    ${restOf(model, "fabric")}
    ${
      said
        ? html`${compared(said)}${said.notes.map((/** @type {string} */ n) => html`<p class="advice">${n}</p>`)}
      ${said.warnings.filter((/** @type {string} */ w) => !(model.answer.ring?.warnings ?? []).includes(w)).map((/** @type {string} */ w) => html`<p class="advice">${w}</p>`)}`
        : nothing
    }
  </details>`;
}

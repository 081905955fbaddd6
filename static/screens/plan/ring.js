// The ring of a piece: wire by millimetre or by gauge, inside, lap, metal, rivet, and what one ring takes.
import { html, nothing } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { about, figure, weight } from "../../format/numbers.js";
import { keyboard, understood } from "../../format/parse-length.js";
import { some } from "../../format/words.js";
import { ringPicture } from "../../pictures/ring.js";
import { askGauge, skipSteps, takeRing } from "./actions.js";
import { choice, field, lengthsHint, number, radios, restOf } from "./fields.js";

/** @typedef {import("./form-model.js").PlanDesk} PlanDesk */

export const OWN_METAL = "";

/** What the engine says of wire that is not to be heated. @param {string} text */
export const zincCaution = (text) => text.includes("never heated");

/** Metals to choose from; the one chosen stands there before the engine has named them. @param {PlanDesk} desk @param {string} now @returns {[string, string][]} */
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

/** The same number is another wire in each system, so all of them are always in sight. @param {PlanDesk} desk */
function byGauge(desk) {
  const asked = desk.gauge;
  return html`<details class="inset">
    <summary>I know only the gauge number</summary>
    <div class="field">
      <label for="f-gauge">Gauge number</label>
      <input id="f-gauge" inputmode="numeric" maxlength="4" autocomplete="off" aria-invalid=${asked.why ? "true" : "false"} aria-describedby="f-gauge-hint"
        .value=${asked.typed} @input=${(/** @type {any} */ e) => askGauge(desk, e.target.value)}>
      ${asked.why ? html`<p class="bad">${asked.why}</p>` : nothing}
      <p class="hint" id="f-gauge-hint">One number is a different wire in each system. Take the one your seller uses, or measure the wire.</p>
    </div>
    <div class="choices">${asked.systems.map(
      (
        /** @type {any} */ s,
      ) => html`<button type="button" @click=${() => desk.set("ring.wire_mm", String(Number(s.wire_mm.toFixed(3))))}>
      ${s.name}<br><strong>${about(s.wire_mm)} mm</strong></button>`,
    )}</div>
  </details>`;
}

/** What a mandrel at hand gives, by the way it is cut, and let go. @param {PlanDesk} desk */
function byMandrel(desk) {
  const { inner_mm, springback_measured, why } = desk.wound ?? {};
  const take = String(Number((inner_mm ?? 0).toFixed(2)));
  return html`<details class="inset"><summary>I know only the mandrel</summary>
    <div class="field"><label for="f-mandrel">Mandrel <span class="unit">mm</span> <span class="mm">${understood(desk.mandrel)}</span></label>
      <input id="f-mandrel" inputmode=${keyboard(store.own("letters", false), desk.mandrel)} maxlength="24" autocomplete="off" aria-invalid=${why ? "true" : "false"} aria-describedby="f-mandrel-hint"
        .value=${desk.mandrel} @input=${(/** @type {any} */ e) => {
          desk.mandrel = e.target.value;
          desk.tell();
          desk.ask();
        }}>
      ${why ? html`<p class="bad">${why}</p>` : nothing}
      <p class="hint" id="f-mandrel-hint">${springback_measured ? "With the spring-back of your coil." : "Without spring-back: measure a coil below to have it in."} ${desk.answer.ring?.cut === "straight" ? "Lapping draws the ring in." : "Cut with the overlap, the ring is as wide as its coil."}</p></div>
    ${inner_mm ? html`<div class="choices"><button type="button" data-do="mandrel" @click=${() => desk.set("ring.inner_mm", take)}>Take the inside it gives:<br><strong>${take} mm</strong></button></div>` : nothing}
  </details>`;
}

/** The system's name without what stands in brackets. @param {string} name */
const short = (name) => name.replace(/ \(.*\)/, "");

/** @param {PlanDesk} desk */
function gaugesOf(desk) {
  const systems = desk.answer.gauge?.systems ?? [];
  if (!systems.length) return nothing;
  return html`<p class="hint">By gauge: ${systems.map((/** @type {any} */ s) => `${short(s.name)} ${s.gauge}${s.close ? "" : ` (${about(s.wire_mm)} mm)`}`).join(", ")}.</p>`;
}

/** Rings already planned with, to begin from. @param {PlanDesk} desk */
function known(desk) {
  const alike = (/** @type {any} */ a, /** @type {any} */ b) =>
    ["wire_mm", "inner_mm", "lap_mm", "metal", "kind"].every(
      (k) => String(a[k] ?? "") === String(b[k] ?? ""),
    );
  const all = store.things("ring").filter((r) => r.wire_mm && r.inner_mm);
  const rings = all.filter(
    (r, i) => !alike(r, desk.draft?.ring) && all.findIndex((other) => alike(other, r)) === i,
  );
  if (!desk.draft?.fresh || !rings.length) return nothing;
  return html`<div class="choices" role="group" aria-label="Take a ring planned before">
    ${rings.slice(-4).map((r) => html`<button type="button" @click=${() => takeRing(desk, r)}>As before:<br><strong>${some(r.wire_mm)} mm wire, ${some(r.inner_mm)} inside</strong></button>`)}</div>`;
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

/** @param {PlanDesk} desk */
function joint(desk) {
  const { ring } = desk.answer;
  if ((desk.get("ring.kind") ?? "riveted") !== "riveted")
    return desk.get("ring.kind") === "solid" ? "Closed rings are solid" : "Butted, without a lap";
  return `Riveted${ring?.lap_mm ? `, lap ${some(ring.lap_mm)} mm` : ""}${ring ? `, ${CUT[ring.cut]}` : ""}, ${desk.get("ring.rivet_kind") === "wedge" ? "wedge" : "round"} rivet`;
}

/** @param {PlanDesk} desk @param {string} path of the ring */
export function cutting(desk, path) {
  const hint =
    "With the overlap: the coil is as wide as the ring, and each ring takes more than a turn; notched cutters work so. Straight: along one line, a ring a turn, and lapping then draws the ring in, so the mandrel is thicker.";
  return radios(
    desk,
    `${path}.cut`,
    "Rings are cut off the coil",
    [
      ["overlap", "With the overlap"],
      ["straight", "Straight"],
    ],
    { hint, otherwise: "overlap" },
  );
}

/** Where the metal's name does not tell, the maker is asked. @param {PlanDesk} desk @param {string} path of the ring */
export function coating(desk, path) {
  const ring = desk.get(path);
  if (ring.metal !== OWN_METAL && !ring.coating) return nothing;
  return radios(
    desk,
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

/** @param {PlanDesk} desk @param {string} path of the ring */
export function ownMetal(desk, path) {
  return html`${
    desk.get(`${path}.metal`) === OWN_METAL
      ? html`<div class="pair">${field(desk, `${path}.own_metal`, "Its name", { longest: 40, hint: "As the seller writes it." })}
    ${number(desk, `${path}.density_g_cm3`, "Density", { unit: "g/cm³" })}</div>`
      : nothing
  }${coating(desk, path)}`;
}

/** @param {PlanDesk} desk */
function rivet(desk) {
  const wedge = desk.get("ring.rivet_kind") === "wedge";
  return html`<div class="pair">
      ${number(desk, "ring.lap_mm", "Lap (overlap)", { unit: "mm", hint: "Left empty: twice the wire." })}
      ${number(desk, "ring.rivet_mm", wedge ? "Wedge at its butt" : "Rivet thickness", { unit: "mm", hint: "Left empty: its wire is not reckoned." })}
      ${wedge ? number(desk, "ring.rivet_point_mm", "Wedge at its point", { unit: "mm" }) : nothing}
    </div>
    ${cutting(desk, "ring")}
    ${radios(desk, "ring.rivet_kind", "Rivet", [
      ["round", "Round, from wire"],
      ["wedge", "Wedge, from strip"],
    ])}`;
}

/** @param {PlanDesk} desk */
function rarer(desk) {
  return html`<details class="inset">
    <summary>Coil, reel, kerf, spring-back</summary>
    <div class="pair">
      ${number(desk, "ring.mandrel_length_mm", "Length of a coil on the mandrel", { unit: "mm", hint: "So that coils can be counted." })}
      ${number(desk, "ring.reel_kg", "Wire on a full reel", { unit: "kg" })}
      ${number(desk, "ring.kerf_mm", "What the saw takes", { unit: "mm", hint: "Snips take nothing." })}
      ${number(desk, "ring.flat_mm", "Thickness of one flattened end", { unit: "mm", hint: "Two of them are what the rivet goes through." })}
      ${number(desk, "ring.mandrel_mm_used", "A mandrel you have wound on", { unit: "mm" })}
      ${number(desk, "ring.coil_inner_mm", "That coil, let go, inside", { unit: "mm", hint: "The two together give your wire's spring-back." })}
    </div>
  </details>`;
}

const FIRE = ["soften", "soften_again"];

/** Zinc-coated wire and fire: said, with the way out beside it. @param {PlanDesk} desk @param {string} text */
function zinc(desk, text) {
  const left = FIRE.every((step) => desk.get("piece.without").includes(step));
  return html`<div class="caution"><p>${text}</p>${
    left
      ? html`<p>Both softenings are left out of this piece.</p>`
      : html`<button type="button" data-do="no-fire" @click=${() => skipSteps(desk, FIRE, true)}>Leave both softenings out</button>`
  }</div>`;
}

/** @param {PlanDesk} desk */
export function ringPart(desk) {
  const { ring: said } = desk.answer;
  const riveted = (desk.get("ring.kind") ?? "riveted") === "riveted";
  const parts = html`
    ${known(desk)}
    ${lengthsHint(() => desk.tell())}
    <div class="pair">
      ${number(desk, "ring.wire_mm", "Wire", { unit: "mm", hint: "Measure the bare wire." })}
      ${number(desk, "ring.inner_mm", "Inside", { unit: "mm", hint: "Across the hole of the finished ring." })}
    </div>
    ${gaugesOf(desk)}
    ${byGauge(desk)}${byMandrel(desk)}
    ${choice(desk, "ring.metal", "Metal", metalChoices(desk, desk.get("ring.metal")))}
    ${ownMetal(desk, "ring")}
    <details class="inset"><summary>${joint(desk)}</summary>
      ${radios(desk, "ring.kind", "Ring", [
        ["riveted", "Riveted"],
        ["butted", "Butted"],
        ["solid", "Solid"],
      ])}
      ${riveted ? rivet(desk) : nothing}
    </details>
    ${rarer(desk)}`;
  return html`<section class="sheet" aria-labelledby="h-ring"><h2 id="h-ring">Ring</h2>
    ${parts}${restOf(desk, "ring")}
    ${said ? html`<div class="beside">${ringPicture(said, desk.get("piece.rules.overlap"))}${takes(said)}</div>` : nothing}
    ${(said?.warnings ?? []).map((/** @type {string} */ w) => (zincCaution(w) ? zinc(desk, w) : html`<p class="advice">${w}</p>`))}
  </section>`;
}

// The panels of a piece: each by its measures, with what the engine makes of them and the sizes near it.
import { html, nothing } from "../../vendor/lit-html.js";
import { about, figure } from "../../format/numbers.js";
import { goesRound, shapePicture } from "../../pictures/shape.js";
import { addPanel, dropPanel, takeSize } from "./actions.js";
import { EITHER, FORMS } from "../../format/panel-forms.js";
import { choice, field, radios, restOf, whole } from "./fields.js";
import { measures } from "./measures.js";
import { ownPart } from "./panel-overrides.js";
import { zincCaution } from "./ring.js";
import { rowsPart } from "./rows.js";

/** @typedef {import("./form-model.js").PlanDesk} PlanDesk */

/** @type {Record<string, string>} */
const SIZE = {
  width_mm: "wide",
  height_mm: "high",
  around_mm: "around",
  length_mm: "long",
  from_mm: "at the start",
  to_mm: "at the end",
  neck_mm: "at the neck",
  lower_mm: "at the lower edge",
  slant_mm: "from neck to edge",
};

/** @param {Record<string, number>} size */
const sizeWords = (size) =>
  Object.keys(SIZE)
    .filter((k) => size[k])
    .map((k) => `${figure(size[k])} mm ${SIZE[k]}`)
    .join(", ");

/** Left-over rings are slow work: the nearest sizes without any, one touch each. @param {PlanDesk} desk @param {number} i @param {any} said */
function nearer(desk, i, said) {
  const offers = said?.suggest ?? [];
  if (!offers.length) return nothing;
  return html`<div class="choices" role="group" aria-label="Nearest sizes that need no left-over rings">
    <p class="hint">Nearest sizes without left-over rings:</p>
    ${offers.map(
      (
        /** @type {any} */ offer,
      ) => html`<button type="button" data-do="size" @click=${() => takeSize(desk, i, offer)}>
      ${offer.columns ? `${figure(offer.columns)} columns, ` : ""}${figure(offer.rows)} rows${sizeWords(offer) ? html`<br><strong>${sizeWords(offer)}</strong>` : nothing}</button>`,
    )}</div>`;
}

/** @param {any} said the engine's answer for this panel */
function counted(said) {
  const rows = [
    ["rings", said.rings],
    ["closed first", said.closed],
    ["riveted in place", said.open],
    ["units", said.units],
    ["chains", said.chains],
    ["unit joins", said.unit_joins],
    ["chain joins", said.chain_joins],
    ["links", said.links],
  ].filter(([, n]) => n != null);
  return html`<dl class="figures">${rows.map(([word, n]) => html`<div><dt>${word}</dt><dd>${figure(n)}</dd></div>`)}</dl>`;
}

/** @param {PlanDesk} desk @param {number} i @param {boolean} drawn whether the picture stands here */
function panelPart(desk, i, drawn) {
  const path = `panels.${i}`;
  const panel = desk.get(path);
  const said = desk.answer.panels[i];
  const counted_only = ["count", "items"].includes(panel.form);
  const several = desk.draft && desk.draft.panels.length > 1;
  const shaped = !EITHER.includes(panel.form) && !counted_only;
  const form = choice(
    desk,
    `${path}.form`,
    "Shape",
    Object.entries(FORMS).map(([key, f]) => [key, f.word]),
  );
  const parts = html`${several ? field(desk, `${path}.name`, "Name", { longest: 80 }) : nothing}
    ${form}${measures(desk, i)}
    ${
      EITHER.includes(panel.form)
        ? radios(
            desk,
            `${path}.rows_run`,
            "On the body, rows run",
            [
              ["round", "Round"],
              ["down", "Down"],
            ],
            { hint: "Fabric stretches along its rows." },
          )
        : nothing
    }
    ${ownPart(desk, i, said, counted_only)}
    ${
      counted_only
        ? nothing
        : html`<details class="inset"><summary>${shaped ? "Chains and changes" : "Chains"}</summary><div class="pair">
      ${whole(desk, `${path}.units_per_chain`, "Units in a chain, at most", { hint: "Left empty, a chain runs the whole row." })}
      ${shaped ? whole(desk, `${path}.max_change`, "Most changes in a closed row", { hint: "Left empty, as many as the shape asks." }) : nothing}</div></details>`
    }`;
  const inside = html`${parts}${restOf(desk, path)}
    ${said ? html`${drawn ? shapePicture(said, panel) : nothing}${several ? counted(said) : nothing}${leftOver(desk, said)}${rowsPart(said, goesRound(panel))}` : nothing}
    ${nearer(desk, i, said)}
    ${several ? html`<button type="button" @click=${() => dropPanel(desk, i)}>Take this panel out</button>` : nothing}`;
  return html`<section class="sheet panel" aria-label=${several ? `Panel ${i + 1}` : "Panel"}>${several ? folded(desk, i, said, inside) : inside}</section>`;
}

/** One of several panels folds to its name and what it comes to. @param {PlanDesk} desk @param {number} i @param {any} said @param {unknown} inside */
function folded(desk, i, said, inside) {
  const panel = desk.get(`panels.${i}`);
  const toggle = (/** @type {any} */ e) => {
    if (e.target === e.currentTarget) desk.unfold(panel.id, e.target.open);
  };
  const wrong = desk.faults.some(({ path }) => path.startsWith(`panels.${i}.`));
  const size = said?.size_mm ? `; ${sizeWords(said.size_mm)}` : "";
  return html`<details ?open=${desk.unfolded.has(panel.id)} @toggle=${toggle}><summary><span><h3>${panel.name || `Panel ${i + 1}`}</h3>
    <span class="soft">${wrong ? html`<span class="stop">▲ something is wrong in it</span>` : said ? `${figure(said.rings)} rings${size}` : "not in the totals yet"}</span></span></summary>${inside}</details>`;
}

/** What ring and fabric already say. @param {PlanDesk} desk @returns {string[]} */
const elsewhere = ({ answer: { ring, fabric } }) => [
  ...(ring?.warnings ?? []),
  ...(fabric?.warnings ?? []),
  ...(fabric?.notes ?? []),
];

/** @param {PlanDesk} desk @param {any} said */
function leftOver(desk, said) {
  if (!said.rows.length) return nothing;
  const reached = said.size_mm ? `Comes to ${sizeWords(said.size_mm)}. ` : "";
  const off =
    said.error_mm >= 0.05
      ? `No closed row is further than ${about(said.error_mm, 2)} mm from the width asked. `
      : "";
  const n = said.left_over.closed + said.left_over.open;
  return html`<p>${reached}${off}${n ? `${figure(n)} rings are left over, outside whole units.` : "No rings are left over."}</p>
    ${[...said.warnings, ...said.notes].filter((/** @type {string} */ w) => !elsewhere(desk).includes(w)).map((/** @type {string} */ w) => (zincCaution(w) ? html`<div class="caution"><p>${w}</p></div>` : html`<p class="advice">${w}</p>`))}`;
}

/** @param {PlanDesk} desk @param {boolean} drawn */
export function panelsPart(desk, drawn) {
  return html`<h2>${desk.draft && desk.draft.panels.length > 1 ? "Panels" : "Panel"}</h2>
    ${desk.draft?.panels.map((_, i) => panelPart(desk, i, drawn))}
    <button type="button" class="after" @click=${() => addPanel(desk)}>Add another panel</button>`;
}

/** On a desk the pictures stand beside the form. @param {PlanDesk} desk */
export function picturesPart(desk) {
  const panels = desk.draft?.panels ?? [];
  const drawn = panels
    .map((panel, i) => ({ panel, said: desk.answer.panels[i] }))
    .filter(({ said }) => said?.rows.length > 1);
  if (!drawn.length) return nothing;
  return html`<section class="sheet drawn" aria-label="Drawn to scale">${drawn.map(({ panel, said }) => html`<div>${panels.length > 1 ? html`<h3>${panel.name}</h3>` : nothing}${shapePicture(said, panel)}</div>`)}</section>`;
}

// The panels of a piece: the measures of each, what it has of its own, its rows, and the sizes near it.
import { html, nothing } from "../../vendor/lit-html.js";
import { about, figure } from "../../format/numbers.js";
import { EITHER, FORMS } from "../../format/panel-forms.js";
import { typedLength } from "../../format/parse-length.js";
import { several, some } from "../../format/words.js";
import { goesRound, shapePicture } from "../../pictures/shape.js";
import { addPanel, dropPanel, ownRing, ownSwatch, takeSize } from "./actions.js";
import { choice, field, number, radios, restOf, tick, whole } from "./fields.js";
import {
  cutting,
  metalChoices,
  ownMetal,
  STATES,
  stateWord,
  swatchFields,
  zincCaution,
} from "./ring.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */

/** @type {Record<string, [string, string, string?]>} measure: its words, its unit, what it means */
const MEASURES = {
  width_mm: ["Width", "mm", "Along the rows."],
  height_mm: ["Height", "mm", "From the first row to the last."],
  columns: ["Columns", "rings", "Rings in a closed row; an even number makes whole units."],
  rows: ["Rows", "rows", "3, 7, 11, 15, 19 … need no left-over row."],
  around_mm: ["Around", "mm", "The whole way round."],
  length_mm: ["Length", "mm"],
  from_mm: ["At the start", "mm"],
  to_mm: ["At the end", "mm"],
  neck_mm: ["Around the neck", "mm"],
  slant_mm: ["From neck to edge", "mm", "Along the fabric, not straight down."],
  angle_deg: ["Slope", "degrees", "90 lies flat like a plate, 45 falls like a cone."],
  rings: ["Rings in all", "rings", "No rows and no size are known of it."],
  open: ["Of them riveted in place", "rings"],
};
const ROUND = { from_mm: ["Around at the start", "mm"], to_mm: ["Around at the end", "mm"] };

/** @param {FormModel} model @param {number} i @param {string} name */
function measure(model, i, name) {
  const round = model.get(`panels.${i}.form`) === "sleeve";
  const [label, unit, hint] = (round && /** @type {any} */ (ROUND)[name]) || MEASURES[name];
  const input = ["columns", "rows", "rings", "open"].includes(name) ? whole : number;
  return input(model, `panels.${i}.m.${name}`, label, { unit, hint });
}

/** @param {FormModel} model @param {number} i */
function outline(model, i) {
  const path = `panels.${i}.m.widths`;
  const pairs = model.get(path);
  const write = (/** @type {any[]} */ next) => model.set(path, next);
  return html`<div class="inset"><p class="hint">From the start edge to the end: how far along, and how wide there.</p>
    ${pairs.map(
      (/** @type {any} */ _, /** @type {number} */ k) => html`<div class="couple">
      ${number(model, `${path}.${k}.0`, "At", { unit: "mm" })}${number(model, `${path}.${k}.1`, "Width", { unit: "mm" })}
      ${pairs.length > 2 ? html`<button type="button" class="level" @click=${() => write(pairs.toSpliced(k, 1))}>Take out</button>` : nothing}</div>`,
    )}
    <p><button type="button" @click=${() => write([...pairs, ["", ""]])}>Add a width</button></p>
    ${tick(model, `panels.${i}.m.round`, "It is a tube: the widths are all the way round")}</div>`;
}

/** @param {FormModel} model @param {number} i */
function itemCounts(model, i) {
  const steps = model.answer.table?.steps ?? [];
  return html`<div class="pair">${FORMS.items.items.map((step) => {
    const row = steps.find((/** @type {any} */ s) => s.step === step);
    return whole(model, `panels.${i}.m.items.${step}`, row?.name ?? step, { unit: row?.items });
  })}</div>`;
}

/** The measures its shape asks for. @param {FormModel} model @param {number} i */
export function measures(model, i) {
  const { form } = model.get(`panels.${i}`);
  if (form === "profile") return outline(model, i);
  if (form === "items") return itemCounts(model, i);
  const names = /** @type {Record<string, {measures: string[]}>} */ (FORMS)[form].measures;
  return html`<div class="pair">${names.map((name) => measure(model, i, name))}</div>`;
}

/** @param {boolean} on @param {string} path @param {string} words @param {(on: boolean) => void} act */
const switchOf = (
  on,
  path,
  words,
  act,
) => html`<div class="field"><label class="chip wide"><input type="checkbox" data-path=${path} .checked=${on} @change=${(/** @type {any} */ e) => act(e.target.checked)}>
  <span>${words}</span></label></div>`;

/** A collar of finer rings, a hem of heavier ones. @param {FormModel} model @param {number} i */
function overrideRing(model, i) {
  const path = `panels.${i}.ring`,
    own = model.get(path);
  return html`${switchOf(Boolean(own), path, "Other rings in this panel", (on) => ownRing(model, i, on))}
    ${
      own
        ? html`<div class="inset"><div class="pair">
      ${number(model, `${path}.wire_mm`, "Wire", { unit: "mm" })}${number(model, `${path}.inner_mm`, "Inside", { unit: "mm" })}
      ${number(model, `${path}.lap_mm`, "Lap", { unit: "mm" })}${number(model, `${path}.rivet_mm`, "Rivet thickness", { unit: "mm" })}</div>
      ${choice(model, `${path}.metal`, "Metal", metalChoices(model, own.metal))}
      ${ownMetal(model, path)}
      ${(own.kind || "riveted") === "riveted" ? cutting(model, path) : nothing}
      ${restOf(model, path)}</div>`
        : nothing
    }`;
}

/** @param {FormModel} model @param {number} i */
function overrideFabric(model, i) {
  const path = `panels.${i}`,
    own = Boolean(model.get(`${path}.swatch`));
  const foreign = !own && model.get(`${path}.ring`) && model.get("fabric.swatch");
  return html`${choice(model, `${path}.state`, "Its measures are of the fabric", [["", `as the piece's: ${stateWord(model.get("fabric.state"))}`], ...STATES.map(([key, word]) => /** @type {[string, string]} */ ([key, word.toLowerCase()]))])}
    ${switchOf(own, `${path}.swatch`, "A swatch of its own", (on) => ownSwatch(model, i, on))}
    ${own ? swatchFields(model, `${path}.swatch`) : foreign ? html`<p class="hint">The piece's swatch is of other rings, so this panel is a guess until a swatch of its own is measured.</p>` : nothing}`;
}

/** @param {FormModel} model @param {number} i */
function overridesSummary(model, i) {
  const { ring: rings, state, swatch } = model.get(`panels.${i}`);
  const wire = typedLength(rings?.wire_mm);
  const own = [
    rings && `${typeof wire === "number" ? `${some(wire)} mm` : "other"} wire`,
    state && stateWord(state),
    swatch && "own swatch",
  ].filter(Boolean);
  return own.length ? `Of its own: ${own.join(", ")}` : "Ring and fabric: the piece's";
}

/** @param {FormModel} model @param {number} i @param {any} said @param {boolean} counted only, so that no fabric matters */
export function ownPart(model, i, said, counted) {
  const panel = model.get(`panels.${i}`);
  const some_own = Boolean(panel.ring || panel.state || panel.swatch);
  if (!some_own && model.draft && model.draft.panels.length < 2) return nothing;
  return html`<details class="inset own" data-part="own"><summary>${overridesSummary(model, i)}</summary>
    ${overrideRing(model, i)}${counted ? nothing : overrideFabric(model, i)}</details>
    ${some_own && said?.pitch_mm ? html`<p>Ring to ring ${about(said.pitch_mm.column)} mm along the row, ${about(said.pitch_mm.row)} mm row to row: ${said.basis === "swatch" ? "by a swatch" : "a guess from geometry"}.</p>` : nothing}`;
}

/** @typedef {{row: number, by: number, at: number[], part: "chain" | "chain_join" | "left_over", chain: number, to?: number, units?: number[], joins?: number[], rings?: number[]}} Change all from 1 */

/** @param {number[]} ns */
const listed = (ns) =>
  ns.length < 2 ? ns.join("") : `${ns.slice(0, -1).join(", ")} and ${ns[ns.length - 1]}`;

/** @param {string} one @param {number[]} ns */
const numbered = (one, ns) =>
  ns.length ? [`${ns.length > 1 ? `${one}s` : one} ${listed(ns)}`] : [];

/** @param {any} said @param {Change} c */
function ringsOfChange(said, c) {
  if (c.part !== "chain") return numbered("joining ring", c.rings ?? []).join("");
  const units = said.chain_units[c.chain - 1],
    after = (c.joins ?? []).filter((n) => n <= units);
  const joins =
    after.length > 3
      ? [`the rings after units ${listed(after)}`]
      : after.map((n) => `the ring after unit ${n}`);
  return [
    ...numbered("unit", c.units ?? []),
    ...joins,
    ...(after.length < (c.joins ?? []).length ? ["the ring that closes the row"] : []),
  ].join("; ");
}

/** @param {any} said @param {Change} c */
const changeText = (said, c) =>
  html`<strong>${several(Math.abs(c.by), "ring")} ${c.by > 0 ? "more" : "fewer"}:</strong> ${ringsOfChange(said, c)} ${Math.abs(c.by) > 1 ? "hold" : "holds"} ${c.by > 0 ? "2 above, 3 below" : "3 above, 2 below"}`;

/** @typedef {{from: number, to: number, changes: Change[]}} Stretch open rows, by their place from 1, and what changes in them */

/** Rows between which nothing changes stand together. @param {any} said @returns {Stretch[]} */
function stretches(said) {
  const changed = new Map();
  for (const c of said.changes) changed.set(c.row, [...(changed.get(c.row) ?? []), c]);
  const out = /** @type {Stretch[]} */ ([]);
  for (let row = 2; row <= said.rows.length; row += 2) {
    const changes = changed.get(row) ?? [],
      last = out[out.length - 1];
    if (last && !last.changes.length && !changes.length) last.to = row;
    else out.push({ from: row, to: row, changes });
  }
  return out;
}

/** The closed rows on both sides. @param {Stretch} rows */
const closedRows = ({ from, to }) => `${from / 2} to ${to / 2 + 1}`;

/** @param {Change} c */
const changePlace = (c) =>
  c.part === "chain"
    ? `in chain ${c.chain}`
    : c.part === "chain_join"
      ? `chain ${c.chain} to ${c.to}`
      : "to the left-over row";

/** A line for each chain that a change of the row falls to. @param {any} said @param {Stretch} s */
function rowLines(said, s) {
  const above = said.rows[s.from - 2],
    below = said.rows[s.to] ?? 0;
  return (s.changes.length ? s.changes : [null]).map(
    (
      c,
    ) => html`<tr><th scope="row">${closedRows(s)}${c ? html`<br><span class="soft">${changePlace(c)}</span>` : nothing}</th>
    <td class="n">${above === below ? figure(above) : html`${figure(above)} → ${figure(below)}`}</td><td>${c ? changeText(said, c) : "no change"}</td></tr>`,
  );
}

/** @param {any} said @param {boolean} round */
function evenRows(said, round) {
  const closed = Math.ceil(said.rows.length / 2),
    open = said.rows.length - closed;
  return html`<p>${several(closed, "closed row")} of ${figure(said.rows[0])} rings${open ? html`, with ${several(open, "open row")} of ${figure(said.rows[1])} between` : nothing}${round ? ", each closed on itself" : ""}. Every open ring holds 2 above and 2 below.</p>`;
}

/** @param {any} said the engine's answer for a panel @param {boolean} round whether its rows close on themselves */
export function rowsPart(said, round) {
  if (!said.rows.length) return nothing;
  if (!said.changes.length) return evenRows(said, round);
  if (!said.unit_join_runs) return nothing; // answered before an update of the page
  return html`<details class="inset rows"><summary>Row by row</summary>
    <p class="hint">Closed rows are counted from the start edge, units within their chain, joining rings within the run that hangs the chain, both along the row ${round ? "from where you mark its beginning" : "from the same side each time"}. Rings not named hold 2 above and 2 below.</p>
    <div class="scroll" tabindex="0" role="region" aria-label="Row by row"><table><thead><tr><th scope="col">Closed rows</th><th scope="col" class="n">rings</th><th scope="col">in the open row between</th></tr></thead>
      <tbody>${stretches(said).map((s) => rowLines(said, s))}</tbody></table></div></details>`;
}

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

/** Left-over rings are slow work: the nearest sizes without any, one touch each. @param {FormModel} model @param {number} i @param {any} said */
function nearer(model, i, said) {
  const offers = said?.suggest ?? [];
  if (!offers.length) return nothing;
  return html`<div class="choices" role="group" aria-label="Nearest sizes that need no left-over rings">
    <p class="hint">Nearest sizes without left-over rings:</p>
    ${offers.map(
      (
        /** @type {any} */ offer,
      ) => html`<button type="button" data-do="size" @click=${() => takeSize(model, i, offer)}>
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

/** @param {FormModel} model @param {number} i @param {boolean} drawn whether the picture stands here */
function panelPart(model, i, drawn) {
  const path = `panels.${i}`;
  const panel = model.get(path);
  const said = model.answer.panels[i];
  const counted_only = ["count", "items"].includes(panel.form);
  const several = model.draft && model.draft.panels.length > 1;
  const shaped = !EITHER.includes(panel.form) && !counted_only;
  const form = choice(
    model,
    `${path}.form`,
    "Shape",
    Object.entries(FORMS).map(([key, f]) => [key, f.word]),
  );
  const parts = html`${several ? field(model, `${path}.name`, "Name", { longest: 80 }) : nothing}
    ${form}${measures(model, i)}
    ${
      EITHER.includes(panel.form)
        ? radios(
            model,
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
    ${ownPart(model, i, said, counted_only)}
    ${
      counted_only
        ? nothing
        : html`<details class="inset"><summary>${shaped ? "Chains and changes" : "Chains"}</summary><div class="pair">
      ${whole(model, `${path}.units_per_chain`, "Units in a chain, at most", { hint: "Left empty, a chain runs the whole row." })}
      ${shaped ? whole(model, `${path}.max_change`, "Most changes in a closed row", { hint: "Left empty, as many as the shape asks." }) : nothing}</div></details>`
    }`;
  const inside = html`${parts}${restOf(model, path)}
    ${said ? html`${drawn ? shapePicture(said, panel) : nothing}${several ? counted(said) : nothing}${leftOver(model, said)}${rowsPart(said, goesRound(panel))}` : nothing}
    ${nearer(model, i, said)}
    ${several ? html`<button type="button" @click=${() => dropPanel(model, i)}>Take this panel out</button>` : nothing}`;
  return html`<section class="sheet panel" aria-label=${several ? `Panel ${i + 1}` : "Panel"}>${several ? folded(model, i, said, inside) : inside}</section>`;
}

/** One of several panels folds to its name and what it comes to. @param {FormModel} model @param {number} i @param {any} said @param {unknown} inside */
function folded(model, i, said, inside) {
  const panel = model.get(`panels.${i}`);
  const toggle = (/** @type {any} */ e) => {
    if (e.target === e.currentTarget) model.unfold(panel.id, e.target.open);
  };
  const wrong = model.faults.some(({ path }) => path.startsWith(`panels.${i}.`));
  const size = said?.size_mm ? `; ${sizeWords(said.size_mm)}` : "";
  return html`<details ?open=${model.unfolded.has(panel.id)} @toggle=${toggle}><summary><span><h3>${panel.name || `Panel ${i + 1}`}</h3>
    <span class="soft">${wrong ? html`<span class="stop">▲ something is wrong in it</span>` : said ? `${figure(said.rings)} rings${size}` : "not in the totals yet"}</span></span></summary>${inside}</details>`;
}

/** What ring and fabric already say. @param {FormModel} model @returns {string[]} */
const elsewhere = ({ answer: { ring, fabric } }) => [
  ...(ring?.warnings ?? []),
  ...(fabric?.warnings ?? []),
  ...(fabric?.notes ?? []),
];

/** @param {FormModel} model @param {any} said */
function leftOver(model, said) {
  if (!said.rows.length) return nothing;
  const reached = said.size_mm ? `Comes to ${sizeWords(said.size_mm)}. ` : "";
  const off =
    said.error_mm >= 0.05
      ? `No closed row is further than ${about(said.error_mm, 2)} mm from the width asked. `
      : "";
  const n = said.left_over.closed + said.left_over.open;
  return html`<p>${reached}${off}${n ? `${figure(n)} rings are left over, outside whole units.` : "No rings are left over."}</p>
    ${[...said.warnings, ...said.notes].filter((/** @type {string} */ w) => !elsewhere(model).includes(w)).map((/** @type {string} */ w) => (zincCaution(w) ? html`<div class="caution"><p>${w}</p></div>` : html`<p class="advice">${w}</p>`))}`;
}

/** @param {FormModel} model @param {boolean} drawn */
export function panelsPart(model, drawn) {
  return html`<h2>${model.draft && model.draft.panels.length > 1 ? "Panels" : "Panel"}</h2>
    ${model.draft?.panels.map((_, i) => panelPart(model, i, drawn))}
    <button type="button" class="after" @click=${() => addPanel(model)}>Add another panel</button>`;
}

/** On a model the pictures stand beside the form. @param {FormModel} model */
export function picturesPart(model) {
  const panels = model.draft?.panels ?? [];
  const drawn = panels
    .map((panel, i) => ({ panel, said: model.answer.panels[i] }))
    .filter(({ said }) => said?.rows.length > 1);
  if (!drawn.length) return nothing;
  return html`<section class="sheet drawn" aria-label="Drawn to scale">${drawn.map(({ panel, said }) => html`<div>${panels.length > 1 ? html`<h3>${panel.name}</h3>` : nothing}${shapePicture(said, panel)}</div>`)}</section>`;
}

// The panels of a piece: the measurements of each, what it has of its own, its rows, and the sizes near it.
import { html, nothing } from "../../vendor/lit-html.js";
import { about, figure } from "../../format/numbers.js";
import { sizeWords } from "../../format/entity-words.js";
import { EITHER, FORMS } from "../../format/panel-forms.js";
import { typedLength } from "../../format/parse-length.js";
import { some } from "../../format/words.js";
import { goesRound, shapePicture } from "../../pictures/shape.js";
import { plan as text } from "../../texts/texts.js";
import { addPanel, removePanel, useOwnRing, useOwnSwatch, useSize } from "./actions.js";
import { check, choice, field, number, otherErrors, radios, whole } from "./fields.js";
import {
  cutField,
  isZincWarning,
  metalChoices,
  ownMetal,
  stateChoices,
  stateName,
  swatchFields,
} from "./ring.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */

// — its measurements —

const WHOLE = ["columns", "rows", "rings", "open"];
/** @type {Record<string, string>} what is not a length */
const UNITS = {
  columns: text.rings,
  rows: text.rows,
  rings: text.rings,
  open: text.rings,
  angle_deg: text.degrees,
};

/** @param {FormModel} model @param {number} i @param {string} name */
function measure(model, i, name) {
  const measures = /** @type {Record<string, string>} */ (text.measures),
    roundMeasures = /** @type {Record<string, string>} */ (text.roundMeasures),
    hints = /** @type {Record<string, string>} */ (text.measureHints);
  const round = model.typed.panels[i].form === "sleeve" && roundMeasures[name];
  const input = WHOLE.includes(name) ? whole : number;
  return input(model, `panels.${i}.m.${name}`, round || measures[name], {
    unit: UNITS[name] ?? "mm",
    hint: hints[name],
  });
}

/** @param {FormModel} model @param {number} i */
function outline(model, i) {
  const path = `panels.${i}.m.widths`;
  const pairs = model.typed.panels[i].m.widths;
  const write = (/** @type {[string, string][]} */ next) => model.set(path, next);
  return html`<div class="inset"><p class="hint">${text.outlineHint}</p>
    ${pairs.map(
      (/** @type {[string, string]} */ _, /** @type {number} */ k) => html`<div class="couple">
      ${number(model, `${path}.${k}.0`, text.outlineAt, { unit: "mm" })}${number(model, `${path}.${k}.1`, text.outlineWidth, { unit: "mm" })}
      ${pairs.length > 2 ? html`<button type="button" class="level" @click=${() => write(pairs.toSpliced(k, 1))}>${text.remove}</button>` : nothing}</div>`,
    )}
    <p><button type="button" @click=${() => write([...pairs, ["", ""]])}>${text.addWidth}</button></p>
    ${check(model, `panels.${i}.m.round`, text.outlineRound)}</div>`;
}

/** @param {FormModel} model @param {number} i */
function itemCounts(model, i) {
  const steps = model.answer.table?.steps ?? [];
  return html`<div class="pair">${(FORMS.items.items ?? []).map((step) => {
    const row = steps.find((s) => s.step === step);
    return whole(model, `panels.${i}.m.items.${step}`, row?.name ?? step, { unit: row?.items });
  })}</div>`;
}

/** The measurements its shape asks for. @param {FormModel} model @param {number} i */
function measures(model, i) {
  const { form } = model.typed.panels[i];
  if (form === "profile") return outline(model, i);
  if (form === "items") return itemCounts(model, i);
  const names = /** @type {Record<string, {measures: string[]}>} */ (FORMS)[form].measures;
  return html`<div class="pair">${names.map((name) => measure(model, i, name))}</div>`;
}

// — what it has of its own: a collar of finer rings, its own swatch —

/** @param {FormModel} model @param {number} i */
function overrideRing(model, i) {
  const path = `panels.${i}.ring`,
    own = model.typed.panels[i].ring;
  return html`${check(model, path, text.ownRing, { choose: (on) => useOwnRing(model, i, on) })}
    ${
      own
        ? html`<div class="inset"><div class="pair">
      ${number(model, `${path}.wire_mm`, text.wire, { unit: "mm" })}${number(model, `${path}.inner_mm`, text.inside, { unit: "mm" })}
      ${number(model, `${path}.lap_mm`, text.lap, { unit: "mm" })}${number(model, `${path}.rivet_mm`, text.rivetThickness, { unit: "mm" })}</div>
      ${choice(model, `${path}.metal`, text.metal, metalChoices(model, own.metal ?? ""))}
      ${ownMetal(model, path)}
      ${(own.kind || "riveted") === "riveted" ? cutField(model, path) : nothing}
      ${otherErrors(model, path)}</div>`
        : nothing
    }`;
}

/** @param {FormModel} model @param {number} i */
function overrideFabric(model, i) {
  const path = `panels.${i}`,
    { ring, swatch } = model.typed.panels[i],
    own = Boolean(swatch);
  const foreign = !own && ring && model.typed.fabric.swatch;
  const states = stateChoices.map(
    ([state, name]) => /** @type {[string, string]} */ ([state, name.toLowerCase()]),
  );
  return html`${choice(model, `${path}.state`, text.panelState, [["", text.asThePiece(stateName(model.typed.fabric.state))], ...states])}
    ${check(model, `${path}.swatch`, text.ownSwatch, { choose: (on) => useOwnSwatch(model, i, on) })}
    ${own ? swatchFields(model, `${path}.swatch`) : foreign ? html`<p class="hint">${text.foreignSwatch}</p>` : nothing}`;
}

/** @param {FormModel} model @param {number} i */
function overridesSummary(model, i) {
  const { ring, state, swatch } = model.typed.panels[i];
  const wire = typedLength(ring?.wire_mm);
  const own = [
    ring && (typeof wire === "number" ? text.ownWire(some(wire)) : text.otherWire),
    state && stateName(state),
    swatch && text.ownSwatchShort,
  ].filter(Boolean);
  return own.length ? text.ownOfPanel(own.join(", ")) : text.nothingOwn;
}

/**
 * @param {FormModel} model
 * @param {number} i
 * @param {import("../../answers").Panel} answer
 * @param {boolean} countOnly so that no fabric matters
 */
function overrides(model, i, answer, countOnly) {
  const panel = model.typed.panels[i];
  const own = Boolean(panel.ring || panel.state || panel.swatch);
  if (!own && model.draft && model.draft.panels.length < 2) return nothing;
  const pitch = own && answer?.pitch_mm;
  return html`<details class="inset own" data-part="own"><summary>${overridesSummary(model, i)}</summary>
    ${overrideRing(model, i)}${countOnly ? nothing : overrideFabric(model, i)}</details>
    ${pitch ? html`<p>${text.pitch(about(pitch.column), about(pitch.row), answer.basis === "swatch")}</p>` : nothing}`;
}

// — its rows, in words one can follow at the bench: where a ring is added or dropped —

/**
 * @typedef {{row: number, by: number, at: number[], part: "chain" | "chain_join" | "left_over", chain: number, to?: number, units?: number[], joins?: number[], rings?: number[]}} Change all from 1
 */
/**
 * @typedef {{from: number, to: number, changes: Change[]}} Stretch open rows, by their place from 1, and what changes in them
 */

/** @param {import("../../answers").Panel} answer @param {Change} c */
function ringsOfChange(answer, c) {
  if (c.part !== "chain") return text.joiningRings(c.rings ?? []);
  const units = answer.chain_units[c.chain - 1],
    joins = c.joins ?? [],
    after = joins.filter((n) => n <= units);
  return [
    text.unitNumbers(c.units ?? []),
    ...(after.length > 3 ? [text.ringsAfterUnits(after)] : after.map(text.ringAfterUnit)),
    after.length < joins.length ? text.closingRing : "",
  ]
    .filter(Boolean)
    .join("; ");
}

/** Rows between which nothing changes are one line. @param {import("../../answers").Panel} answer @returns {Stretch[]} */
function stretches(answer) {
  const changed = new Map();
  for (const c of answer.changes) changed.set(c.row, [...(changed.get(c.row) ?? []), c]);
  const out = /** @type {Stretch[]} */ ([]);
  for (let row = 2; row <= answer.rows.length; row += 2) {
    const changes = changed.get(row) ?? [],
      last = out[out.length - 1];
    if (last && !last.changes.length && !changes.length) last.to = row;
    else out.push({ from: row, to: row, changes });
  }
  return out;
}

/** @param {Change} c */
const changePlace = (c) =>
  c.part === "chain"
    ? text.inChain(c.chain)
    : c.part === "chain_join"
      ? text.betweenChains(c.chain, c.to ?? 0)
      : text.toLeftOverRow;

/** A line for each chain that a change of the row falls in. @param {import("../../answers").Panel} answer @param {Stretch} s */
function rowLines(answer, s) {
  const above = answer.rows[s.from - 2],
    below = answer.rows[s.to] ?? 0;
  return (s.changes.length ? s.changes : [null]).map(
    (
      c,
    ) => html`<tr><th scope="row">${text.closedRowsFromTo(s.from / 2, s.to / 2 + 1)}${c ? html`<br><span class="soft">${changePlace(c)}</span>` : nothing}</th>
    <td class="n">${above === below ? figure(above) : html`${figure(above)} → ${figure(below)}`}</td>
    <td>${c ? html`<strong>${text.ringsMore(c.by)}:</strong> ${ringsOfChange(answer, c)} ${text.holds(Math.abs(c.by), c.by > 0)}` : text.noChange}</td></tr>`,
  );
}

/** @param {import("../../answers").Panel} answer the engine's, for a panel @param {boolean} round whether its rows close on themselves */
function rowsPart(answer, round) {
  const { rows, changes } = answer;
  if (!rows.length) return nothing;
  const closed = Math.ceil(rows.length / 2),
    open = rows.length - closed;
  if (!changes.length)
    return html`<p>${text.evenRows(figure(closed), figure(rows[0]), round)} ${open ? text.evenOpenRows(figure(open), figure(rows[1])) : nothing}</p>`;
  if (!answer.unit_join_runs) return nothing; // answered before an update of the page
  return html`<details class="inset rows"><summary>${text.rowByRow}</summary>
    <p class="hint">${text.rowByRowHint(round)}</p>
    <div class="scroll" tabindex="0" role="region" aria-label=${text.rowByRow}><table><thead><tr><th scope="col">${text.closedRows}</th><th scope="col" class="n">${text.rings}</th><th scope="col">${text.inOpenRow}</th></tr></thead>
      <tbody>${stretches(answer).map((s) => rowLines(answer, s))}</tbody></table></div></details>`;
}

// — what the engine makes of it —

/**
 * Left-over rings are slow work: the nearest sizes without any, one touch each.
 * @param {FormModel} model
 * @param {number} i
 * @param {import("../../answers").Panel} answer
 */
function nearestSizes(model, i, answer) {
  const sizes = answer?.suggest ?? [];
  if (!sizes.length) return nothing;
  return html`<div class="choices" role="group" aria-label=${text.nearestSizes}>
    <p class="hint">${text.nearestSizes}:</p>
    ${sizes.map(
      (size) => html`<button type="button" data-do="size" @click=${() => useSize(model, i, size)}>
      ${text.columnsAndRows(size.columns ? figure(size.columns) : "", figure(size.rows))}${sizeWords(size) ? html`<br><strong>${sizeWords(size)}</strong>` : nothing}</button>`,
    )}</div>`;
}

/** @param {import("../../answers").Panel} answer the engine's, for this panel */
function panelFigures(answer) {
  /** @type {[string, number][]} */
  const rows = [
    [text.rings, answer.rings],
    [text.closedFirst, answer.closed],
    [text.rivetedInPlace, answer.open],
    [text.units, answer.units],
    [text.chains, answer.chains],
    [text.unitJoins, answer.unit_joins],
    [text.chainJoins, answer.chain_joins],
    [text.links, answer.links],
  ];
  return html`<dl class="figures">${rows.map(([name, n]) => html`<div><dt>${name}</dt><dd>${figure(n)}</dd></div>`)}</dl>`;
}

/** What ring and fabric show already. @param {FormModel} model @returns {string[]} */
const shownElsewhere = ({ answer: { ring, fabric } }) => [
  ...(ring?.warnings ?? []),
  ...(fabric?.warnings ?? []),
  ...(fabric?.notes ?? []),
];

/** @param {FormModel} model @param {import("../../answers").Panel} answer */
function reachedSize(model, answer) {
  if (!answer.rows.length) return nothing;
  const sentences = [
    answer.size_mm && text.reachedSize(sizeWords(answer.size_mm)),
    answer.error_mm >= 0.05 && text.furthestRow(about(answer.error_mm, 2)),
    text.leftOverRings(figure(answer.left_over.closed + answer.left_over.open)),
  ].filter(Boolean);
  const notes = [...answer.warnings, ...answer.notes].filter(
    (note) => !shownElsewhere(model).includes(note),
  );
  return html`<p>${sentences.join(" ")}</p>
    ${notes.map((note) => (isZincWarning(note) ? html`<div class="caution"><p>${note}</p></div>` : html`<p class="advice">${note}</p>`))}`;
}

/** @param {FormModel} model @param {number} i @param {boolean} shaped whether its rows differ in length */
const chainFields = (model, i, shaped) =>
  html`<details class="inset"><summary>${shaped ? text.chainsAndChanges : text.chainsTitle}</summary><div class="pair">
    ${whole(model, `panels.${i}.units_per_chain`, text.unitsPerChain, { hint: text.unitsPerChainHint })}
    ${shaped ? whole(model, `panels.${i}.max_change`, text.maxChange, { hint: text.maxChangeHint }) : nothing}</div></details>`;

/** @param {FormModel} model @param {number} i @param {boolean} several */
function panelFields(model, i, several) {
  const path = `panels.${i}`;
  const panel = model.typed.panels[i],
    answer = model.answer.panels[i];
  const countOnly = ["count", "items"].includes(panel.form),
    eitherWay = EITHER.includes(panel.form);
  return html`${several ? field(model, `${path}.name`, text.name, { longest: 80 }) : nothing}
    ${choice(
      model,
      `${path}.form`,
      text.shape,
      Object.entries(FORMS).map(([key, { word }]) => [key, word]),
    )}
    ${measures(model, i)}
    ${
      eitherWay
        ? radios(
            model,
            `${path}.rows_run`,
            text.rowsRun,
            [
              ["round", text.rowsRound],
              ["down", text.rowsDown],
            ],
            { hint: text.rowsRunHint },
          )
        : nothing
    }
    ${overrides(model, i, answer, countOnly)}
    ${countOnly ? nothing : chainFields(model, i, !eitherWay)}
    ${otherErrors(model, path)}`;
}

/** @param {FormModel} model @param {number} i @param {boolean} drawn whether the picture stands here */
function panelPart(model, i, drawn) {
  const panel = model.typed.panels[i],
    answer = model.answer.panels[i];
  const several = (model.draft?.panels.length ?? 0) > 1;
  const inside = html`${panelFields(model, i, several)}
    ${answer ? html`${drawn ? shapePicture(answer, panel) : nothing}${several ? panelFigures(answer) : nothing}${reachedSize(model, answer)}${rowsPart(answer, goesRound(panel))}` : nothing}
    ${nearestSizes(model, i, answer)}
    ${several ? html`<button type="button" @click=${() => removePanel(model, i)}>${text.removePanel}</button>` : nothing}`;
  return html`<section class="sheet panel" aria-label=${several ? text.panelNumber(i + 1) : text.panel}>${several ? folded(model, i, answer, inside) : inside}</section>`;
}

/**
 * One of several panels folds to its name and what it comes to.
 * @param {FormModel} model
 * @param {number} i
 * @param {import("../../answers").Panel} answer
 * @param {unknown} inside
 */
function folded(model, i, answer, inside) {
  const panel = model.typed.panels[i];
  const onToggle = (/** @type {Event & {target: HTMLDetailsElement}} */ e) => {
    if (e.target === e.currentTarget) model.unfold(panel.id, e.target.open);
  };
  const wrong = model.errors.some(({ path }) => path.startsWith(`panels.${i}.`));
  const size = answer?.size_mm ? `; ${sizeWords(answer.size_mm)}` : "";
  return html`<details ?open=${model.unfolded.has(panel.id)} @toggle=${onToggle}><summary><span><h3>${panel.name || text.panelNumber(i + 1)}</h3>
    <span class="soft">${wrong ? html`<span class="stop">▲ ${text.errorInside}</span>` : answer ? `${text.ringCount(figure(answer.rings))}${size}` : text.notInTotalsYet}</span></span></summary>${inside}</details>`;
}

/** @param {FormModel} model @param {boolean} drawn */
export function panelsPart(model, drawn) {
  const panels = model.draft?.panels ?? [];
  return html`<h2>${panels.length > 1 ? text.panels : text.panel}</h2>
    ${panels.map((_, i) => panelPart(model, i, drawn))}
    <button type="button" class="after" @click=${() => addPanel(model)}>${text.addPanel}</button>`;
}

/** On a wide screen the pictures stand beside the form. @param {FormModel} model */
export function picturesPart(model) {
  const panels = model.draft?.panels ?? [];
  const drawn = panels
    .map((panel, i) => ({ panel, answer: model.answer.panels[i] }))
    .filter(({ answer }) => answer?.rows.length > 1);
  if (!drawn.length) return nothing;
  return html`<section class="sheet drawn" aria-label=${text.drawnToScale}>${drawn.map(({ panel, answer }) => html`<div>${panels.length > 1 ? html`<h3>${panel.name}</h3>` : nothing}${shapePicture(answer, panel)}</div>`)}</section>`;
}

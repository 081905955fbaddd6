// The bill of a piece: what it takes, and what adds to it: joins between panels, losses, other materials.
import { html, nothing } from "../../vendor/lit-html.js";
import { about, figure, weight } from "../../format/numbers.js";
import { noun, some } from "../../format/words.js";
import { store } from "../../store/store.js";
import { plan as text } from "../../texts/texts.js";
import { bareInput, errorText } from "../../ui/form-fields.js";
import { overCounted } from "../../ui/over-counted.js";
import { addRow, removeRow, useCountedLosses } from "./actions.js";
import { choice, field, number, otherErrors, whole } from "./fields.js";
import { PANELS_JOINED } from "./serialize.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */

// — joins —

/** @type {[string, string][]} */
const HOW_JOINED = [
  ["end_to_end", text.sideBySide],
  ["stacked", text.oneBelowTheOther],
  ["round", text.closedToATube],
  ["rings", text.byRings],
];

/**
 * How many panels a join names follows from how it joins.
 * @param {FormModel} model
 * @param {number} i
 * @param {string} how
 */
function joinedPanels(model, i, how) {
  const names = /** @type {[string, string][]} */ (
    model.draft?.panels.map((p, k) => [p.id, p.name.trim() || text.panelNumber(k + 1)]) ?? []
  );
  const options = /** @type {[string, string][]} */ ([["", text.choose], ...names]);
  return html`${Array.from({ length: PANELS_JOINED[how] ?? 2 }, (_, k) => choice(model, `piece.joins.${i}.panels.${k}`, k ? text.andPanel : text.panel, options))}
    ${how === "rings" ? whole(model, `piece.joins.${i}.rings`, text.joiningRingCount) : nothing}`;
}

/** @param {FormModel} model */
export function joinsPart(model) {
  const rows = model.typed.piece.joins;
  return html`<details class="sheet" ?open=${rows.length > 0}><summary><h2>${text.joins}</h2></summary>
    ${rows.map(
      (row, i) => html`<div class="inset"><div class="pair">
        ${choice(model, `piece.joins.${i}.how`, text.joined, HOW_JOINED)}${joinedPanels(model, i, row.how)}</div>
      ${otherErrors(model, `piece.joins.${i}`)}
      <button type="button" @click=${() => removeRow(model, "joins", i)}>${text.removeJoin}</button></div>`,
    )}
    <button type="button" @click=${() => addRow(model, "joins", { how: "end_to_end", panels: ["", ""], rings: "" })}>${text.addJoin}</button>
  </details>`;
}

// — losses —

/** @type {[string, string][]} chance that enough come out good */
const SURE = [
  ["0.8", text.fourInFive],
  ["0.9", text.nineInTen],
  ["", text.nineteenInTwenty],
  ["0.99", text.ninetyNineInHundred],
];

/** @param {FormModel} model @param {import("../../answers").Step} step */
function lossRow(model, step) {
  const path = `piece.losses.${step.step}`;
  const input = (/** @type {"good" | "bad"} */ kind, /** @type {string} */ name) => {
    const label = text.lossLabel(step.name, name);
    return html`<td class="n">${bareInput(`f-piece-losses-${step.step}-${kind}`, label, {
      value: model.get(`${path}.${kind}`),
      mode: "numeric",
      longest: 9,
      error: model.errorAt(`${path}.${kind}`, label),
      onInput: (e) =>
        model.set(path, { ...model.typed.piece.losses[step.step], [kind]: e.target.value }),
    })}</td>`;
  };
  const error = model.errorAt(`${path}.good`) || model.errorAt(`${path}.bad`);
  return html`<tr><th scope="row">${step.name}</th>${input("good", text.good)}${input("bad", text.spoiled)}</tr>
    ${error ? html`<tr><td colspan="3" class="field">${errorText(error)}</td></tr>` : nothing}`;
}

/** @param {FormModel} model */
export function lossesPart(model) {
  const steps = (model.answer.table?.steps ?? []).filter((s) => s.step !== "wind");
  const open = Object.keys(model.typed.piece.losses).length > 0;
  return html`<details class="sheet" ?open=${open}><summary><h2>${text.losses}</h2></summary>
    <p class="soft">${text.lossesHint}</p>
    <button type="button" @click=${() => useCountedLosses(model)}>${text.useCountedLosses}</button>
    <div class="scroll"><table><thead><tr><th scope="col">${text.step}</th><th scope="col" class="n">${text.good}</th><th scope="col" class="n">${text.spoiled}</th></tr></thead>
      <tbody>${steps.map((s) => lossRow(model, s))}</tbody></table></div>
    ${choice(model, "piece.sure", text.sure, SURE)}
    ${otherErrors(model, "piece.losses")}
  </details>`;
}

// — other materials —

/** @param {FormModel} model */
export function consumablesPart(model) {
  const rows = model.typed.piece.consumables;
  return html`<details class="sheet" ?open=${rows.length > 0}><summary><h2>${text.otherMaterials}</h2></summary>
    <p class="soft">${text.otherMaterialsHint}</p>
    ${rows.map(
      (_, i) => html`<div class="inset"><div class="pair trio">
        ${field(model, `piece.consumables.${i}.name`, text.what, { longest: 80 })}
        ${field(model, `piece.consumables.${i}.unit`, text.measuredIn, { longest: 20, hint: i ? "" : text.measuredInExamples })}
        ${number(model, `piece.consumables.${i}.per_1000_rings`, text.per1000Rings)}</div>
      <button type="button" @click=${() => removeRow(model, "consumables", i)}>${text.remove}</button></div>`,
    )}
    <button type="button" @click=${() => addRow(model, "consumables", { name: "", unit: "", per_1000_rings: "" })}>${text.addMaterial}</button>
    ${otherErrors(model, "piece.consumables")}
  </details>`;
}

// — the bill —

/** @param {{p50: number, p80: number, guessed: boolean} | null} time */
const benchHours = (time) =>
  time
    ? html`<p><strong>${text.benchHours(some(time.p50), some(time.p80))}</strong>${time.guessed ? text.byGuesses : text.byYourPace}</p>`
    : nothing;

/** Nobody knows the weight of a metal that is not named. @param {import("../../answers").PlannedWire} w */
const toWeigh = ({ kg, buy_kg }) => (kg == null ? [] : [weight((buy_kg ?? kg) * 1000)]);

/** A row of the figures: one coil is no coils. @param {number} n @param {string} items */
const counted = (n, items) => [noun(n, items), figure(n)];

/** @param {import("../../answers").PieceAnswer} plan */
function totals(plan) {
  const rows = [
    counted(plan.rings, text.rings),
    [text.closedFirst, figure(plan.closed)],
    [text.rivetedInPlace, figure(plan.open)],
    ...(plan.units ? [counted(plan.units, text.units), counted(plan.chains, text.chains)] : []),
    ...(plan.links ? [counted(plan.links, text.links)] : []),
    ...(plan.weight_g ? [[text.finishedWeight, weight(plan.weight_g)]] : []),
    ...plan.wires.map((w) => [
      text.wireToBuy(w.metal, about(w.wire_mm)),
      [`${about(w.buy_m ?? w.metres)} m`, ...toWeigh(w)].join(", "),
    ]),
    ...(plan.coils ? [counted(plan.coils, text.coils)] : []),
    ...(plan.reels ? [counted(plan.reels, text.reels)] : []),
    counted(plan.rivets, text.rivets),
    ...(plan.rivet_wire_m ? [[text.rivetWire, `${about(plan.rivet_wire_m)} m`]] : []),
  ];
  return html`<dl class="figures wide">${rows.map(([name, value]) => html`<div><dt>${name}</dt><dd>${value}</dd></div>`)}</dl>${plan.wires.map(wireParts)}`;
}

/** What the wire to buy is made of, so that no part of it is hidden. @param {import("../../answers").PlannedWire} w */
function wireParts(w) {
  if (w.buy_m == null) return nothing; // answered before an update of the page
  return html`<p class="hint" data-part="wire">${text.wireParts(about(w.wire_mm), about(w.rings_m), about(w.ends_m, 2), about(w.reserve_m, 2), some(w.reserve_percent))}</p>`;
}

/**
 * How units gather in chains: each length while there are few, else from the shortest to the
 * longest.
 * @param {import("../../answers").PlannedStep} step
 */
function chainLengths({ step, group }) {
  if (step !== "unit" || group?.of !== "chain") return "";
  const runs = /** @type {[number, number][]} */ (group.runs),
    sizes = runs.map(([size]) => size);
  if (runs.length <= 3)
    return text.chainRuns(
      runs.map(([size, times]) => `${figure(times)} × ${figure(size)}`).join(", "),
    );
  const count = runs.reduce((n, [, times]) => n + times, 0);
  return text.chainsFromTo(figure(count), figure(Math.min(...sizes)), figure(Math.max(...sizes)));
}

/** @param {import("../../answers").PlannedStep} s a step of the plan */
const stepRow = (s) =>
  html`<tr data-step=${s.step}><th scope="row">${s.name}</th>
    <td class="n">${figure(s.to_make)}</td>
    <td>${noun(s.to_make, s.items, s.item)}${s.start > s.to_make ? text.beginMore(figure(s.start)) : nothing}${chainLengths(s) ? html`<br><span class="soft">${chainLengths(s)}</span>` : nothing}</td></tr>`;

/** @param {import("../../answers").PieceAnswer} plan */
const stepsTable = (plan) =>
  html`<div class="scroll"><table class="bill"><caption>${text.itemsToMake}</caption>
    <thead><tr><th scope="col">${text.step}</th><th scope="col" class="n">${text.toMake}</th><th scope="col">${text.ofWhat}</th></tr></thead>
    <tbody>${plan.steps.filter((s) => s.to_make).map(stepRow)}</tbody></table></div>`;

/** Each caution once, with the steps it is for. @param {import("../../answers").PlannedStep[]} steps */
function cautions(steps) {
  /** @type {Map<string, import("../../answers").PlannedStep[]>} */
  const byText = new Map();
  for (const s of steps)
    if (s.caution && s.to_make) byText.set(s.caution, [...(byText.get(s.caution) ?? []), s]);
  return [...byText].map(
    ([
      caution,
      of,
    ]) => html`<div class="caution"><p><strong>${of.map((s) => s.name).join(", ")}.</strong> ${caution}</p>
    ${of[0].caution_source ? html`<p class="soft source">${text.source(of[0].caution_source)}</p>` : nothing}</div>`,
  );
}

/** @param {FormModel} model */
export function billPart(model) {
  const { plan, ring, hours } = model.answer;
  if (!plan)
    return html`<section class="sheet" id="bill" aria-labelledby="h-bill"><h2 id="h-bill">${text.bill}</h2>
    <p class="soft">${text.billEmpty}</p></section>`;
  const known = [...(ring?.warnings ?? []), ...plan.panels.flatMap((p) => p.warnings)];
  const warnings = plan.warnings.filter((/** @type {string} */ w) => !known.includes(w));
  return html`<section class="sheet" id="bill" aria-labelledby="h-bill"><h2 id="h-bill">${text.bill}</h2>
    ${overCounted(store, model.draft?.id ?? "", plan)}${benchHours(hours)}${totals(plan)}${stepsTable(plan)}
    ${(plan.consumables ?? []).length ? html`<ul>${plan.consumables.map((c) => html`<li>${c.name}: ${about(c.amount)} ${c.unit ?? ""}</li>`)}</ul>` : nothing}
    ${warnings.map((/** @type {string} */ w) => html`<p class="advice">${w}</p>`)}
    <details class="inset"><summary>${text.cautions}</summary>${cautions(plan.steps)}</details>
  </section>`;
}

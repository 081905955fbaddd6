// The bill of a piece: what it takes, and what adds to it: joins between panels, losses, consumables.
import { html, nothing } from "../../vendor/lit-html.js";
import { about, figure, weight } from "../../format/numbers.js";
import { some } from "../../format/words.js";
import { store } from "../../store/store.js";
import { overCounted } from "../../ui/over-counted.js";
import { addRow, dropRow, takeRecord } from "./actions.js";
import { choice, field, number, restOf, whole } from "./fields.js";
import { PLACES } from "./serialize.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */

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

/** The panels a join names follow from how it joins. @param {FormModel} model @param {number} i @param {string} how */
function joinPanels(model, i, how) {
  const names = /** @type {[string, string][]} */ (
    model.draft?.panels.map((p, k) => [p.id, p.name.trim() || `Panel ${k + 1}`]) ?? []
  );
  const options = /** @type {[string, string][]} */ ([["", "choose"], ...names]);
  return html`${Array.from({ length: PLACES[how] ?? 2 }, (_, k) => choice(model, `piece.joins.${i}.panels.${k}`, k ? "and" : "Panel", options))}
    ${how === "rings" ? whole(model, `piece.joins.${i}.rings`, "Joining rings") : nothing}`;
}

/** @param {FormModel} model */
export function joinsPart(model) {
  const rows = model.get("piece.joins");
  return html`<details class="sheet" ?open=${rows.length > 0}><summary><h2>Joins between panels</h2></summary>
    ${rows.map(
      (
        /** @type {any} */ row,
        /** @type {number} */ i,
      ) => html`<div class="inset"><div class="pair">
        ${choice(model, `piece.joins.${i}.how`, "Joined", HOW)}${joinPanels(model, i, row.how)}</div>
      ${restOf(model, `piece.joins.${i}`)}
      <button type="button" @click=${() => dropRow(model, "joins", i)}>Take this join out</button></div>`,
    )}
    <button type="button" @click=${() => addRow(model, "joins", { how: "end_to_end", panels: ["", ""], rings: "" })}>Add a join</button>
  </details>`;
}

/** @param {FormModel} model @param {any} step */
function lossRow(model, step) {
  const path = `piece.losses.${step.step}`;
  const write = (/** @type {string} */ what, /** @type {string} */ value) =>
    model.set(path, { ...model.get(path), [what]: value });
  const input = (
    /** @type {string} */ what,
    /** @type {string} */ word,
  ) => html`<td class="n"><input class="short" inputmode="numeric" maxlength="9" autocomplete="off" id=${`f-piece-losses-${step.step}-${what}`}
    aria-label=${`${step.name}: ${word}`} aria-invalid=${model.why(`${path}.${what}`) ? "true" : "false"} .value=${String(model.get(`${path}.${what}`) ?? "")}
    @input=${(/** @type {any} */ e) => write(what, e.target.value)}></td>`;
  const why = model.why(`${path}.good`) || model.why(`${path}.bad`);
  return html`<tr><th scope="row">${step.name}</th>${input("good", "good")}${input("bad", "spoiled")}</tr>
    ${why ? html`<tr><td colspan="3" class="field"><span class="bad">${why}</span></td></tr>` : nothing}`;
}

/** @param {FormModel} model */
export function lossesPart(model) {
  const steps = (model.answer.table?.steps ?? []).filter(
    (/** @type {any} */ s) => s.step !== "wind",
  );
  const open = Object.keys(model.get("piece.losses")).length > 0;
  return html`<details class="sheet" ?open=${open}><summary><h2>Losses</h2></summary>
    <p class="soft">From your own record: how many came out good and how many spoiled. More are then begun, so that enough come out.</p>
    <button type="button" @click=${() => takeRecord(model)}>Take what I have counted so far</button>
    <div class="scroll"><table><thead><tr><th scope="col">Step</th><th scope="col" class="n">good</th><th scope="col" class="n">spoiled</th></tr></thead>
      <tbody>${steps.map((/** @type {any} */ s) => lossRow(model, s))}</tbody></table></div>
    ${choice(model, "piece.sure", "Enough should come out", SURE)}
    ${restOf(model, "piece.losses")}
  </details>`;
}

/** @param {FormModel} model */
export function consumablesPart(model) {
  const rows = model.get("piece.consumables");
  return html`<details class="sheet" ?open=${rows.length > 0}><summary><h2>Used up besides wire</h2></summary>
    <p class="soft">By your own use for every 1000 rings: gas, charcoal, saw blades, oil.</p>
    ${rows.map(
      (
        /** @type {any} */ _,
        /** @type {number} */ i,
      ) => html`<div class="inset"><div class="pair trio">
        ${field(model, `piece.consumables.${i}.name`, "What", { longest: 80 })}
        ${field(model, `piece.consumables.${i}.unit`, "Told in", { longest: 20, hint: i ? "" : "kg, blades, litres …" })}
        ${number(model, `piece.consumables.${i}.per_1000_rings`, "For 1000 rings")}</div>
      <button type="button" @click=${() => dropRow(model, "consumables", i)}>Take this out</button></div>`,
    )}
    <button type="button" @click=${() => addRow(model, "consumables", { name: "", unit: "", per_1000_rings: "" })}>Add something</button>
    ${restOf(model, "piece.consumables")}
  </details>`;
}

/** @param {{p50: number, p80: number, guessed: boolean} | null} time */
function benchHours(time) {
  if (!time) return nothing;
  return html`<p><strong>${some(time.p50)} bench hours as likely as not, ${some(time.p80)} four times in five</strong>${time.guessed ? ": by common guesses, until you have counted sittings of your own." : ", by your own pace."}</p>`;
}

/** @param {any} plan */
function sums(plan) {
  const rows = [
    ["rings", figure(plan.rings)],
    ["closed first", figure(plan.closed)],
    ["riveted in place", figure(plan.open)],
    ...(plan.units
      ? [
          ["units", figure(plan.units)],
          ["chains", figure(plan.chains)],
        ]
      : []),
    ...(plan.links ? [["links", figure(plan.links)]] : []),
    ...(plan.weight_g ? [["weight when done", weight(plan.weight_g)]] : []),
    ...plan.wires.map((/** @type {any} */ w) => [
      `${w.metal} wire, ${about(w.wire_mm)} mm, to buy`,
      `${about(w.buy_m ?? w.metres)} m, ${weight((w.buy_kg ?? w.kg) * 1000)}`,
    ]),
    ...(plan.coils ? [["coils", figure(plan.coils)]] : []),
    ...(plan.reels ? [["reels", figure(plan.reels)]] : []),
    ["rivets", figure(plan.rivets)],
    ...(plan.rivet_wire_m ? [["rivet wire", `${about(plan.rivet_wire_m)} m`]] : []),
  ];
  return html`<dl class="figures wide">${rows.map(([word, value]) => html`<div><dt>${word}</dt><dd>${value}</dd></div>`)}</dl>${plan.wires.map(wireParts)}`;
}

/** What the wire to buy is made of, so that no part of it is hidden. @param {any} w */
function wireParts(w) {
  if (w.buy_m == null) return nothing; // answered before an update of the page
  return html`<p class="hint" data-part="wire">Wire of ${about(w.wire_mm)} mm: ${about(w.rings_m)} m in rings, ${about(w.ends_m, 2)} m lost at the ends of coils, ${about(w.reserve_m, 2)} m in reserve (${some(w.reserve_percent)} %, set in Setup).</p>`;
}

/** How units gather in chains: each length while there are few, else from the shortest to the longest. @param {any} step */
function grouped({ step, group }) {
  if (step !== "unit" || group?.of !== "chain") return "";
  const runs = /** @type {[number, number][]} */ (group.runs),
    sizes = runs.map(([size]) => size);
  if (runs.length <= 3)
    return `chains: ${runs.map(([size, times]) => `${figure(times)} × ${figure(size)}`).join(", ")}`;
  return `${figure(runs.reduce((n, [, times]) => n + times, 0))} chains of ${figure(Math.min(...sizes))} to ${figure(Math.max(...sizes))}`;
}

/** @param {any} plan */
function table(plan) {
  return html`<div class="scroll"><table class="bill"><caption>Items to make, in making order</caption>
    <thead><tr><th scope="col">Step</th><th scope="col" class="n">to make</th><th scope="col">of what</th></tr></thead>
    <tbody>${plan.steps
      .filter((/** @type {any} */ s) => s.to_make)
      .map(
        (/** @type {any} */ s) => html`<tr data-step=${s.step}><th scope="row">${s.name}</th>
      <td class="n">${figure(s.to_make)}</td>
      <td>${s.items}${s.start > s.to_make ? html`; begin ${figure(s.start)}, for losses` : nothing}${grouped(s) ? html`<br><span class="soft">${grouped(s)}</span>` : nothing}</td></tr>`,
      )}</tbody></table></div>`;
}

/** Each caution once, with the steps it stands for. @param {any[]} steps */
function cautions(steps) {
  const said = new Map();
  for (const s of steps)
    if (s.caution && s.to_make) said.set(s.caution, [...(said.get(s.caution) ?? []), s]);
  return [...said].map(
    ([
      text,
      of,
    ]) => html`<div class="caution"><p><strong>${of.map((/** @type {any} */ s) => s.name).join(", ")}.</strong> ${text}</p>
    ${of[0].caution_source ? html`<p class="soft source">Source: ${of[0].caution_source}</p>` : nothing}</div>`,
  );
}

/** @param {FormModel} model */
export function billPart(model) {
  const { plan, ring, hours } = model.answer;
  if (!plan)
    return html`<section class="sheet" id="bill" aria-labelledby="h-bill"><h2 id="h-bill">What it takes</h2>
    <p class="soft">As soon as ring and panel have their measures, rings, wire, weight and steps stand here.</p></section>`;
  return html`<section class="sheet" id="bill" aria-labelledby="h-bill"><h2 id="h-bill">What it takes</h2>
    ${overCounted(store, model.draft?.id ?? "", plan)}${benchHours(hours)}${sums(plan)}${table(plan)}
    ${(plan.consumables ?? []).length ? html`<ul>${plan.consumables.map((/** @type {any} */ c) => html`<li>${c.name}: ${about(c.amount)} ${c.unit ?? ""}</li>`)}</ul>` : nothing}
    ${plan.warnings.filter((/** @type {string} */ w) => ![...(ring?.warnings ?? []), ...plan.panels.flatMap((/** @type {any} */ p) => p.warnings)].includes(w)).map((/** @type {string} */ w) => html`<p class="advice">${w}</p>`)}
    <details class="inset"><summary>Where it can hurt, step by step</summary>${cautions(plan.steps)}</details>
  </section>`;
}

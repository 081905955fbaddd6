// The bill of a piece: what it will take, step by step, and what must be said about it.
import { html, nothing } from "../../vendor/lit-html.js";
import { about, figure, weight } from "../../format/numbers.js";
import { some } from "../../format/words.js";
import { store } from "../../store/store.js";
import { overCounted } from "../../ui/over-counted.js";

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

/** @param {import("./form-model.js").PlanDesk} desk */
export function billPart(desk) {
  const { plan, ring, hours } = desk.answer;
  if (!plan)
    return html`<section class="sheet" id="bill" aria-labelledby="h-bill"><h2 id="h-bill">What it takes</h2>
    <p class="soft">As soon as ring and panel have their measures, rings, wire, weight and steps stand here.</p></section>`;
  return html`<section class="sheet" id="bill" aria-labelledby="h-bill"><h2 id="h-bill">What it takes</h2>
    ${overCounted(store, desk.draft?.id ?? "", plan)}${benchHours(hours)}${sums(plan)}${table(plan)}
    ${(plan.consumables ?? []).length ? html`<ul>${plan.consumables.map((/** @type {any} */ c) => html`<li>${c.name}: ${about(c.amount)} ${c.unit ?? ""}</li>`)}</ul>` : nothing}
    ${plan.warnings.filter((/** @type {string} */ w) => ![...(ring?.warnings ?? []), ...plan.panels.flatMap((/** @type {any} */ p) => p.warnings)].includes(w)).map((/** @type {string} */ w) => html`<p class="advice">${w}</p>`)}
    <details class="inset"><summary>Where it can hurt, step by step</summary>${cautions(plan.steps)}</details>
  </section>`;
}

/** Hours for the whole piece, nothing of it made yet. @param {string} id @param {any} plan @returns {Promise<{p50: number, p80: number, guessed: boolean} | null>} */
export async function hoursOf(id, plan) {
  const standing = {
    steps: plan.steps.map((/** @type {any} */ s) => ({ step: s.step, to_go: s.start })),
  };
  try {
    const { pieces, pace } = await store.ask(
      await store.answers.questionFor([{ id, plan, standing }]),
    );
    return {
      ...pieces[0].hours,
      guessed: pace.every((/** @type {any} */ p) => p.from === "guess"),
    };
  } catch {
    return null; // the plan stands without it; the Forecast says what is wrong with the pace
  }
}

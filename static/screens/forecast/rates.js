// The rates a price is made of: the workshop's own, and the costs of one piece.
import { html } from "../../vendor/lit-html.js";
import { forecast as text, ui } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { choices, label } from "../../format/labels.js";
import { sum } from "../../engine/price-question.js";
import {
  choiceField,
  clearError,
  moneyField,
  inputField,
  moneyExample,
  moneyIn,
  numberField,
  showError,
  textField,
} from "../../ui/form-fields.js";

const OF_THE_PRICE = 95; // percent of profit at most, where it is a share of the price

/** Name and the most percent. @type {["overhead_percent" | "margin_percent" | "tax_percent" | "deposit_percent", number][]} */
const SHARES = [
  ["overhead_percent", 1000],
  ["margin_percent", 1000],
  ["tax_percent", 1000],
  ["deposit_percent", 100],
];

/** @param {string} at @param {number} digits @param {{field: string, why: string} | null} refused */
export function ratesForm(at, digits, refused) {
  const bad = (/** @type {string} */ field) => (refused?.field === field ? refused.why : "");
  const ofPrice = store.setting("margin_on", "price") === "price";
  return html`<div class="pair">
    ${textField(`currency-${at}`, label("currency"), store.setting("currency", ""), (v) => store.setSetting("currency", v?.toUpperCase() ?? null), { longest: 3, error: bad("currency"), hint: text.currencyHint })}
    ${moneyField(`rate-${at}`, label("rate"), store.setting("rate", null), digits, (v) => store.setSetting("rate", v), { hint: text.rateHint })}
    ${moneyField(`kilo-${at}`, label("wire_per_kg"), store.setting("wire_per_kg", null), digits, (v) => store.setSetting("wire_per_kg", v), { hint: text.wirePriceHint })}
    ${SHARES.map(([name, most]) => numberField(`${name}-${at}`, label(name), store.setting(name, 0), (v) => store.setSetting(name, v ?? 0), { unit: "%", high: name === "margin_percent" && ofPrice ? OF_THE_PRICE : most, error: bad(name) }))}
    ${choiceField(
      `on-${at}`,
      label("margin_on"),
      store.setting("margin_on", "price"),
      choices("margin_on"),
      (v) => store.setSetting("margin_on", v),
    )}
  </div>`;
}

/** @typedef {import("../../entities").OtherCost} OtherCost */

/** @param {import("../../entities").Entity<"piece">} piece @param {import("../../answers").PieceAnswer | null} plan @param {number} digits */
export function costsForm(piece, plan, digits) {
  const costs = piece.costs ?? [];
  const keep = (/** @type {OtherCost[]} */ rows) => store.set("piece", piece.id, { costs: rows });
  return html`<fieldset><legend>${label("costs")}</legend>
    ${(plan?.consumables ?? []).map((c) => moneyField(`use-${piece.id}-${c.name}`, text.materialCost(c.name, c.unit || text.unit), store.thing("price", c.name)?.per_unit ?? null, digits, (v) => store.set("price", c.name, { per_unit: v })))}
    ${
      costs.length
        ? html`<ul class="plain">${costs.map(
            (
              c,
              i,
            ) => html`<li class="row between"><span>${c.name} <strong>${sum(c.amount, { digits })}</strong></span>
      <button @click=${() => keep(costs.filter((_, k) => k !== i))} aria-label=${ui.named(ui.remove, c.name)}>${ui.remove}</button></li>`,
          )}</ul>`
        : null
    }
    <form class="row" novalidate @submit=${(/** @type {SubmitEvent} */ e) => add(e, costs, digits, keep)} @input=${clearError}>
      ${inputField(`cost-${piece.id}`, label("consumables.name"), { name: "name", longest: 80, placeholder: text.costExamples })}
      ${inputField(`amount-${piece.id}`, text.costAmount, { name: "amount", short: true, mode: "decimal" })}
      <button>${text.addCost}</button></form></fieldset>`;
}

/** @param {SubmitEvent} e @param {OtherCost[]} costs @param {number} digits @param {(rows: OtherCost[]) => unknown} keep */
function add(e, costs, digits, keep) {
  e.preventDefault();
  const form = /** @type {HTMLFormElement} */ (e.target);
  const name = /** @type {HTMLInputElement} */ (form.elements.namedItem("name")),
    amount = /** @type {HTMLInputElement} */ (form.elements.namedItem("amount"));
  const missing = { amount: null, why: text.costAmountNeeded(moneyExample(digits)) };
  const { amount: value, why } = amount.value.trim()
    ? moneyIn(amount.value, text.costAmount, digits)
    : missing;
  showError(name, name.value.trim() ? "" : text.costNeeded);
  showError(amount, value === 0 ? missing.why : why);
  if (!value || why || !name.value.trim()) return;
  keep([...costs, { name: name.value.trim(), amount: value }]);
  form.reset();
}

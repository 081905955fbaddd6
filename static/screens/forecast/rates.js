// The rates a price is made of: the workshop's own, and the costs of one piece.
import { html } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { typedMoney } from "../../format/parse-number.js";
import { sum } from "../../engine/price-question.js";
import {
  choiceField,
  clearError,
  moneyField,
  inputField,
  moneyExample,
  numberField,
  showError,
  textField,
} from "../../ui/form-fields.js";

const OF_THE_PRICE = 95; // percent of profit at most, where it is a share of the price

/** Name, words and the most percent. @type {[string, string, number][]} */
const SHARES = [
  ["overhead_percent", "Overhead on labour and material", 1000],
  ["margin_percent", "Profit", 1000],
  ["tax_percent", "Tax", 1000],
  ["deposit_percent", "Deposit", 100],
];

/** @param {string} at @param {number} digits @param {{field: string, why: string} | null} refused */
export function ratesForm(at, digits, refused) {
  const bad = (/** @type {string} */ field) => (refused?.field === field ? refused.why : "");
  const ofPrice = store.setting("margin_on", "price") === "price";
  return html`<div class="pair">
    ${textField(`currency-${at}`, "Currency", store.setting("currency", ""), (v) => store.setSetting("currency", v?.toUpperCase() ?? null), { longest: 3, error: bad("currency"), hint: "Three letters, such as EUR, GBP or JPY." })}
    ${moneyField(`rate-${at}`, "Your hourly rate", store.setting("rate", null), digits, (v) => store.setSetting("rate", v), { hint: "What you want for an hour at the bench." })}
    ${moneyField(`kilo-${at}`, "A kilogram of wire", store.setting("wire_per_kg", null), digits, (v) => store.setSetting("wire_per_kg", v), { hint: "Where no reel says its own." })}
    ${SHARES.map(([name, words, most]) => numberField(`${name}-${at}`, words, store.setting(name, 0), (v) => store.setSetting(name, v ?? 0), { unit: "%", high: name === "margin_percent" && ofPrice ? OF_THE_PRICE : most, error: bad(name) }))}
    ${choiceField(
      `on-${at}`,
      "Profit is a share of",
      store.setting("margin_on", "price"),
      [
        ["price", "the price"],
        ["cost", "the cost"],
      ],
      (v) => store.setSetting("margin_on", v),
    )}
  </div>`;
}

/** @param {any} piece @param {any} plan @param {number} digits */
export function costsForm(piece, plan, digits) {
  /** @type {{name: string, amount: number}[]} */
  const costs = piece.costs ?? [];
  const keep = (/** @type {any[]} */ rows) => store.set("piece", piece.id, { costs: rows });
  return html`<fieldset><legend>Costs of this piece</legend>
    ${(plan?.consumables ?? []).map((/** @type {any} */ c) => moneyField(`use-${piece.id}-${c.name}`, `${c.name}, a ${c.unit || "unit"}`, store.thing("price", c.name)?.per_unit ?? null, digits, (v) => store.set("price", c.name, { per_unit: v })))}
    ${
      costs.length
        ? html`<ul class="plain">${costs.map(
            (
              c,
              i,
            ) => html`<li class="row between"><span>${c.name} <strong>${sum(c.amount, { digits })}</strong></span>
      <button @click=${() => keep(costs.filter((_, k) => k !== i))} aria-label=${`Take out ${c.name}`}>Take out</button></li>`,
          )}</ul>`
        : null
    }
    <form class="row" novalidate @submit=${(/** @type {SubmitEvent} */ e) => add(e, costs, digits, keep)} @input=${clearError}>
      ${inputField(`cost-${piece.id}`, "What", { name: "name", longest: 80, placeholder: "Lining, straps, carriage" })}
      ${inputField(`amount-${piece.id}`, "How much", { name: "amount", short: true, mode: "decimal" })}
      <button>Add a cost</button></form></fieldset>`;
}

/** @param {SubmitEvent} e @param {any[]} costs @param {number} digits @param {(rows: any[]) => unknown} keep */
function add(e, costs, digits, keep) {
  e.preventDefault();
  const form = /** @type {HTMLFormElement} */ (e.target);
  const name = /** @type {HTMLInputElement} */ (form.elements.namedItem("name")),
    amount = /** @type {HTMLInputElement} */ (form.elements.namedItem("amount"));
  const value = typedMoney(amount.value, digits);
  showError(name, name.value.trim() ? "" : "What: say what the cost is for, such as lining.");
  showError(amount, value ? "" : `How much: give a sum above 0. ${moneyExample(digits)}`);
  if (!value || !name.value.trim()) return;
  keep([...costs, { name: name.value.trim(), amount: value }]);
  form.reset();
}

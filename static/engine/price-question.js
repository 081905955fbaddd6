// Puts a piece, its hours and the maker's rates into the engine's question `price`. Money is whole
// numbers of the smallest unit everywhere; only fields show it with a point.
import { engine as text, format } from "../texts/texts.js";
import { figure } from "../format/numbers.js";
import { isSameWire } from "./questions.js";

/** @typedef {import("../entities").Entries} Entries */
/** @typedef {import("../entities").Entity<"reel">} Reel */
/** @typedef {import("../answers").PieceAnswer} PieceAnswer */

const SHARES = /** @type {const} */ ([
  "overhead_percent",
  "margin_percent",
  "tax_percent",
  "deposit_percent",
]);

/** @param {Reel[]} reels @param {import("../answers").PlannedWire} wire @param {number | null} usual smallest units a kilogram */
function perKg(reels, wire, usual) {
  const prices = reels
    .filter((r) => isSameWire(r, wire))
    .map((r) => r.per_kg ?? 0)
    .filter((price) => price > 0);
  return prices.length ? Math.max(...prices) : usual;
}

/**
 * @param {Entries} store
 * @param {import("../entities").Entity<"piece">} piece @param {PieceAnswer} plan @param {{p50: number, p80: number}} hours whole work: done and to come
 */
export function priceQuestion(store, piece, plan, hours) {
  const reels = store.things("reel"),
    usual = store.setting("wire_per_kg", null);
  const wires = plan.wires.map((w) => ({
    name: text.wire(w.metal || format.noMetal, w.wire_mm),
    kg: w.buy_kg ?? w.kg,
    per_kg: perKg(reels, w, usual),
  }));
  const used = plan.consumables.map((c) => ({
    ...c,
    per_unit: store.thing("price", c.name)?.per_unit ?? null,
  }));
  return {
    ask: /** @type {const} */ ("price"),
    currency: store.setting("currency", ""),
    hours,
    rate: store.setting("rate", null),
    wire: wires.filter((w) => w.kg != null && w.per_kg != null),
    consumables: used.filter((c) => c.per_unit != null),
    other: (piece.costs ?? []).filter((c) => c.name && c.amount > 0),
    margin_on: store.setting("margin_on", "price"),
    ...Object.fromEntries(SHARES.map((name) => [name, store.setting(name, 0)])),
  };
}

/**
 * What is not in the price because nobody said what it costs.
 * @param {Entries} store
 * @param {PieceAnswer} plan
 * @returns {string[]}
 */
export function unpriced(store, plan) {
  const reels = store.things("reel"),
    usual = store.setting("wire_per_kg", null);
  const out = plan.wires
    .filter((w) => w.kg == null || perKg(reels, w, usual) == null)
    .map((w) => text.wireSize(w.wire_mm));
  return [
    ...out,
    ...plan.consumables
      .filter((c) => store.thing("price", c.name)?.per_unit == null)
      .map((c) => c.name),
  ];
}

/** @param {number} amount in the smallest unit @param {number} digits */
export const major = (amount, digits) => (amount / 10 ** digits).toFixed(digits);

/** @type {Map<string, number>} */
const known = new Map();

/**
 * Digits after the point of the maker's currency, as far as the engine has answered.
 * @param {Pick<Entries, "setting">} store
 */
export const digitsOf = (store) => known.get(store.setting("currency", "")) ?? 2;

/**
 * Ask the engine once a currency; true when that was news.
 * @param {Pick<Entries, "setting"> & {ask: import("./question-parts.js").Ask}} store
 */
export async function learnDigits(store) {
  const currency = store.setting("currency", "");
  if (!currency || known.has(currency)) return false;
  known.set(currency, 2);
  const { digits } = await store
    .ask({ ask: "price", currency, rate: 0, hours: { p50: 0, p80: 0 } })
    .catch(() => ({ digits: 2 }));
  known.set(currency, digits);
  return digits !== 2;
}

/** @param {number} amount @param {{digits: number}} currency */
export const sum = (amount, { digits }) => figure(amount / 10 ** digits, digits);

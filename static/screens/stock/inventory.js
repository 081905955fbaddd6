// What lies on the shelf: reels, weighed with their wire or full less what was used, and rings already cut or bought.
import { html, svg } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { about, figure, percent, weight } from "../../format/numbers.js";
import { several } from "../../format/words.js";
import { digitsOf } from "../../engine/price-question.js";
import { told } from "../../engine/stock-question.js";
import {
  choiceField,
  massField,
  massUnit,
  moneyField,
  numberField,
  textField,
} from "../../ui/form-fields.js";

const KNOWN = { weight: "by weight", given: "as given", use: "full less what was used" };

/** @param {any[]} metals @param {any} answer @param {{field: string, why: string} | null} refused */
export function reelsSheet(metals, answer, refused) {
  const reels = store.things("reel");
  const at = reels.filter(told);
  return html`<section class="sheet" aria-labelledby="reels"><h2 id="reels">Reels</h2>
    ${
      reels.length
        ? choiceField(
            "mass-unit",
            "Reels are weighed in",
            massUnit(),
            [
              ["g", "grams"],
              ["kg", "kilograms"],
            ],
            (v) => store.setOwn("mass_unit", v),
          )
        : null
    }
    ${reels.map((reel) =>
      reelCard(
        reel,
        metals,
        answer?.reels.find((/** @type {any} */ r) => r.id === reel.id),
        badOf(
          refused,
          at.findIndex((r) => r.id === reel.id),
        ),
      ),
    )}
    <button class="main" @click=${() => store.set("reel", store.newId(), { name: `Reel ${reels.length + 1}`, metal: metals[0]?.name ?? "mild steel", wire_mm: 1.6, how: "weight", order: reels.length + 1 })}>Add a reel</button></section>`;
}

/**
 * What was refused of this reel: `reels[2].empty_g`.
 * @param {{field: string, why: string} | null} refused
 * @param {number} place
 * @returns {(field: string) => string}
 */
function badOf(refused, place) {
  return (field) =>
    place >= 0 && refused?.field === `reels[${place}].${field}` ? refused.why : "";
}

/** @param {any} reel @param {any[]} metals @param {any} figures @param {(field: string) => string} bad */
function reelCard(reel, metals, figures, bad) {
  const set = (/** @type {string} */ field) => (/** @type {any} */ value) =>
    store.set("reel", reel.id, { [field]: value });
  const id = (/** @type {string} */ field) => `reel-${reel.id}-${field}`;
  const full = reel.start_g > 0 ? reel.start_g : null;
  const name = reel.name ?? "Reel";
  return html`<article class="reelcard" aria-label=${name}>
    <div class="row">${picture(figures && full ? figures.grams / full : null)}<div class="grow"><h3>${name}</h3>
      <p>${figures ? html`<strong>${weight(figures.grams)}</strong>, about ${about(figures.metres)} m, ${KNOWN[/** @type {keyof typeof KNOWN} */ (figures.known_by)] ?? ""}` : "Weigh it, or say how much a full one holds."}</p></div></div>
    <details><summary>Change ${name}</summary>
      <div class="pair">
        ${textField(id("name"), "Name", reel.name, set("name"))}
        ${choiceField(
          id("metal"),
          "Metal",
          reel.metal,
          metals.map((m) => [m.name, m.name]),
          set("metal"),
        )}
        ${numberField(id("wire"), "Wire", reel.wire_mm, set("wire_mm"), { unit: "mm", low: 0.1, high: 10, error: bad("wire_mm") })}
        ${choiceField(
          id("how"),
          "How you know what is left",
          reel.how ?? "weight",
          [
            ["weight", "weighing it"],
            ["use", "what was used"],
          ],
          set("how"),
        )}
        ${
          reel.how === "use"
            ? null
            : html`
          ${massField(id("gross"), "Weight now, reel and wire", reel.gross_g, set("gross_g"), { error: bad("gross_g") })}
          ${massField(id("empty"), "Empty reel", reel.empty_g, set("empty_g"), { error: bad("empty_g") })}`
        }
        ${massField(id("start"), "Wire when full", reel.start_g, set("start_g"), { error: bad("start_g") })}
        ${reel.how === "use" ? numberField(id("used"), "Used since", reel.used_m, set("used_m"), { unit: "m", error: bad("used_m") }) : null}
        ${moneyField(id("per-kg"), "Price of a kilogram", reel.per_kg ?? null, digitsOf(store), set("per_kg"))}
        ${textField(id("batch"), "Batch or maker's mark", reel.batch, set("batch"), { hint: "For the piece's card: a repair years later wants the same wire." })}
      </div>
      <button @click=${() => store.set("reel", reel.id, { deleted: true })}>Take ${name} off the shelf</button>
    </details></article>`;
}

/** @param {any} ring */
export const ringWords = (ring) =>
  ring
    ? `${ring.name ? `${ring.name}: ` : ""}${ring.metal ?? "ring"}, wire ${figure(ring.wire_mm, 2)} mm, inside ${figure(ring.inner_mm, 1)} mm`
    : "a ring no longer kept";

export function ringsSheet() {
  const heaps = store.things("rings"),
    rings = store.things("ring");
  if (!rings.length) return null;
  return html`<section class="sheet" aria-labelledby="heaps"><h2 id="heaps">Rings on hand</h2>
    <p class="soft">Cut or bought rings that no piece has counted yet. They are taken before any wire.</p>
    ${heaps.map(
      (
        heap,
      ) => html`<article class="reelcard" aria-label=${ringWords(store.thing("ring", heap.ring))}>
      <p><strong>${several(heap.n ?? 0, "ring")}</strong> <span class="soft">${ringWords(store.thing("ring", heap.ring))}</span></p>
      <div class="pair">
        ${choiceField(
          `heap-${heap.id}-ring`,
          "Ring",
          heap.ring,
          rings.map((r) => [r.id, ringWords(r)]),
          (v) => store.set("rings", heap.id, { ring: v }),
        )}
        ${numberField(`heap-${heap.id}-n`, "How many", heap.n, (v) => store.set("rings", heap.id, { n: v ?? 0 }), { high: 1e7, whole: true })}
      </div><button @click=${() => store.set("rings", heap.id, { deleted: true })}>Take out</button></article>`,
    )}
    <button @click=${() => store.set("rings", store.newId(), { ring: rings[0].id, n: 0, order: heaps.length + 1 })}>Add rings</button></section>`;
}

const CORE = 7,
  FULL = 21;

/**
 * A reel from its side: the wire still on it as a band around the core.
 * @param {number | null} share of a full reel, null when that is not known
 */
function picture(share) {
  const kept = share == null ? 0.5 : Math.min(1, Math.max(0, share));
  const outer = Math.sqrt(CORE * CORE + kept * (FULL * FULL - CORE * CORE)); // a band's area goes with its wire
  return html`<svg class="reel" viewBox="0 0 48 48" role="img" aria-label=${share == null ? "Reel" : `Reel, ${percent(kept)} left`}>
    <circle class="flange" cx="24" cy="24" r="23"/><circle class="wire" cx="24" cy="24" r=${(outer + CORE) / 2} stroke-width=${Math.max(0.01, outer - CORE)}/>
    <circle class="core" cx="24" cy="24" r=${CORE}/></svg>`;
}

/**
 * A length wanted beside the length held.
 * @param {number} held
 * @param {number} needed in the same unit
 * @param {string} said
 */
export function reach(held, needed, said) {
  const most = Math.max(held, needed, 1e-9),
    x = (/** @type {number} */ v) => 4 + 292 * (v / most);
  return html`<svg class="reach" viewBox="0 0 300 40" role="img" aria-label=${said}>
    <path class="wanted" d="M4 28H${x(needed)}"/><path class="held" d="M4 12H${x(held)}"/>
    ${held < needed ? svg`<path class="gap" d="M${x(held)} 4V36"/>` : null}</svg>`;
}

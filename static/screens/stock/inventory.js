// What lies on the shelf: reels, weighed with their wire or full less what was used, and rings already cut or bought.
import { html, svg } from "../../vendor/lit-html.js";
import { format, stock as text, ui } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { about, percent, weight } from "../../format/numbers.js";
import { ringWords } from "../../format/entity-words.js";
import { choices, label } from "../../format/labels.js";
import { several } from "../../format/words.js";
import { digitsOf } from "../../engine/price-question.js";
import { isWhole } from "../../engine/stock-question.js";
import {
  choiceField,
  massField,
  massUnit,
  moneyField,
  numberField,
  textField,
} from "../../ui/form-fields.js";
import { richText } from "../../ui/rich-text.js";

/** @typedef {import("../../entities").ReelEntity} ReelEntity */
/** @typedef {import("../../answers").Metal} Metal */
/** @typedef {import("../../answers").Reel} ReelFigures */
/** @typedef {import("../../types").Fault} Fault */

/** @param {Metal[]} metals @param {import("../../answers").StockAnswer | null} answer @param {Fault | null} refused */
export function reelsSheet(metals, answer, refused) {
  const reels = store.things("reel");
  const at = reels.filter(isWhole);
  return html`<section class="sheet" aria-labelledby="reels"><h2 id="reels">${text.reels}</h2>
    ${
      reels.length
        ? choiceField("mass-unit", label("mass_unit"), massUnit(), choices("mass_unit"), (v) =>
            store.setOwn("mass_unit", v === "kg" ? "kg" : "g"),
          )
        : null
    }
    ${reels.map((reel) =>
      reelCard(
        reel,
        metals,
        answer?.reels.find((r) => r.id === reel.id),
        badOf(
          refused,
          at.findIndex((r) => r.id === reel.id),
        ),
      ),
    )}
    <button class="main" @click=${() => store.set("reel", store.newId(), { name: text.reelNumber(reels.length + 1), ...newWire(metals, answer), how: "weight", order: reels.length + 1 })}>${text.addReel}</button></section>`;
}

/**
 * What a new reel likely holds: the wire that is lacking most, else any.
 * @param {Metal[]} metals @param {import("../../answers").StockAnswer | null} answer
 */
function newWire(metals, answer) {
  const lacking = (answer?.wires ?? []).filter((w) => w.buy_m > 0);
  const [most] = lacking.sort((a, b) => b.buy_m - a.buy_m);
  if (!most) return { metal: metals[0]?.name ?? "mild steel", wire_mm: 1.6 };
  return { metal: most.metal, wire_mm: most.wire_mm };
}

/**
 * What was refused of this reel: `reels[2].empty_g`.
 * @param {Fault | null} refused
 * @param {number} place
 * @returns {(field: string) => string}
 */
function badOf(refused, place) {
  return (field) =>
    place >= 0 && refused?.field === `reels[${place}].${field}` ? refused.why : "";
}

/** @param {import("../../entities").Entity<"reel">} reel @param {Metal[]} metals @param {ReelFigures | undefined} figures @param {(field: string) => string} bad */
function reelCard(reel, metals, figures, bad) {
  /** @type {<F extends keyof ReelEntity>(field: F) => (value: ReelEntity[F] | null) => Promise<void>} */
  const set = (field) => (value) => store.set("reel", reel.id, { [field]: value });
  const id = (/** @type {string} */ field) => `reel-${reel.id}-${field}`;
  const full = reel.start_g && reel.start_g > 0 ? reel.start_g : null;
  const name = reel.name ?? format.things.reel;
  return html`<article class="reelcard" aria-label=${name}>
    <div class="row">${picture(figures && full ? figures.grams / full : null)}<div class="grow"><h3>${name}</h3>
      <p>${figures ? richText(held(figures)) : text.weighIt}</p></div></div>
    <details><summary>${text.change(name)}</summary>
      <div class="pair">
        ${textField(id("name"), label("name"), reel.name, set("name"))}
        ${choiceField(
          id("metal"),
          label("metal"),
          reel.metal,
          metals.map((m) => [m.name, m.name]),
          set("metal"),
        )}
        ${numberField(id("wire"), label("wire_mm"), reel.wire_mm, set("wire_mm"), { unit: "mm", low: 0.1, high: 10, error: bad("wire_mm") })}
        ${choiceField(
          id("how"),
          label("reel.how"),
          reel.how ?? "weight",
          choices("reel.how"),
          (how) => set("how")(how === "use" ? how : "weight"),
        )}
        ${
          reel.how === "use"
            ? null
            : html`
          ${massField(id("gross"), label("gross_g"), reel.gross_g, set("gross_g"), { error: bad("gross_g") })}
          ${massField(id("empty"), label("empty_g"), reel.empty_g, set("empty_g"), { error: bad("empty_g") })}`
        }
        ${massField(id("start"), label("start_g"), reel.start_g, set("start_g"), { error: bad("start_g") })}
        ${reel.how === "use" ? numberField(id("used"), label("used_m"), reel.used_m, set("used_m"), { unit: "m", error: bad("used_m") }) : null}
        ${moneyField(id("per-kg"), label("per_kg"), reel.per_kg ?? null, digitsOf(store), set("per_kg"))}
        ${textField(id("batch"), label("reel.batch"), reel.batch, set("batch"), { hint: text.batchHint })}
      </div>
      <button @click=${() => store.set("reel", reel.id, { deleted: true })}>${text.removeReel(name)}</button>
    </details></article>`;
}

/** @param {ReelFigures} figures of a reel */
const held = ({ grams, metres, known_by }) =>
  text.holds(weight(grams), about(metres), text.knownBy[known_by]);

/** @param {import("../../entities").Entity<"ring"> | null} ring */
function named(ring) {
  if (!ring) return text.deletedRing;
  return ring.name ? text.namedRing(ring.name, ringWords(ring)) : ringWords(ring);
}

export function ringsSheet() {
  const heaps = store.things("rings"),
    rings = store.things("ring");
  if (!rings.length) return null;
  return html`<section class="sheet" aria-labelledby="heaps"><h2 id="heaps">${format.things.rings}</h2>
    <p class="soft">${text.ringsHint}</p>
    ${heaps.map(
      (
        heap,
      ) => html`<article class="reelcard" aria-label=${named(store.thing("ring", heap.ring ?? ""))}>
      <p><strong>${several(heap.n ?? 0, "ring")}</strong> <span class="soft">${named(store.thing("ring", heap.ring ?? ""))}</span></p>
      <div class="pair">
        ${choiceField(
          `heap-${heap.id}-ring`,
          label("ring"),
          heap.ring,
          rings.map((r) => [r.id, named(r)]),
          (v) => store.set("rings", heap.id, { ring: v }),
        )}
        ${numberField(`heap-${heap.id}-n`, label("rings.n"), heap.n, (v) => store.set("rings", heap.id, { n: v ?? 0 }), { high: 1e7, whole: true })}
      </div><button @click=${() => store.set("rings", heap.id, { deleted: true })}>${ui.remove}</button></article>`,
    )}
    <button @click=${() => store.set("rings", store.newId(), { ring: rings[0].id, n: 0, order: heaps.length + 1 })}>${text.addRings}</button></section>`;
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
  return html`<svg class="reel" viewBox="0 0 48 48" role="img" aria-label=${share == null ? format.things.reel : text.reelLeft(percent(kept))}>
    <circle class="flange" cx="24" cy="24" r="23"/><circle class="wire" cx="24" cy="24" r=${(outer + CORE) / 2} stroke-width=${Math.max(0.01, outer - CORE)}/>
    <circle class="core" cx="24" cy="24" r=${CORE}/></svg>`;
}

/**
 * A length wanted beside the length held.
 * @param {number} held
 * @param {number} needed in the same unit
 * @param {string} label
 */
export function reach(held, needed, label) {
  const most = Math.max(held, needed, 1e-9),
    x = (/** @type {number} */ v) => 4 + 292 * (v / most);
  return html`<svg class="reach" viewBox="0 0 300 40" role="img" aria-label=${label}>
    <path class="wanted" d="M4 28H${x(needed)}"/><path class="held" d="M4 12H${x(held)}"/>
    ${held < needed ? svg`<path class="gap" d="M${x(held)} 4V36"/>` : null}</svg>`;
}

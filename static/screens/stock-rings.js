// Rings already cut or bought, by size.
import { html } from "../vendor/lit-html.js";
import { store } from "../store.js";
import { figure } from "../figures.js";
import { several } from "../plainly.js";
import { choiceEntry, numberEntry } from "./entry.js";

/** @param {any} ring */
export const ringWords = (ring) => (ring ? `${ring.name ? `${ring.name}: ` : ""}${ring.metal ?? "ring"}, wire ${figure(ring.wire_mm, 2)} mm, inside ${figure(ring.inner_mm, 1)} mm` : "a ring no longer kept");

export function ringsSheet() {
  const heaps = store.things("rings"), rings = store.things("ring");
  if (!rings.length) return null;
  return html`<section class="sheet" aria-labelledby="heaps"><h2 id="heaps">Rings on hand</h2>
    <p class="soft">Cut or bought rings that no piece has counted yet. They are taken before any wire.</p>
    ${heaps.map((heap) => html`<article class="reelcard" aria-label=${ringWords(store.thing("ring", heap.ring))}>
      <p><strong>${several(heap.n ?? 0, "ring")}</strong> <span class="soft">${ringWords(store.thing("ring", heap.ring))}</span></p>
      <div class="pair">
        ${choiceEntry(`heap-${heap.id}-ring`, "Ring", heap.ring, rings.map((r) => [r.id, ringWords(r)]), (v) => store.set("rings", heap.id, { ring: v }))}
        ${numberEntry(`heap-${heap.id}-n`, "How many", heap.n, (v) => store.set("rings", heap.id, { n: Math.round(v ?? 0) }), { high: 1e7 })}
      </div><button @click=${() => store.set("rings", heap.id, { deleted: true })}>Take out</button></article>`)}
    <button @click=${() => store.set("rings", store.newId(), { ring: rings[0].id, n: 0, order: heaps.length + 1 })}>Add rings</button></section>`;
}

// One ring to scale, seen flat: wire, inside, and the lap with its rivet.
import { html, svg, nothing } from "../vendor/lit-html.js";
import { pictures as text } from "../texts/texts.js";
import { some } from "../format/words.js";

const SIZE = 240,
  ROOM = 30;

/** @param {number} r @param {number} angle radians from the top, clockwise */
const point = (r, angle) =>
  `${(r * Math.sin(angle)).toFixed(2)} ${(-r * Math.cos(angle)).toFixed(2)}`;

/** @param {number} r @param {number} from @param {number} to */
const arc = (r, from, to) =>
  `M${point(r, from)} A${r} ${r} 0 ${to - from > Math.PI ? 1 : 0} 1 ${point(r, to)}`;

/** @param {number} angle @param {number} mid @param {number} wire across the wire */
const across = (angle, mid, wire) =>
  `M${point(mid - wire / 2, angle)} L${point(mid + wire / 2, angle)}`;

/**
 * The lap: where the wire lies double; the upper end's edge is drawn whole, the lower one's dashed.
 * @param {number} mid
 * @param {number} wire
 * @param {number} half its half angle
 * @param {boolean} riveted
 * @param {boolean} left whether the left end lies on top
 */
function lap(mid, wire, half, riveted, left) {
  const upper = left ? half : -half;
  return svg`<path class="wire double" stroke-width=${wire * 1.12} d=${arc(mid, -half, half)}></path>
    <path class="edge" d=${across(upper, mid, wire * 1.12)}></path><path class="edge hidden" d=${across(-upper, mid, wire * 1.12)}></path>
    ${riveted ? svg`<circle class="rivet" cx="0" cy=${-mid} r=${Math.max(3, wire * 0.28)}></circle>` : nothing}`;
}

/**
 * @param {{wire_mm: number, inner_mm: number, lap_mm?: number, kind?: string}} ring a ring the engine has accepted
 * @param {string} [overlap] "left_over_right" or "right_over_left"
 */
export function ringPicture({ wire_mm, inner_mm, lap_mm, kind }, overlap) {
  const outer = inner_mm + 2 * wire_mm;
  const scale = (SIZE - 2 * ROOM) / outer;
  const mid = ((inner_mm + wire_mm) * scale) / 2,
    wire = wire_mm * scale;
  const half = Math.min(1.2, (lap_mm ?? 0) / (inner_mm + wire_mm));
  const spoken = lap_mm
    ? text.ringWordsLap(some(inner_mm), some(outer), some(wire_mm), some(lap_mm))
    : text.ringWords(some(inner_mm), some(outer), some(wire_mm));
  const reach = (inner_mm * scale) / 2;
  return html`<figure class="ring-picture">
    <svg viewBox=${`${-SIZE / 2} ${-SIZE / 2} ${SIZE} ${SIZE}`} role="img" aria-label=${spoken}>
      <circle class="wire" r=${mid} stroke-width=${wire}></circle>
      ${half ? lap(mid, wire, half, kind === "riveted", overlap !== "right_over_left") : nothing}
      ${kind === "butted" ? svg`<path class="gap" d=${across(0, mid, wire)}></path>` : nothing}
      <path class="size" d=${`M${-reach} 0 H${reach} M${-reach} -6 v12 M${reach} -6 v12`}></path>
      <text class="size-text" x="0" y="-8" text-anchor="middle">${some(inner_mm)} mm</text>
      <text class="size-text" x="0" y="26" text-anchor="middle">${text.wires(some(inner_mm / wire_mm))}</text>
    </svg>
  </figure>`;
}

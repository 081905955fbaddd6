// A reel from its side: the wire still on it as a band around the core; and a length wanted beside the length held.
import { html, svg } from "../vendor/lit-html.js";
import { percent } from "../figures.js";

const CORE = 7, FULL = 21;

/** @param {number | null} share of a full reel, null when that is not known */
export function reel(share) {
  const kept = share == null ? 0.5 : Math.min(1, Math.max(0, share));
  const outer = Math.sqrt(CORE * CORE + kept * (FULL * FULL - CORE * CORE)); // a band's area goes with its wire
  return html`<svg class="reel" viewBox="0 0 48 48" role="img" aria-label=${share == null ? "Reel" : `Reel, ${percent(kept)} left`}>
    <circle class="flange" cx="24" cy="24" r="23"/><circle class="wire" cx="24" cy="24" r=${(outer + CORE) / 2} stroke-width=${Math.max(0.01, outer - CORE)}/>
    <circle class="core" cx="24" cy="24" r=${CORE}/></svg>`;
}

/** @param {number} held @param {number} needed in the same unit @param {string} said */
export function reach(held, needed, said) {
  const most = Math.max(held, needed, 1e-9), x = (/** @type {number} */ v) => 4 + 292 * (v / most);
  return html`<svg class="reach" viewBox="0 0 300 40" role="img" aria-label=${said}>
    <path class="wanted" d="M4 28H${x(needed)}"/><path class="held" d="M4 12H${x(held)}"/>
    ${held < needed ? svg`<path class="gap" d="M${x(held)} 4V36"/>` : null}</svg>`;
}

// Every sitting of a step as a rivet: across by day, upward by the time one item took (each line
// twice the one below, so that a tenth quicker looks the same at seconds and at minutes).
import { html, svg } from "../vendor/lit-html.js";
import { pictures as text } from "../texts/texts.js";
import { figure } from "../format/numbers.js";
import { day, daysBetween, minutes } from "../format/words.js";

const WIDTH = 340,
  HEIGHT = 170,
  LEFT = 64,
  BASE = 140,
  TOP = 12;

/** @typedef {{date: string, each: number, items: number}} Rivet */

/** Doublings that cover all values. @param {number[]} values */
function doublings(values) {
  const low = Math.floor(Math.log2(Math.min(...values))),
    high = Math.ceil(Math.log2(Math.max(...values)));
  return Array.from({ length: Math.max(2, high - low + 1) }, (_, i) => 2 ** (low + i));
}

/**
 * @param {Rivet[]} sittings oldest first, at least one @param {{p10: number, p50: number, p90: number} | undefined} now min an item
 * @param {string} today @param {string} name
 */
export function paceOverTime(sittings, now, today, name) {
  const lines = doublings([...sittings.map((s) => s.each), ...(now ? [now.p10, now.p90] : [])]);
  const low = Math.log2(lines[0]),
    high = Math.log2(lines[lines.length - 1]);
  const y = (/** @type {number} */ each) =>
    BASE - ((BASE - TOP) * (Math.log2(each) - low)) / (high - low);
  const span = Math.max(1, daysBetween(sittings[0].date, today));
  const x = (/** @type {string} */ date) =>
    LEFT + ((WIDTH - LEFT - 20) * daysBetween(sittings[0].date, date)) / span;
  const most = Math.max(...sittings.map((s) => s.items));
  const newest = sittings[sittings.length - 1];
  const spoken = text.paceWords(
    name,
    text.sittings(figure(sittings.length)),
    minutes(sittings[0].each),
    day(sittings[0].date, true),
    minutes(newest.each),
    day(newest.date, true),
  );
  const caption = now ? `${text.paceCaption} ${text.paceNow}` : text.paceCaption;
  return html`<figure class="pace"><svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label=${spoken}>
    ${lines.map(
      (v) => svg`<path class="rule" d="M${LEFT} ${y(v)}H${WIDTH}"/>
    <text class="label" x=${LEFT - 6} y=${y(v) + 5} text-anchor="end">${minutes(v)}</text>`,
    )}
    ${now ? svg`<path class="now" d="M${WIDTH - 8} ${y(now.p10)}V${y(now.p90)}"/><path class="even" d="M${WIDTH - 16} ${y(now.p50)}h16"/>` : null}
    ${sittings.map((s) => svg`<circle class="rivet" cx=${x(s.date)} cy=${y(s.each)} r=${3 + 4 * Math.sqrt(s.items / most)}/>`)}
    <text class="label" x=${LEFT} y=${HEIGHT - 6}>${day(sittings[0].date, true)}</text>
    <text class="label" x=${WIDTH - 16} y=${HEIGHT - 6} text-anchor="end">${text.today}</text>
  </svg><figcaption>${caption}</figcaption></figure>`;
}

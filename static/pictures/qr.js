// A code for a camera: dark squares on white, whatever the theme, since some cameras read no other.
import { html } from "../vendor/lit-html.js";
import { pictures as text } from "../texts/texts.js";

const QUIET = 4; // squares of white around it, by ISO/IEC 18004

/** The dark squares of a row, each run as one box. @param {string} row of "0" and "1" @param {number} y */
const runs = (row, y) =>
  [...row.matchAll(/1+/g)].map((run) => `M${run.index} ${y}h${run[0].length}v1h-${run[0].length}z`);

/** @param {string[]} rows */
export function qrPicture(rows) {
  const side = rows.length + 2 * QUIET;
  return html`<svg class="qr" viewBox=${`${-QUIET} ${-QUIET} ${side} ${side}`} role="img" aria-label=${text.qr} shape-rendering="crispEdges">
    <rect class="light" x=${-QUIET} y=${-QUIET} width=${side} height=${side}></rect>
    <path class="dark" d=${rows.flatMap(runs).join("")}></path></svg>`;
}

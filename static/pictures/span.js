// The possible finish dates as a row of linked rings, each a stretch of days: filled while the piece is
// surely still at work, half filled while it may be, open once it is more likely done.
import { html, svg } from "../vendor/lit-html.js";
import { pictures as text } from "../texts/texts.js";
import { day, daysBetween } from "../format/words.js";

const WIDTH = 340,
  ROW = 50,
  LEFT = 14,
  MOST = 15,
  ROOM = 158;
/** @type {[number, string][]} */
const UNITS = [
  [1, text.stretches.day],
  [2, text.stretches.twoDays],
  [7, text.stretches.week],
  [14, text.stretches.twoWeeks],
  [30.44, text.stretches.month],
  [91.3, text.stretches.threeMonths],
  [182.6, text.stretches.halfYear],
  [365.25, text.stretches.year],
  [1826, text.stretches.fiveYears],
  [18262, text.stretches.fiftyYears],
];
/** @type {["p10" | "p50" | "p80" | "p95", number][]} */
const LEVELS = [
  ["p10", 0.1],
  ["p50", 0.5],
  ["p80", 0.8],
  ["p95", 0.95],
];

/** @typedef {{p10: string, p50: string, p80: string, p95: string}} Finish */

/**
 * Chance of done by `t` days, along straight lines between the levels.
 * @param {[number, number][]} points
 * @param {number} t
 */
function chanceBy(points, t) {
  for (let i = 1; i < points.length; i++) {
    const [t0, p0] = points[i - 1],
      [t1, p1] = points[i];
    if (t <= t1) return t1 > t0 ? p0 + ((p1 - p0) * (t - t0)) / (t1 - t0) : p1;
  }
  return 0.95;
}

/** @param {number} p */
const kindOf = (p) => (p < 0.1 ? "at" : p < 0.5 ? "may" : p < 0.8 ? "likely" : "done");

/** @param {number} x @param {number} r @param {string} kind */
function ring(x, r, kind) {
  const half =
    kind === "may"
      ? svg`<path class="half" d="M${x} ${ROW + r}a${r} ${r} 0 0 1 0 ${-2 * r}z"/>`
      : null;
  return svg`<g class="ring ${kind}"><circle cx=${x} cy=${ROW} r=${r}/>${half}</g>`;
}

/**
 * A date below its place on the row.
 * @param {number} x
 * @param {string} words
 * @param {number} line
 * @param {"start" | "end"} side
 */
function mark(x, words, line, side) {
  const y = 92 + 22 * line;
  return svg`<path class="mark" d="M${x} ${ROW + 16}V${y - 4}"/>
    <text class="label" x=${side === "end" ? x - 5 : x + 5} y=${y} text-anchor=${side}>${words}</text>`;
}

/** @param {number} x @param {string} when */
function flag(x, when) {
  const side = x > WIDTH * 0.56 ? "end" : "start";
  return svg`<path class="due" d="M${x} ${ROW + 14}V8l12 6l-12 6"/>
    <text class="label" x=${side === "end" ? x - 6 : x + 17} y="20" text-anchor=${side}>${text.due(when)}</text>`;
}

/**
 * The two dates, placed so that neither line crosses the other's words.
 * @param {Finish} finish
 * @param {number} x50
 * @param {number} x80
 */
function marks(finish, x50, x80) {
  const left = x50 >= ROOM;
  return svg`${mark(x50, text.likely(day(finish.p50, true)), left ? 0 : 1, left ? "end" : "start")}
    ${mark(x80, text.safe(day(finish.p80, true)), left ? 1 : 0, x80 > WIDTH - ROOM ? "end" : "start")}`;
}

/** @param {Finish} finish @param {string} today @param {string} [due] */
export function span(finish, today, due) {
  /** @type {[number, number][]} */
  const points = [
    [0, 0],
    ...LEVELS.map(
      ([name, p]) =>
        /** @type {[number, number]} */ ([Math.max(0, daysBetween(today, finish[name])), p]),
    ),
  ];
  const last = Math.max(points[4][0], due ? daysBetween(today, due) : 0, 1);
  const [unit, stretch] =
    UNITS.find(([d]) => Math.ceil(last / d) <= MOST) ?? UNITS[UNITS.length - 1];
  const count = Math.max(2, Math.ceil(last / unit));
  const pitch = Math.min(34, (WIDTH - 2 * LEFT) / count),
    r = pitch * 0.58;
  const x = (/** @type {number} */ days) => LEFT + Math.min(count, days / unit) * pitch;
  const rings = Array.from({ length: count }, (_, i) =>
    ring(LEFT + (i + 0.5) * pitch, r, kindOf(chanceBy(points, (i + 1) * unit))),
  );
  const spoken = text.spanWords(
    `${count}`,
    day(today, true),
    stretch,
    day(finish.p50),
    day(finish.p80),
  );
  const keys = Object.entries(text.spanKeys);
  return html`<figure class="span">
    <svg viewBox="0 0 ${WIDTH} 126" role="img" aria-label=${spoken}>
      ${rings}
      ${marks(finish, x(points[2][0]), x(points[3][0]))}
      ${due ? flag(x(Math.max(0, daysBetween(today, due))), day(due, true)) : null}
    </svg>
    <figcaption>${text.spanCaption(stretch)}${keys.map(([kind, words]) => html` <span class="key ${kind}">${words}</span>`)}</figcaption>
  </figure>`;
}

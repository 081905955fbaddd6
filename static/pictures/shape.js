// A panel to scale, laid open: its rows from the start edge down, and where rings are added or taken away.
// Drawn from the engine's rows and pitch; only positions on the drawing are calculated here.
import { html, nothing, svg } from "../vendor/lit-html.js";
import { pictures as text } from "../texts/texts.js";
import { figure } from "../format/numbers.js";
import { some } from "../format/words.js";

const BOX = 320,
  ROOM = 8,
  MOST_ROWS = 60,
  MOST_RINGS = 900,
  BENDS = 48;

/** @typedef {[number, number]} Point */
/**
 * @typedef {(row: number, along: number) => Point} Laid where a place lies: row from 0, along from -0.5 to 0.5 of it, mm
 */

/**
 * Rows straight, one below the other.
 * @param {number[]} rows
 * @param {{column: number, row: number}} pitch
 * @returns {Laid}
 */
const straight = (rows, pitch) => (i, along) => [along * rows[i] * pitch.column, i * pitch.row];

/**
 * A tube that widens or narrows lies flat as part of a ring, its rows as arcs.
 * @param {number[]} rows
 * @param {{column: number, row: number}} pitch
 * @returns {Laid}
 */
function fanned(rows, pitch) {
  const last = rows.length - 1 - ((rows.length - 1) % 2);
  const first_mm = rows[0] * pitch.column,
    last_mm = rows[last] * pitch.column,
    long = last * pitch.row;
  const angle = Math.min(2 * Math.PI, Math.abs(last_mm - first_mm) / long);
  if (angle < 0.02) return straight(rows, pitch);
  const inner = Math.min(first_mm, last_mm) / angle,
    grows = last_mm > first_mm;
  return (i, along) => {
    const r = inner + (grows ? i : last - i) * pitch.row;
    return [r * Math.sin(along * angle), (grows ? r : -r) * Math.cos(along * angle)];
  };
}

/** Fits the drawing into its box. @param {number[]} rows @param {Laid} laid @param {number} edge mm round about */
function fitted(rows, laid, edge) {
  const all = rows.flatMap((_, i) => Array.from({ length: 17 }, (_, k) => laid(i, k / 16 - 0.5)));
  const xs = all.map((p) => p[0]),
    ys = all.map((p) => p[1]);
  const low = [Math.min(...xs) - edge, Math.min(...ys) - edge],
    high = [Math.max(...xs) + edge, Math.max(...ys) + edge];
  const scale = (BOX - 2 * ROOM) / Math.max(high[0] - low[0], high[1] - low[1]);
  const at = (/** @type {number} */ i, /** @type {number} */ u) => {
    const [x, y] = laid(i, u);
    return /** @type {Point} */ ([ROOM + (x - low[0]) * scale, ROOM + (y - low[1]) * scale]);
  };
  return {
    at,
    scale,
    width: (high[0] - low[0]) * scale + 2 * ROOM,
    height: (high[1] - low[1]) * scale + 2 * ROOM,
  };
}

/** @param {Point} p */
const xy = ([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`;

/** @param {ReturnType<typeof fitted>} to @param {number} i @param {boolean} [back] */
function along(to, i, back) {
  const points = Array.from({ length: BENDS + 1 }, (_, k) => xy(to.at(i, k / BENDS - 0.5)));
  return (back ? points.reverse() : points).join(" L");
}

/**
 * The outline follows the closed rows: open ones are a ring shorter.
 * @param {number[]} rows
 * @param {ReturnType<typeof fitted>} to
 */
function outline(rows, to) {
  const closed = rows.map((_, i) => i).filter((i) => i % 2 === 0);
  const side = (/** @type {number} */ u) => closed.map((i) => xy(to.at(i, u)));
  return `M${along(to, 0)} L${side(0.5).join(" L")} L${along(to, closed[closed.length - 1], true)} L${side(-0.5).reverse().join(" L")} Z`;
}

/**
 * Along a row, 0.5 of a ring on where a row closed on itself holds as many as its neighbours.
 * @param {number} k
 * @param {number} n
 * @param {boolean} shifted
 */
const placeOf = (k, n, shifted) => (k + (shifted ? 1 : 0.5)) / n - 0.5;

/**
 * Every ring, while they are few enough to see each one.
 * @param {number[]} rows
 * @param {ReturnType<typeof fitted>} to
 * @param {number} r
 * @param {boolean} round
 */
function rings(rows, to, r, round) {
  return rows.map((n, i) =>
    Array.from({ length: n }, (_, k) => {
      const [x, y] = to.at(i, placeOf(k, n, round && i % 2 === 1));
      return svg`<circle class=${i % 2 ? "open" : "closed"} cx=${x.toFixed(1)} cy=${y.toFixed(1)} r=${r.toFixed(1)}></circle>`;
    }),
  );
}

/** @param {number[]} rows @param {ReturnType<typeof fitted>} to */
function rowLines(rows, to) {
  const every = Math.max(1, Math.ceil(rows.length / MOST_ROWS));
  return rows.map((_, i) =>
    i % every
      ? nothing
      : svg`<path class=${i % 2 ? "open" : "closed"} d=${`M${along(to, i)}`}></path>`,
  );
}

/** @param {import("../answers").Panel} answer @param {ReturnType<typeof fitted>} to @param {boolean} round */
function changes(answer, to, round) {
  if (!answer.unit_join_runs) return nothing; // answered before an update of the page
  return answer.changes.map((c) =>
    c.at.map((/** @type {number} */ k) => {
      const [x, y] = to.at(c.row - 1, placeOf(k - 1, answer.rows[c.row - 1], round));
      return svg`<path class="change" d=${`M${xy([x - 4, y])} h8${c.by > 0 ? ` M${xy([x, y - 4])} v8` : ""}`}></path>`;
    }),
  );
}

/** @param {import("../answers").Panel} answer @param {boolean} round @param {{rows_run: string, form: string}} panel */
function shapeDescription(answer, round, { rows_run, form }) {
  const fewest = Math.min(...answer.rows),
    most = Math.max(...answer.rows);
  const n = answer.changes.reduce((sum, c) => sum + c.at.length, 0);
  const added = answer.changes.some((c) => c.by > 0),
    dropped = answer.changes.some((c) => c.by < 0);
  const marks = [added && text.added, dropped && text.dropped].filter(Boolean).join(", ");
  const rows = figure(answer.rows.length),
    rings = fewest === most ? figure(most) : text.fromTo(figure(fewest), figure(most));
  return [
    rows_run === "down" ? text.rowsDown(rows, rings) : text.rowsRound(rows, rings),
    round ? text.openSides : form === "tube" ? text.openRows : "",
    n ? text.changes(figure(n), marks) : "",
  ]
    .filter(Boolean)
    .join(" ");
}

/** Whether its rows close on themselves. @param {{form: string, rows_run: string, m: {round?: boolean, [measure: string]: unknown}}} panel */
export const goesRound = ({ form, rows_run, m }) =>
  (form === "tube" && rows_run !== "down") ||
  ["sleeve", "collar"].includes(form) ||
  (form === "profile" && Boolean(m.round));

/**
 * @param {import("../answers").Panel} answer the engine's answer for this panel
 * @param {{rows_run: string, form: string, m: {round?: boolean, [measure: string]: unknown}}} panel
 */
export function shapePicture(answer, panel) {
  const rows = answer.rows ?? [];
  if (rows.length < 2 || !answer.pitch_mm) return nothing;
  const pitch = answer.pitch_mm;
  const round = goesRound(panel);
  const laid = ["sleeve", "collar"].includes(panel.form)
    ? fanned(rows, pitch)
    : straight(rows, pitch);
  const few = answer.rings <= MOST_RINGS;
  const to = fitted(rows, laid, few ? Math.max(pitch.column, pitch.row) * 0.55 : 0);
  const description = shapeDescription(answer, round, panel);
  const bar = barOf(to.scale);
  return html`<figure class="shape-picture">
    <svg viewBox=${`0 0 ${to.width.toFixed(1)} ${(to.height + 30).toFixed(1)}`} role="img" aria-label=${description}>
      ${few ? nothing : svg`<path class="cloth" d=${outline(rows, to)}></path>`}
      ${few ? rings(rows, to, Math.max(pitch.column, pitch.row) * to.scale * 0.55, round) : rowLines(rows, to)}
      ${changes(answer, to, round)}
      <path class="bar" d=${`M${ROOM} ${to.height + 12} h${(bar * to.scale).toFixed(1)} m0 -5 v10 M${ROOM} ${to.height + 7} v10`}></path>
      <text class="bar-text" x=${ROOM + bar * to.scale + 8} y=${to.height + 17}>${some(bar)} mm</text>
    </svg>
    <figcaption>${description}</figcaption>
  </figure>`;
}

/** A round number of millimetres, about a quarter of the drawing. @param {number} scale drawn units a mm */
function barOf(scale) {
  const about = BOX / 4 / scale,
    ten = 10 ** Math.floor(Math.log10(about));
  return [1, 2, 5, 10]
    .map((n) => n * ten)
    .reduce((best, n) => (Math.abs(n - about) < Math.abs(best - about) ? n : best));
}

// A panel to scale, laid open: its rows from the start edge down, and where rings are added or taken away.
// Drawn from the engine's rows and pitch; nothing is reckoned here but places on the drawing.
import { html, nothing, svg } from "../vendor/lit-html.js";
import { figure } from "../format/numbers.js";
import { some } from "../format/words.js";

const BOX = 320,
  ROOM = 8,
  MOST_ROWS = 60,
  MOST_RINGS = 900,
  BENDS = 48;

/** @typedef {[number, number]} Point */
/** @typedef {(row: number, along: number) => Point} Laid where a place lies: row from 0, along from -0.5 to 0.5 of it, mm */

/** Rows straight, one below the other. @param {number[]} rows @param {{column: number, row: number}} pitch @returns {Laid} */
const straight = (rows, pitch) => (i, along) => [along * rows[i] * pitch.column, i * pitch.row];

/** A tube that widens or narrows lies flat as part of a ring, its rows as arcs. @param {number[]} rows @param {{column: number, row: number}} pitch @returns {Laid} */
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
const text = ([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`;

/** @param {ReturnType<typeof fitted>} to @param {number} i @param {boolean} [back] */
function along(to, i, back) {
  const points = Array.from({ length: BENDS + 1 }, (_, k) => text(to.at(i, k / BENDS - 0.5)));
  return (back ? points.reverse() : points).join(" L");
}

/** The outline follows the closed rows: open ones are a ring shorter. @param {number[]} rows @param {ReturnType<typeof fitted>} to */
function outline(rows, to) {
  const closed = rows.map((_, i) => i).filter((i) => i % 2 === 0);
  const side = (/** @type {number} */ u) => closed.map((i) => text(to.at(i, u)));
  return `M${along(to, 0)} L${side(0.5).join(" L")} L${along(to, closed[closed.length - 1], true)} L${side(-0.5).reverse().join(" L")} Z`;
}

/** Along a row, 0.5 of a ring on where a row closed on itself holds as many as its neighbours. @param {number} k @param {number} n @param {boolean} shifted */
const placeOf = (k, n, shifted) => (k + (shifted ? 1 : 0.5)) / n - 0.5;

/** Each ring by itself while they are few enough to be told apart. @param {number[]} rows @param {ReturnType<typeof fitted>} to @param {number} r @param {boolean} round */
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

/** @param {any} said @param {ReturnType<typeof fitted>} to @param {boolean} round */
function changes(said, to, round) {
  if (!said.unit_join_runs) return nothing; // answered before an update of the page
  return said.changes.map((/** @type {any} */ c) =>
    c.at.map((/** @type {number} */ k) => {
      const [x, y] = to.at(c.row - 1, placeOf(k - 1, said.rows[c.row - 1], round));
      return svg`<path class="change" d=${`M${text([x - 4, y])} h8${c.by > 0 ? ` M${text([x, y - 4])} v8` : ""}`}></path>`;
    }),
  );
}

/** @param {any} said @param {boolean} round @param {{rows_run: string, form: string}} panel */
function words(said, round, { rows_run, form }) {
  const down = rows_run === "down";
  const fewest = Math.min(...said.rows),
    most = Math.max(...said.rows);
  const n = said.changes.reduce(
    (/** @type {number} */ sum, /** @type {any} */ c) => sum + c.at.length,
    0,
  );
  const more = said.changes.some((/** @type {any} */ c) => c.by > 0),
    fewer = said.changes.some((/** @type {any} */ c) => c.by < 0);
  const marks = n
    ? ` ${figure(n)} changes: ${[more && "+ a ring more", fewer && "− a ring fewer"].filter(Boolean).join(", ")}.`
    : "";
  return `${figure(said.rows.length)} rows of ${fewest === most ? figure(most) : `${figure(fewest)} to ${figure(most)}`} rings, drawn across the page; on the body they run ${down ? "down" : "round"}.${round ? " Laid open: the side edges are joined." : form === "tube" ? " Laid open: the last row is joined to the first." : ""}${marks}`;
}

/** Whether its rows close on themselves. @param {{form: string, rows_run: string, m: Record<string, any>}} panel */
export const goesRound = ({ form, rows_run, m }) =>
  (form === "tube" && rows_run !== "down") ||
  ["sleeve", "collar"].includes(form) ||
  (form === "profile" && Boolean(m.round));

/** @param {any} said the engine's answer for this panel @param {{rows_run: string, form: string, m: Record<string, any>}} panel */
export function shapePicture(said, panel) {
  const rows = said.rows ?? [];
  if (rows.length < 2 || !said.pitch_mm) return nothing;
  const pitch = said.pitch_mm;
  const round = goesRound(panel);
  const laid = ["sleeve", "collar"].includes(panel.form)
    ? fanned(rows, pitch)
    : straight(rows, pitch);
  const few = said.rings <= MOST_RINGS;
  const to = fitted(rows, laid, few ? Math.max(pitch.column, pitch.row) * 0.55 : 0);
  const told = words(said, round, panel);
  const bar = barOf(to.scale);
  return html`<figure class="shape-picture">
    <svg viewBox=${`0 0 ${to.width.toFixed(1)} ${(to.height + 30).toFixed(1)}`} role="img" aria-label=${told}>
      ${few ? nothing : svg`<path class="cloth" d=${outline(rows, to)}></path>`}
      ${few ? rings(rows, to, Math.max(pitch.column, pitch.row) * to.scale * 0.55, round) : rowLines(rows, to)}
      ${changes(said, to, round)}
      <path class="bar" d=${`M${ROOM} ${to.height + 12} h${(bar * to.scale).toFixed(1)} m0 -5 v10 M${ROOM} ${to.height + 7} v10`}></path>
      <text class="bar-text" x=${ROOM + bar * to.scale + 8} y=${to.height + 17}>${some(bar)} mm</text>
    </svg>
    <figcaption>${told}</figcaption>
  </figure>`;
}

/** A round length, about a quarter of the drawing. @param {number} scale drawn units a mm */
function barOf(scale) {
  const about = BOX / 4 / scale,
    ten = 10 ** Math.floor(Math.log10(about));
  return [1, 2, 5, 10]
    .map((n) => n * ten)
    .reduce((best, n) => (Math.abs(n - about) < Math.abs(best - about) ? n : best));
}

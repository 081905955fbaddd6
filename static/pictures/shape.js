// A panel to scale, laid open: its rows from the start edge down, and where rings are added or taken away.
// Drawn from the engine's rows and pitch; nothing is reckoned here but places on the drawing.
import { html, nothing, svg } from "../vendor/lit-html.js";
import { figure } from "../figures.js";

const BOX = 320, ROOM = 12, MOST_ROWS = 60, MOST_RINGS = 900;

/** @param {number[]} rows @param {{column: number, row: number}} pitch */
function scaled(rows, pitch) {
  const widest = Math.max(...rows) * pitch.column;
  const tall = Math.max(1, rows.length - 1) * pitch.row;
  const scale = (BOX - 2 * ROOM) / Math.max(widest, tall);
  const height = tall * scale + 2 * ROOM;
  const edge = (/** @type {number} */ n) => n * pitch.column * scale / 2;
  const y = (/** @type {number} */ i) => ROOM + i * pitch.row * scale;
  return { scale, height, edge, y };
}

/** The outline follows the closed rows: open ones are a ring shorter. @param {number[]} rows @param {ReturnType<typeof scaled>} to */
function outline(rows, { edge, y }) {
  const closed = rows.map((n, i) => ({ n, i })).filter(({ i }) => i % 2 === 0 || i === rows.length - 1);
  const side = (/** @type {number} */ sign) => closed.map(({ n, i }) => `${(sign * edge(n)).toFixed(1)} ${y(i).toFixed(1)}`);
  return `M${[...side(-1), ...side(1).reverse()].join(" L")} Z`;
}

/** Each ring as a circle while they are few enough to be told apart. @param {number[]} rows @param {{column: number, row: number}} pitch @param {ReturnType<typeof scaled>} to */
function rings(rows, pitch, { scale, y }) {
  const r = Math.max(pitch.column, pitch.row) * scale * 0.55;
  return rows.map((n, i) => Array.from({ length: n }, (_, k) =>
    svg`<circle class=${i % 2 ? "open" : "closed"} cx=${((k - (n - 1) / 2) * pitch.column * scale).toFixed(1)} cy=${y(i).toFixed(1)} r=${r.toFixed(1)}></circle>`));
}

/** @param {number[]} rows @param {ReturnType<typeof scaled>} to */
function rowLines(rows, { edge, y }) {
  const every = Math.max(1, Math.ceil(rows.length / MOST_ROWS));
  return rows.map((n, i) => (i % every ? nothing : svg`<path class=${i % 2 ? "open" : "closed"} d=${`M${(-edge(n)).toFixed(1)} ${y(i).toFixed(1)} H${edge(n).toFixed(1)}`}></path>`));
}

/** @param {number} x @param {number} y @param {boolean} more */
const changeMark = (x, y, more) => svg`<path class="change" d=${`M${(x - 4).toFixed(1)} ${y.toFixed(1)} h8${more ? ` M${x.toFixed(1)} ${(y - 4).toFixed(1)} v8` : ""}`}></path>`;

/** @param {any} said @param {{column: number, row: number}} pitch @param {ReturnType<typeof scaled>} to */
function changes(said, pitch, { scale, y }) {
  return (said.changes ?? []).map((/** @type {any} */ c) => {
    const n = said.rows[c.row];
    const more = c.by ? c.by > 0 : (said.rows[c.row + 1] ?? n) > (said.rows[c.row - 1] ?? n);
    return c.at.map((/** @type {number} */ k) => changeMark((k - (n - 1) / 2) * pitch.column * scale, y(c.row), more));
  });
}

/** @param {any} said @param {boolean} down */
function grain(said, down) {
  const n = (said.changes ?? []).reduce((/** @type {number} */ sum, /** @type {any} */ c) => sum + c.at.length, 0);
  const marks = n ? ` ${figure(n)} changes: + a ring more, − a ring fewer.` : "";
  return `${figure(said.rows.length)} rows of ${figure(Math.min(...said.rows))} to ${figure(Math.max(...said.rows))} rings, drawn along the page; on the body they run ${down ? "down" : "round"}.${said.round ? " Laid open: the side edges are joined." : ""}${marks}`;
}

/** @param {any} said the engine's answer for this panel @param {{rows_run: string}} panel */
export function shapePicture(said, panel) {
  const rows = said.rows ?? [];
  if (rows.length < 2 || !said.pitch_mm) return nothing;
  const pitch = said.pitch_mm;
  const to = scaled(rows, pitch);
  const few = said.rings <= MOST_RINGS;
  const words = grain(said, panel.rows_run === "down");
  return html`<figure class="shape-picture">
    <svg viewBox=${`${-BOX / 2} 0 ${BOX} ${to.height.toFixed(1)}`} role="img" aria-label=${words}>
      ${few ? nothing : svg`<path class="cloth" d=${outline(rows, to)}></path>`}
      ${few ? rings(rows, pitch, to) : rowLines(rows, to)}
      ${changes(said, pitch, to)}
    </svg>
    <figcaption>${words}</figcaption>
  </figure>`;
}

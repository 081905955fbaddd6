// A panel row by row, in words one can follow at the bench: where a ring more or fewer is taken.
import { html, nothing } from "../../vendor/lit-html.js";
import { figure } from "../../format/numbers.js";
import { several } from "../../format/words.js";

/** @typedef {{row: number, by: number, at: number[], part: "chain" | "chain_join" | "left_over", chain: number, to?: number, units?: number[], joins?: number[], rings?: number[]}} Change all from 1 */

/** @param {number[]} ns */
const listed = (ns) =>
  ns.length < 2 ? ns.join("") : `${ns.slice(0, -1).join(", ")} and ${ns[ns.length - 1]}`;

/** @param {string} one @param {number[]} ns */
const named = (one, ns) => (ns.length ? [`${ns.length > 1 ? `${one}s` : one} ${listed(ns)}`] : []);

/** @param {any} said @param {Change} c */
function where(said, c) {
  if (c.part !== "chain") return named("joining ring", c.rings ?? []).join("");
  const units = said.chain_units[c.chain - 1],
    after = (c.joins ?? []).filter((n) => n <= units);
  const joins =
    after.length > 3
      ? [`the rings after units ${listed(after)}`]
      : after.map((n) => `the ring after unit ${n}`);
  return [
    ...named("unit", c.units ?? []),
    ...joins,
    ...(after.length < (c.joins ?? []).length ? ["the ring that closes the row"] : []),
  ].join("; ");
}

/** @param {any} said @param {Change} c */
const says = (said, c) =>
  html`<strong>${several(Math.abs(c.by), "ring")} ${c.by > 0 ? "more" : "fewer"}:</strong> ${where(said, c)} ${Math.abs(c.by) > 1 ? "hold" : "holds"} ${c.by > 0 ? "2 above, 3 below" : "3 above, 2 below"}`;

/** @typedef {{from: number, to: number, changes: Change[]}} Stretch open rows, by their place from 1, and what changes in them */

/** Rows between which nothing changes stand together. @param {any} said @returns {Stretch[]} */
function stretches(said) {
  const changed = new Map();
  for (const c of said.changes) changed.set(c.row, [...(changed.get(c.row) ?? []), c]);
  const out = /** @type {Stretch[]} */ ([]);
  for (let row = 2; row <= said.rows.length; row += 2) {
    const changes = changed.get(row) ?? [],
      last = out[out.length - 1];
    if (last && !last.changes.length && !changes.length) last.to = row;
    else out.push({ from: row, to: row, changes });
  }
  return out;
}

/** The closed rows on both sides. @param {Stretch} rows */
const closedRows = ({ from, to }) => `${from / 2} to ${to / 2 + 1}`;

/** @param {Change} c */
const part = (c) =>
  c.part === "chain"
    ? `in chain ${c.chain}`
    : c.part === "chain_join"
      ? `chain ${c.chain} to ${c.to}`
      : "to the left-over row";

/** A line for each chain that a change of the row falls to. @param {any} said @param {Stretch} s */
function lines(said, s) {
  const above = said.rows[s.from - 2],
    below = said.rows[s.to] ?? 0;
  return (s.changes.length ? s.changes : [null]).map(
    (
      c,
    ) => html`<tr><th scope="row">${closedRows(s)}${c ? html`<br><span class="soft">${part(c)}</span>` : nothing}</th>
    <td class="n">${above === below ? figure(above) : html`${figure(above)} → ${figure(below)}`}</td><td>${c ? says(said, c) : "no change"}</td></tr>`,
  );
}

/** @param {any} said @param {boolean} round */
function even(said, round) {
  const closed = Math.ceil(said.rows.length / 2),
    open = said.rows.length - closed;
  return html`<p>${several(closed, "closed row")} of ${figure(said.rows[0])} rings${open ? html`, with ${several(open, "open row")} of ${figure(said.rows[1])} between` : nothing}${round ? ", each closed on itself" : ""}. Every open ring holds 2 above and 2 below.</p>`;
}

/** @param {any} said the engine's answer for a panel @param {boolean} round whether its rows close on themselves */
export function rowsPart(said, round) {
  if (!said.rows.length) return nothing;
  if (!said.changes.length) return even(said, round);
  if (!said.unit_join_runs) return nothing; // answered before an update of the page
  return html`<details class="inset rows"><summary>Row by row</summary>
    <p class="hint">Closed rows are counted from the start edge, units within their chain, joining rings within the run that hangs the chain, both along the row ${round ? "from where you mark its beginning" : "from the same side each time"}. Rings not named hold 2 above and 2 below.</p>
    <div class="scroll" tabindex="0" role="region" aria-label="Row by row"><table><thead><tr><th scope="col">Closed rows</th><th scope="col" class="n">rings</th><th scope="col">in the open row between</th></tr></thead>
      <tbody>${stretches(said).map((s) => lines(said, s))}</tbody></table></div></details>`;
}

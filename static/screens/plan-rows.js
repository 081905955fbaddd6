// A panel row by row, in words one can follow at the bench: where a ring more or fewer is taken.
import { html, nothing } from "../vendor/lit-html.js";
import { figure } from "../figures.js";
import { several } from "../plainly.js";

/** @typedef {{row: number, by: number, at: number[], part?: "chain" | "chain_join" | "left_over", chain: number, units?: number[], joins?: number[], rings?: number[]}} Change */

/** @param {number[]} ns */
const listed = (ns) => (ns.length < 2 ? ns.join("") : `${ns.slice(0, -1).join(", ")} and ${ns[ns.length - 1]}`);

/** @param {string} one @param {number[]} ns */
const named = (one, ns) => (ns.length ? [`${ns.length > 1 ? `${one}s` : one} ${listed(ns)}`] : []);

/** @param {Change} c */
function where(c) {
  if (c.part !== "chain") return named("joining ring", c.rings ?? []).join("");
  const joins = (c.joins ?? []).map((n) => `the ring after unit ${n}`);
  return [...named("unit", c.units ?? []), ...(joins.length > 3 ? [`the rings after units ${listed(c.joins ?? [])}`] : joins)].join("; ");
}

/** @param {Change} c */
const says = (c) => html`<strong>${several(Math.abs(c.by), "ring")} ${c.by > 0 ? "more" : "fewer"}:</strong> ${where(c)} ${Math.abs(c.by) > 1 ? "hold" : "holds"} ${c.by > 0 ? "2 above, 3 below" : "3 above, 2 below"}`;

/** Rows between which nothing changes stand together. @param {any} said @returns {{from: number, to: number, change: Change | null}[]} places of open rows */
function stretches(said) {
  const changed = new Map(said.changes.map((/** @type {Change} */ c) => [c.row, c]));
  const out = /** @type {{from: number, to: number, change: Change | null}[]} */ ([]);
  for (let row = 1; row < said.rows.length; row += 2) {
    const change = changed.get(row) ?? null, last = out[out.length - 1];
    if (last && !last.change && !change) last.to = row;
    else out.push({ from: row, to: row, change });
  }
  return out;
}

/** Open rows 1, 5, 9 … lie in chains, 3, 7, 11 … join one chain to the next. @param {{from: number, to: number}} rows */
const closedRows = ({ from, to }) => `${(from + 1) / 2} to ${(to + 3) / 2}`;

/** @param {Change} c */
const part = (c) => (c.part === "chain" ? `in chain ${c.chain}` : c.part === "chain_join" ? `chain ${c.chain} to ${c.chain + 1}` : "to the left-over row");

/** @param {any} said @param {{from: number, to: number, change: Change | null}} s */
function line(said, s) {
  const above = said.rows[s.from - 1], below = said.rows[s.to + 1] ?? 0;
  return html`<tr><th scope="row">${closedRows(s)}${s.change ? html`<br><span class="soft">${part(s.change)}</span>` : nothing}</th>
    <td class="n">${above === below ? figure(above) : html`${figure(above)} → ${figure(below)}`}</td><td>${s.change ? says(s.change) : "no change"}</td></tr>`;
}

/** @param {any} said @param {boolean} round */
function even(said, round) {
  const closed = Math.ceil(said.rows.length / 2), open = said.rows.length - closed;
  return html`<p>${several(closed, "closed row")} of ${figure(said.rows[0])} rings${open ? html`, with ${several(open, "open row")} of ${figure(said.rows[1])} between` : nothing}${round ? ", each closed on itself" : ""}. Every open ring holds 2 above and 2 below.</p>`;
}

/** @param {any} said the engine's answer for a panel @param {boolean} round whether its rows close on themselves */
export function rowsPart(said, round) {
  if (!said.rows.length) return nothing;
  if (!said.changes.length) return even(said, round);
  if (said.changes.some((/** @type {Change} */ c) => !c.part)) return nothing; // answered before an update of the page
  return html`<details class="inset rows"><summary>Row by row</summary>
    <p class="hint">Closed rows are counted from the start edge, units and joining rings along the row ${round ? "from where you mark its beginning" : "from the same side each time"}. Rings not named hold 2 above and 2 below.</p>
    <div class="scroll" tabindex="0" role="region" aria-label="Row by row"><table><thead><tr><th scope="col">Closed rows</th><th scope="col" class="n">rings</th><th scope="col">in the open row between</th></tr></thead>
      <tbody>${stretches(said).map((s) => line(said, s))}</tbody></table></div></details>`;
}

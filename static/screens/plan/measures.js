// What is measured or counted of a panel, by its shape.
import { html, nothing } from "../../vendor/lit-html.js";
import { FORMS } from "../../format/panel-forms.js";
import { number, tick, whole } from "./fields.js";

/** @typedef {import("./form-model.js").PlanDesk} PlanDesk */

/** @type {Record<string, [string, string, string?]>} measure: its words, its unit, what it means */
const MEASURES = {
  width_mm: ["Width", "mm", "Along the rows."],
  height_mm: ["Height", "mm", "From the first row to the last."],
  columns: ["Columns", "rings", "Rings in a closed row; an even number makes whole units."],
  rows: ["Rows", "rows", "3, 7, 11, 15, 19 … need no left-over row."],
  around_mm: ["Around", "mm", "The whole way round."],
  length_mm: ["Length", "mm"],
  from_mm: ["At the start", "mm"],
  to_mm: ["At the end", "mm"],
  neck_mm: ["Around the neck", "mm"],
  slant_mm: ["From neck to edge", "mm", "Along the fabric, not straight down."],
  angle_deg: ["Slope", "degrees", "90 lies flat like a plate, 45 falls like a cone."],
  rings: ["Rings in all", "rings", "No rows and no size are known of it."],
  open: ["Of them riveted in place", "rings"],
};
const ROUND = { from_mm: ["Around at the start", "mm"], to_mm: ["Around at the end", "mm"] };

/** @param {PlanDesk} desk @param {number} i @param {string} name */
function measure(desk, i, name) {
  const round = desk.get(`panels.${i}.form`) === "sleeve";
  const [label, unit, hint] = (round && /** @type {any} */ (ROUND)[name]) || MEASURES[name];
  const input = ["columns", "rows", "rings", "open"].includes(name) ? whole : number;
  return input(desk, `panels.${i}.m.${name}`, label, { unit, hint });
}

/** @param {PlanDesk} desk @param {number} i */
function outline(desk, i) {
  const path = `panels.${i}.m.widths`;
  const pairs = desk.get(path);
  const write = (/** @type {any[]} */ next) => desk.set(path, next);
  return html`<div class="inset"><p class="hint">From the start edge to the end: how far along, and how wide there.</p>
    ${pairs.map(
      (/** @type {any} */ _, /** @type {number} */ k) => html`<div class="couple">
      ${number(desk, `${path}.${k}.0`, "At", { unit: "mm" })}${number(desk, `${path}.${k}.1`, "Width", { unit: "mm" })}
      ${pairs.length > 2 ? html`<button type="button" class="level" @click=${() => write(pairs.toSpliced(k, 1))}>Take out</button>` : nothing}</div>`,
    )}
    <p><button type="button" @click=${() => write([...pairs, ["", ""]])}>Add a width</button></p>
    ${tick(desk, `panels.${i}.m.round`, "It is a tube: the widths are all the way round")}</div>`;
}

/** @param {PlanDesk} desk @param {number} i */
function itemCounts(desk, i) {
  const steps = desk.answer.table?.steps ?? [];
  return html`<div class="pair">${FORMS.items.items.map((step) => {
    const row = steps.find((/** @type {any} */ s) => s.step === step);
    return whole(desk, `panels.${i}.m.items.${step}`, row?.name ?? step, { unit: row?.items });
  })}</div>`;
}

/** The measures its shape asks for. @param {PlanDesk} desk @param {number} i */
export function measures(desk, i) {
  const { form } = desk.get(`panels.${i}`);
  if (form === "profile") return outline(desk, i);
  if (form === "items") return itemCounts(desk, i);
  const names = /** @type {Record<string, {measures: string[]}>} */ (FORMS)[form].measures;
  return html`<div class="pair">${names.map((name) => measure(desk, i, name))}</div>`;
}

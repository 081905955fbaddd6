// What lies on the desk while a piece is planned: its draft, what the engine says to it so far, and
// what is wrong. The draft is kept aside at each key, so that neither a slip nor a reload loses it.
import { store } from "../store.js";
import { pieceQuestion } from "../questions.js";
import { typedNumber } from "../figures.js";
import { MARKS } from "../pictures/mark.js";
import { asSaid, freshDraft, freshPanel, readDraft, ringDraft, ringOf, saveDraft, swatchOf } from "./plan-draft.js";

const WAIT_MS = 250;
const ASIDE = "ringwright-draft:";

/** @type {[RegExp, string][]} from the engine's path to the form's, in turn */
const PATHS = [
  [/^panels\.\d+\.(ring|swatch)/, "$1"], [/^swatch\.state/, "fabric.swatch_state"], [/^swatch/, "fabric"], [/^panels\.\d+\.state/, "fabric.state"],
  [/\.shape\.(rows_run|units_per_chain|max_change)$/, ".$1"], [/\.shape\.kind$/, ".form"], [/\.shape\./, ".m."],
  [/(\.widths\.\d+)\.at_mm$/, "$1.0"], [/(\.widths\.\d+)\.width_mm$/, "$1.1"], [/^(finishing|losses|consumables|without|joins|sure)/, "piece.$1"],
];

/** The engine's path in the form's words. @param {string} field */
export function pathOf(field) {
  const path = field.replace(/\[(\d+)\]/g, ".$1");
  return PATHS.reduce((so_far, [from, to]) => so_far.replace(from, to), path);
}

/** @param {any} whole @param {string} path */
const at = (whole, path) => path.split(".").reduce((part, key) => part?.[key], whole);

export class PlanDesk extends EventTarget {
  constructor() {
    super();
    /** @type {import("./plan-draft.js").Draft | null} */
    this.draft = null;
    /** @type {{plan: any, ring: any, fabric: any, gauge: any, table: any, metals: any[]}} */
    this.answer = { plan: null, ring: null, fabric: null, gauge: null, table: null, metals: [] };
    /** @type {{typed: string, why: string, systems: any[]}} */
    this.gauge = { typed: "", why: "", systems: [] };
    /** @type {{path: string, why: string} | null} */
    this.wrong = null;
    /** @type {Set<string>} the paths that a field shows */
    this.shown = new Set();
    this.changed = false;
    this.asking = false;
    this.round = 0;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
  }

  tell() { this.dispatchEvent(new Event("change")); }

  /** @param {string} id "new" for a fresh piece @returns {boolean} whether there is such a piece */
  open(id) {
    if (this.draft && (this.draft.id === id || (this.draft.fresh && id === "new"))) return true;
    const aside = readAside(id);
    const mark = MARKS[store.things("piece").length % MARKS.length][0];
    this.draft = aside ?? (id === "new" ? freshDraft(store, mark) : readDraft(store, id));
    this.changed = Boolean(aside);
    Object.assign(this.answer, { plan: id === "new" ? null : store.plan(id), ring: null, fabric: null });
    this.wrong = null;
    if (this.draft) this.ask();
    return Boolean(this.draft);
  }

  /** Put away what was changed and not saved. */
  forget() {
    const id = this.draft?.fresh ? "new" : this.draft?.id ?? "";
    localStorage.removeItem(ASIDE + id);
    this.draft = null;
    this.open(id);
    this.tell();
  }

  // — the form's door —
  /** @param {string} path */
  get(path) { return at(this.draft, path); }
  /** @param {string} path @param {any} value */
  set(path, value) {
    const keys = path.split(".");
    const last = /** @type {string} */ (keys.pop());
    at(this.draft, keys.join(".") || "")[last] = value;
    this.touched();
  }
  /** @param {string} path */
  why(path) {
    this.shown.add(path);
    return this.wrong?.path === path ? this.wrong.why : "";
  }
  /** @param {string} prefix */
  rest(prefix) {
    const { path, why } = this.wrong ?? { path: "", why: "" };
    return (path === prefix || path.startsWith(`${prefix}.`)) && !this.shown.has(path) ? why : "";
  }

  touched() {
    this.changed = true;
    const id = this.draft?.fresh ? "new" : this.draft?.id;
    localStorage.setItem(ASIDE + id, JSON.stringify(this.draft));
    this.tell();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.ask(), WAIT_MS);
  }

  /** The piece as it stands, in the engine's question. */
  question() {
    return this.draft && pieceQuestion(asSaid(store, this.draft), this.draft.id);
  }

  /** Ask everything the form shows; what an older question answers late is dropped. */
  async ask() {
    const round = ++this.round;
    const draft = this.draft;
    if (!draft) return;
    const ring = ringOf(draft), swatch = swatchOf(draft);
    const wire = typedNumber(draft.ring.wire_mm);
    const [plan, said, gauge, table, metals, fabric] = await Promise.allSettled([
      store.ask(/** @type {object} */ (this.question())),
      store.ask({ ask: "ring", ring }),
      wire ? store.ask({ ask: "gauge", wire_mm: wire }) : Promise.resolve(null),
      this.answer.table ?? store.ask({ ask: "steps" }),
      this.answer.metals.length ? { metals: this.answer.metals } : store.ask({ ask: "metals" }),
      store.ask({ ask: "fabric", ring, state: draft.fabric.state, ...(swatch ? { swatch } : {}) }),
    ]);
    if (round !== this.round) return;
    const ok = (/** @type {PromiseSettledResult<any>} */ r) => (r.status === "fulfilled" ? r.value : null);
    this.answer = { plan: ok(plan), ring: ok(said), gauge: ok(gauge), table: ok(table),
      metals: ok(metals)?.metals ?? [], fabric: ok(fabric) };
    this.wrong = plan.status === "rejected" ? { path: pathOf(plan.reason.field ?? ""), why: plan.reason.why ?? String(plan.reason) } : null;
    this.tell();
  }

  // — one touch —
  /** @param {string} typed */
  async askGauge(typed) {
    Object.assign(this.gauge, { typed, why: "" });
    this.tell();
    if (!typed.trim()) return;
    try {
      const { systems } = await store.ask({ ask: "gauge", gauge: typedNumber(typed) });
      if (this.gauge.typed === typed) this.gauge.systems = systems;
    } catch (error) {
      if (this.gauge.typed === typed) Object.assign(this.gauge, { why: /** @type {any} */ (error).why, systems: [] });
    }
    this.tell();
  }

  /** Begin from a ring planned before; its own record stays as it is. @param {import("../types").Thing} ring */
  takeRing(ring) {
    if (this.draft) this.draft.ring = ringDraft(ring, this.draft.ring.id);
    this.touched();
  }

  /** @param {number} i @param {any} offer a size the engine names */
  takeSize(i, offer) {
    const panel = this.draft?.panels[i];
    if (!panel) return;
    if (offer.columns && panel.form === "rect") panel.form = "grid";
    for (const [name, value] of Object.entries(offer)) panel.m[name] = String(Math.round(value * 10) / 10);
    this.touched();
  }

  addPanel() {
    this.draft?.panels.push(freshPanel(store, `Panel ${this.draft.panels.length + 1}`));
    this.touched();
  }

  /** @param {number} i */
  dropPanel(i) {
    this.draft?.panels.splice(i, 1);
    this.touched();
  }

  /** @param {"finishing" | "consumables" | "joins"} list @param {Record<string, any>} row */
  addRow(list, row) {
    this.draft?.piece[list].push(row);
    this.touched();
  }

  /** @param {"finishing" | "consumables" | "joins"} list @param {number} i */
  dropRow(list, i) {
    this.draft?.piece[list].splice(i, 1);
    this.touched();
  }

  /** What was counted so far, on all pieces, as the record of losses. */
  takeRecord() {
    if (!this.draft) return;
    for (const { step } of this.answer.table?.steps ?? []) {
      const totals = store.things("piece").map((p) => store.total(p.id, step));
      const sum = (/** @type {"done" | "spoiled"} */ what) => totals.reduce((n, t) => n + t[what], 0);
      if (sum("done")) this.draft.piece.losses[step] = { good: String(Math.max(0, sum("done") - sum("spoiled"))), bad: String(sum("spoiled")) };
    }
    this.touched();
  }

  /** Saved whole or not at all: what cannot be used stays in the form, with its reason. @returns {Promise<boolean>} */
  async save() {
    const draft = this.draft;
    if (!draft) return false;
    await this.ask();
    if (!draft.piece.name.trim()) this.wrong = { path: "piece.name", why: "A name is needed here, for example Coif or Sleeve, left." };
    if (this.wrong) { this.tell(); return false; }
    await saveDraft(store, draft);
    localStorage.removeItem(ASIDE + (draft.fresh ? "new" : draft.id));
    draft.fresh = false;
    this.changed = false;
    this.tell();
    return true;
  }
}

/** @param {string} id */
function readAside(id) {
  try {
    return JSON.parse(localStorage.getItem(ASIDE + id) ?? "null");
  } catch {
    return null;
  }
}

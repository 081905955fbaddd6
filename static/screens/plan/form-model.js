// The form of a piece while it is planned: its draft, what the engine answers to it so far, and what is
// wrong with it. The draft is stored on the device at each key, so that neither a slip nor a reload loses it.
import { store } from "../../store/store.js";
import { askByParts } from "../../engine/question-parts.js";
import { pieceQuestion } from "../../engine/questions.js";
import { typedLength } from "../../format/parse-length.js";
import { MARKS } from "../../pictures/mark.js";
import { plan as text } from "../../texts/texts.js";
import { lengthAdvice } from "../../ui/form-fields.js";
import { dropDraft, freshDraft, keepDraft, readDraft } from "./draft.js";
import { asStore, changesOf, draftOf, incompleteJoins, ringOf, swatchOf } from "./serialize.js";

const ASK_AFTER_MS = 250, // of no typing
  HOURS_AFTER_MS = 600;
const LENGTH = /_mm(_used)?$|\.widths\.\d+\.[01]$/;

/** @type {[RegExp, string][]} from the engine's path to the form's, in turn */
const PATHS = [
  [/^swatch\.state$/, "fabric.swatch_state"],
  [/^(panels\.\d+\.swatch)\.state$/, "$1.swatch_state"],
  [/^swatch/, "fabric"],
  [/^state/, "fabric.state"],
  [/\.shape\.(rows_run|units_per_chain|max_change)$/, ".$1"],
  [/\.shape\.kind$/, ".form"],
  [/\.shape\./, ".m."],
  [/(\.widths\.\d+)\.at_mm$/, "$1.0"],
  [/(\.widths\.\d+)\.width_mm$/, "$1.1"],
  [/^(finishing|losses|consumables|without|joins|sure)/, "piece.$1"],
];

/**
 * The engine's path as the form's; for a panel without ring, swatch or state of its own it is the
 * piece's.
 * @param {string} field
 * @param {Draft} draft
 */
export function pathOf(field, draft) {
  const path = field.replace(/\[(\d+)\]/g, ".$1");
  const shared = path.replace(/^panels\.(\d+)\.(ring|swatch|state)/, (all, i, what) =>
    draft.panels[i]?.[/** @type {"ring" | "swatch" | "state"} */ (what)] ? all : what,
  );
  return PATHS.reduce((before, [from, to]) => before.replace(from, to), shared);
}

/**
 * The panels' answers at the places their panels have in the form.
 * @param {import("../../engine/question-parts.js").Partly | null} partly
 */
function placed(partly) {
  const out = /** @type {import("../../answers").Panel[]} */ ([]);
  partly?.panels.forEach((place, k) => {
    out[place] = partly.answer.panels[k];
  });
  return out;
}

/** A part of something that has parts, none of anything else. @param {unknown} whole @param {string} key */
const partOf = (whole, key) =>
  /** @type {Record<string, unknown> | null | undefined} */ (whole)?.[key];

/** @param {Draft | null} draft @param {string} path */
const at = (draft, path) => path.split(".").reduce(partOf, /** @type {unknown} */ (draft));

/** @param {string} path @param {string} prefix */
const within = (path, prefix) => path === prefix || path.startsWith(`${prefix}.`);

/**
 * Hours for the whole piece, nothing of it made yet.
 * @param {string} id
 * @param {import("../../answers").PieceAnswer} plan
 * @returns {Promise<Hours | null>}
 */
async function askHours(id, plan) {
  const standing = { steps: plan.steps.map((s) => ({ step: s.step, to_go: s.start })) };
  try {
    const { pieces, pace } = await store.ask(
      await store.answers.questionFor([{ id, plan, standing }]),
    );
    return { ...pieces[0].hours, guessed: pace.every((p) => p.from === "guess") };
  } catch {
    return null; // the plan is complete without it; the Forecast shows what is wrong with the pace
  }
}

/** @typedef {import("./draft.js").Draft} Draft */
/** @typedef {import("../../answers").Answers} Answers */
/** @typedef {{p50: number, p80: number, guessed: boolean}} Hours */
/** @typedef {{field?: string, why?: string, missing?: boolean}} Refusal */
/** @param {Refusal} refusal of the engine @param {Draft} draft @returns {Problem} */
function problemOf(refusal, draft) {
  const path = pathOf(refusal.field ?? "", draft);
  const advice = LENGTH.test(path) ? lengthAdvice(at(draft, path)) : "";
  return { path, why: advice || (refusal.why ?? String(refusal)), missing: refusal.missing };
}

/** @typedef {{path: string, why: string, missing?: boolean}} Problem */

export class FormModel extends EventTarget {
  constructor() {
    super();
    /** @type {Draft | null} */
    this.draft = null;
    /**
     * `panels` in the order of the form
     * @type {{plan: Answers["piece"] | null, panels: import("../../answers").Panel[], ring: Answers["ring"] | null,
     *   fabric: Answers["fabric"] | null, gauge: Answers["gauge"] | null, table: Answers["steps"] | null,
     *   metals: import("../../answers").Metal[], hours: Hours | null}}
     */
    this.answer = {
      hours: null,
      plan: null,
      panels: [],
      ring: null,
      fabric: null,
      gauge: null,
      table: null,
      metals: [],
    };
    /** @type {{typed: string, error: string, systems: import("../../answers").GaugeNumber[]}} */
    this.gauge = { typed: "", error: "", systems: [] };
    this.mandrel = "";
    /** @type {{inner_mm?: number, springback_measured?: boolean, why?: string} | null} what that mandrel gives */
    this.mandrelAnswer = null;
    /** @type {Problem[]} all that is wrong or missing, in the engine's order */
    this.problems = [];
    /** @type {Map<string, string>} the labels of the fields drawn, by path */
    this.labels = new Map();
    this.changed = false;
    /** @type {Set<string>} the paths typed in */
    this.visited = new Set();
    /** @type {Set<string>} the panels that are open, where there are several */
    this.unfolded = new Set();
    this.triedToSave = false;
    this.saving = false;
    this.edits = 0;
    this.round = 0;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.askTimer = undefined;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.hoursTimer = undefined;
  }

  /** The form is to be drawn again. */
  notify() {
    this.dispatchEvent(new Event("change"));
  }

  /** Only remembered: the page has opened or shut the fold already. @param {string} panel @param {boolean} open */
  unfold(panel, open) {
    if (open) this.unfolded.add(panel);
    else this.unfolded.delete(panel);
  }

  /** @param {string} id "new" for a fresh piece @returns {boolean} whether there is such a piece */
  open(id) {
    const here = this.draft && (this.draft.id === id || (this.draft.fresh && id === "new"));
    if (here && this.changed) return true;
    const unsaved = readDraft(id);
    const mark = MARKS[store.things("piece").length % MARKS.length][0];
    this.draft = unsaved ?? (id === "new" ? freshDraft(store, mark) : draftOf(store, id));
    this.changed = Boolean(unsaved);
    if (!here)
      Object.assign(this.answer, {
        hours: null,
        ...this.storedAnswer(id),
        ring: null,
        fabric: null,
      });
    this.problems = [];
    this.triedToSave = false;
    this.visited.clear();
    if (this.draft) this.ask();
    return Boolean(this.draft);
  }

  /**
   * The plan that the store holds already; where rows were left out, its panels cannot be told
   * apart.
   * @param {string} id
   */
  storedAnswer(id) {
    const plan =
      id === "new" || store.answers.planFaults(id).length ? null : store.answers.plan(id);
    return { plan, panels: plan?.panels ?? [] };
  }

  /** Another device or page may have changed a piece that is open here without changes. */
  refresh() {
    if (!this.draft || this.draft.fresh || this.changed || this.saving) return;
    const now = draftOf(store, this.draft.id);
    if (!now || JSON.stringify(now) === JSON.stringify(this.draft)) return;
    this.draft = now;
    this.ask();
    this.notify();
  }

  /** Go back to what was saved. */
  discard() {
    const { draft } = this;
    if (!draft) return;
    dropDraft(draft);
    this.draft = null;
    this.changed = false;
    this.open(draft.fresh ? "new" : draft.id);
    this.notify();
  }

  // — for the fields —

  /** What is typed so far; nothing is drawn without it. */
  get typed() {
    return /** @type {Draft} */ (this.draft);
  }

  /** What a field holds. @param {string} path */
  get(path) {
    return at(this.draft, path);
  }

  /** @param {string} path @param {unknown} value */
  set(path, value) {
    this.visited.add(path);
    const keys = path.split(".");
    const last = /** @type {string} */ (keys.pop());
    /** @type {Record<string, unknown>} */
    const draft = this.typed;
    const parent = keys.reduce(
      (part, key) => /** @type {Record<string, unknown>} */ (part[key] ??= {}),
      draft,
    );
    parent[last] = value;
    this.edited();
  }

  /**
   * Nothing is called wrong where nothing was entered yet, until the field was visited or a save
   * tried.
   * @param {Problem} problem
   */
  isError({ path, missing }) {
    const { draft } = this;
    return (
      this.triedToSave ||
      this.visited.has(path) ||
      (!missing && (!draft?.fresh || String(at(draft, path) ?? "") !== ""))
    );
  }

  get errors() {
    return this.problems.filter((problem) => this.isError(problem));
  }

  get firstError() {
    return this.errors[0] ?? null;
  }

  /** The error that a field shows. @param {string} path @param {string} [label] of that field */
  errorAt(path, label = "") {
    this.labels.set(path, label || (this.labels.get(path) ?? ""));
    return this.errors.find((error) => error.path === path)?.why ?? "";
  }

  /** Errors in a part that no field of it shows. @param {string} prefix */
  otherErrors(prefix) {
    return this.errors
      .filter(({ path }) => within(path, prefix) && !this.labels.has(path))
      .map(({ why }) => why)
      .join(" ");
  }

  /** What a row left out of the totals still needs, where that is not shown as an error. @param {string} prefix */
  missing(prefix) {
    const { errors } = this;
    return this.answer.plan
      ? this.problems
          .filter((problem) => within(problem.path, prefix) && !errors.includes(problem))
          .map(({ why }) => why)
          .join(" ")
      : "";
  }

  /** Where in the form a path is: its part and its field. @param {string} path */
  placeOf(path) {
    return [this.partOf(path), this.labels.get(path)].filter(Boolean).join(", ");
  }

  /** What a part of the form is called, a row by its own name. @param {string} path */
  partOf(path) {
    const [part, second, third] = path.split(".");
    const { panels = [], piece } = this.draft ?? {};
    if (part === "ring") return text.ring;
    if (part === "fabric") return text.fabricName;
    const i = Number(part === "panels" ? second : third);
    if (part === "panels") return panels[i]?.name.trim() || text.panelNumber(i + 1);
    if (second === "joins") return text.joinNumber(i + 1);
    if (second === "finishing") return piece?.finishing[i]?.name || text.extraStepNumber(i + 1);
    if (second === "consumables") return piece?.consumables[i]?.name || text.materialNumber(i + 1);
    return second === "losses" ? text.losses : text.piece;
  }

  edited() {
    this.changed = true;
    this.edits++;
    if (this.draft) keepDraft(this.draft);
    this.notify();
    clearTimeout(this.askTimer);
    this.askTimer = setTimeout(() => this.ask(), ASK_AFTER_MS);
  }

  // — the engine —

  /** The piece as it is in the form, as the engine's question. */
  question() {
    return this.draft && pieceQuestion(asStore(store, this.draft), this.draft.id);
  }

  /** Ask everything the form shows; a late answer to an older question is dropped. */
  async ask() {
    const round = ++this.round;
    const draft = this.draft;
    if (!draft) return;
    const ring = ringOf(draft),
      swatch = swatchOf(draft);
    const wire = typedLength(draft.ring.wire_mm);
    const question = this.question();
    const [plan, ringAnswer, gauge, table, metals, fabric, mandrel] = await Promise.allSettled([
      question && askByParts((q) => store.ask(q), question, incompleteJoins(draft)),
      store.ask({ ask: "ring", ring }),
      wire ? store.ask({ ask: "gauge", wire_mm: wire }) : Promise.resolve(null),
      this.answer.table ?? store.ask({ ask: "steps" }),
      this.answer.metals.length ? { metals: this.answer.metals } : store.ask({ ask: "metals" }),
      store.ask({ ask: "fabric", ring, state: draft.fabric.state, ...(swatch ? { swatch } : {}) }),
      this.mandrel.trim()
        ? store.ask({ ask: "mandrel", ring: { ...ring, mandrel_mm: typedLength(this.mandrel) } })
        : Promise.resolve(null),
    ]);
    if (round !== this.round) return;
    /** @template T @param {PromiseSettledResult<T>} r */
    const ok = (r) => (r.status === "fulfilled" ? r.value : null);
    const partly = ok(plan);
    const hours =
      JSON.stringify(partly?.answer.steps) === JSON.stringify(this.answer.plan?.steps)
        ? this.answer.hours
        : null;
    this.answer = {
      hours,
      plan: partly?.answer ?? null,
      panels: placed(partly),
      ring: ok(ringAnswer),
      gauge: ok(gauge),
      table: ok(table),
      metals: ok(metals)?.metals ?? [],
      fabric: ok(fabric),
    };
    this.mandrelAnswer =
      mandrel.status === "fulfilled"
        ? mandrel.value
        : { why: lengthAdvice(this.mandrel) || mandrel.reason.why };
    const refusals =
      plan.status === "rejected"
        ? [/** @type {Refusal} */ (plan.reason)]
        : (plan.value?.faults ?? []);
    this.problems = refusals.map((refusal) => problemOf(refusal, draft));
    this.notify();
    clearTimeout(this.hoursTimer);
    if (!hours) this.refreshHours();
  }

  /** The hours, slower than the plan, wait until the typing rests; the record may have grown since. */
  refreshHours() {
    const { draft, round } = this,
      { plan } = this.answer;
    clearTimeout(this.hoursTimer);
    if (!draft || !plan) return;
    this.hoursTimer = setTimeout(async () => {
      const hours = await askHours(draft.id, plan);
      if (round !== this.round) return;
      this.answer.hours = hours;
      this.notify();
    }, HOURS_AFTER_MS);
  }

  /** Saved whole or not at all: what cannot be used stays in the form, with its error. @returns {Promise<boolean>} */
  async save() {
    const { draft, edits } = this;
    clearTimeout(this.askTimer);
    this.triedToSave = true;
    await this.ask();
    if (!draft || draft !== this.draft || edits !== this.edits) return false;
    if (!draft.piece.name.trim())
      this.problems.unshift({ path: "piece.name", why: text.nameNeeded });
    if (this.problems.length) {
      this.notify();
      return false;
    }
    this.saving = true;
    try {
      await store.setAll(changesOf(store, draft));
    } finally {
      this.saving = false;
    }
    dropDraft(draft);
    this.draft = draftOf(store, draft.id);
    this.changed = false;
    this.notify();
    return true;
  }
}

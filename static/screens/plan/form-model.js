// The form of a piece while it is planned: its draft, what the engine answers to it so far, and what is
// wrong with it. The draft is stored on the device at each key, so that neither a slip nor a reload loses it.
import { store } from "../../store/store.js";
import { askByParts } from "../../engine/question-parts.js";
import { pieceQuestion } from "../../engine/questions.js";
import { typedLength } from "../../format/parse-length.js";
import { MARKS } from "../../pictures/mark.js";
import * as draftStorage from "./draft.js";
import { freshDraft } from "./draft.js";
import { asStore, blankJoins, readDraft, ringOf, changesOf, swatchOf } from "./serialize.js";

const WAIT_MS = 250,
  LATER_MS = 600;

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

/** The engine's path in the form's words; a panel without ring, swatch or state of its own means the piece's. @param {string} field @param {import("./draft.js").Draft} draft */
export function pathOf(field, draft) {
  const path = field.replace(/\[(\d+)\]/g, ".$1");
  const shared = path.replace(/^panels\.(\d+)\.(ring|swatch|state)/, (all, i, what) =>
    /** @type {any} */ (draft.panels[i])?.[what] ? all : what,
  );
  return PATHS.reduce((so_far, [from, to]) => so_far.replace(from, to), shared);
}

/** The panels' answers at the places their panels have in the form. @param {import("../../engine/question-parts.js").Partly | null} partly */
function placed(partly) {
  const out = /** @type {any[]} */ ([]);
  partly?.panels.forEach((place, k) => {
    out[place] = partly.answer.panels[k];
  });
  return out;
}

/** @param {any} whole @param {string} path */
const at = (whole, path) => path.split(".").reduce((part, key) => part?.[key], whole);

/** @param {string} path @param {string} prefix */
const within = (path, prefix) => path === prefix || path.startsWith(`${prefix}.`);

/** Hours for the whole piece, nothing of it made yet. @param {string} id @param {any} plan @returns {Promise<{p50: number, p80: number, guessed: boolean} | null>} */
async function askHours(id, plan) {
  const standing = {
    steps: plan.steps.map((/** @type {any} */ s) => ({ step: s.step, to_go: s.start })),
  };
  try {
    const { pieces, pace } = await store.ask(
      await store.answers.questionFor([{ id, plan, standing }]),
    );
    return {
      ...pieces[0].hours,
      guessed: pace.every((/** @type {any} */ p) => p.from === "guess"),
    };
  } catch {
    return null; // the plan stands without it; the Forecast says what is wrong with the pace
  }
}

export class FormModel extends EventTarget {
  constructor() {
    super();
    /** @type {import("./draft.js").Draft | null} */
    this.draft = null;
    /** @type {{plan: any, panels: any[], ring: any, fabric: any, gauge: any, table: any, metals: any[], hours: any}} `panels` as they stand in the form */
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
    /** @type {{typed: string, why: string, systems: any[]}} */
    this.gauge = { typed: "", why: "", systems: [] };
    this.mandrel = "";
    /** @type {{inner_mm?: number, springback_measured?: boolean, why?: string} | null} what that mandrel gives */
    this.wound = null;
    /** @type {{path: string, why: string, missing?: boolean}[]} the first is what the engine met first */
    this.wrongs = [];
    /** @type {Set<string>} the paths that a field shows */
    this.shown = new Set();
    this.changed = false;
    /** @type {Set<string>} the paths typed in */
    this.met = new Set();
    /** @type {Set<string>} the panels that stand open, where there are several */
    this.unfolded = new Set();
    this.tried = false;
    this.saving = false;
    this.edits = 0;
    this.round = 0;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.later = undefined;
  }

  tell() {
    this.dispatchEvent(new Event("change"));
  }

  /** Kept without a word: the fold is open or shut already. @param {string} panel @param {boolean} open */
  unfold(panel, open) {
    if (open) this.unfolded.add(panel);
    else this.unfolded.delete(panel);
  }

  /** @param {string} id "new" for a fresh piece @returns {boolean} whether there is such a piece */
  open(id) {
    const here = this.draft && (this.draft.id === id || (this.draft.fresh && id === "new"));
    if (here && this.changed) return true;
    const kept = draftStorage.read(id);
    const mark = MARKS[store.things("piece").length % MARKS.length][0];
    this.draft = kept ?? (id === "new" ? freshDraft(store, mark) : readDraft(store, id));
    this.changed = Boolean(kept);
    if (!here)
      Object.assign(this.answer, { hours: null, ...this.known(id), ring: null, fabric: null });
    this.wrongs = [];
    this.tried = false;
    this.met.clear();
    if (this.draft) this.ask();
    return Boolean(this.draft);
  }

  /** What the store has worked out already; with rows left out, its panels cannot be told apart. @param {string} id */
  known(id) {
    const plan = id === "new" || store.answers.planFaults(id).length ? null : store.plan(id);
    return { plan, panels: plan?.panels ?? [] };
  }

  /** Another device or page may have changed the piece that lies here untouched. */
  refresh() {
    if (!this.draft || this.draft.fresh || this.changed || this.saving) return;
    const now = readDraft(store, this.draft.id);
    if (!now || JSON.stringify(now) === JSON.stringify(this.draft)) return;
    this.draft = now;
    this.ask();
    this.tell();
  }

  /** Put away what was changed and not saved. */
  forget() {
    const { draft } = this;
    if (!draft) return;
    draftStorage.drop(draft);
    this.draft = null;
    this.changed = false;
    this.open(draft.fresh ? "new" : draft.id);
    this.tell();
  }

  // — the form's door —
  /** @param {string} path */
  get(path) {
    return at(this.draft, path);
  }
  /** @param {string} path @param {any} value */
  set(path, value) {
    this.met.add(path);
    const keys = path.split(".");
    const last = /** @type {string} */ (keys.pop());
    keys.reduce((part, key) => (part[key] ??= {}), /** @type {any} */ (this.draft))[last] = value;
    this.touched();
  }
  /** Where nothing was entered yet nothing is wrong, until a save is tried or the field was met. @param {{path: string, missing?: boolean}} one */
  worthSaying({ path, missing }) {
    const { draft } = this;
    return (
      this.tried ||
      this.met.has(path) ||
      (!missing && (!draft?.fresh || String(at(draft, path) ?? "") !== ""))
    );
  }
  /** What is wrong and worth saying. */
  get faults() {
    return this.wrongs.filter((one) => this.worthSaying(one));
  }
  get fault() {
    return this.faults[0] ?? null;
  }
  /** @param {string} path */
  why(path) {
    this.shown.add(path);
    return this.faults.find((one) => one.path === path)?.why ?? "";
  }
  /** @param {string} prefix */
  rest(prefix) {
    return this.faults
      .filter(({ path }) => within(path, prefix) && !this.shown.has(path))
      .map(({ why }) => why)
      .join(" ");
  }
  /** What a row that is left out of the totals still wants, where that is not said as a fault. @param {string} prefix */
  lacks(prefix) {
    const faults = this.faults;
    return this.answer.plan
      ? this.wrongs
          .filter((one) => within(one.path, prefix) && !faults.includes(one))
          .map(({ why }) => why)
          .join(" ")
      : "";
  }

  touched() {
    this.changed = true;
    this.edits++;
    if (this.draft) draftStorage.keep(this.draft);
    this.tell();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.ask(), WAIT_MS);
  }

  /** The piece as it stands, in the engine's question. */
  question() {
    return this.draft && pieceQuestion(asStore(store, this.draft), this.draft.id);
  }

  /** Ask everything the form shows; what an older question answers late is dropped. */
  async ask() {
    const round = ++this.round;
    const draft = this.draft;
    if (!draft) return;
    const ring = ringOf(draft),
      swatch = swatchOf(draft);
    const wire = typedLength(draft.ring.wire_mm);
    const [plan, said, gauge, table, metals, fabric, wound] = await Promise.allSettled([
      askByParts((question) => store.ask(question), this.question(), blankJoins(draft)),
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
    const ok = (/** @type {PromiseSettledResult<any>} */ r) =>
      r.status === "fulfilled" ? r.value : null;
    const partly = ok(plan);
    const hours =
      JSON.stringify(partly?.answer.steps) === JSON.stringify(this.answer.plan?.steps)
        ? this.answer.hours
        : null;
    this.answer = {
      hours,
      plan: partly?.answer ?? null,
      panels: placed(partly),
      ring: ok(said),
      gauge: ok(gauge),
      table: ok(table),
      metals: ok(metals)?.metals ?? [],
      fabric: ok(fabric),
    };
    this.wound = wound.status === "fulfilled" ? wound.value : { why: wound.reason.why };
    const wrong = plan.status === "rejected" ? [plan.reason] : plan.value.faults;
    this.wrongs = wrong.map(({ field, why, missing }) => ({
      path: pathOf(field ?? "", draft),
      why: why ?? String(wrong[0]),
      missing,
    }));
    this.tell();
    clearTimeout(this.later);
    if (!hours && this.answer.plan)
      this.later = setTimeout(() => this.askHours(draft.id, round), LATER_MS);
  }

  /** The record may have grown since the hours were worked out. */
  hoursAgain() {
    const { draft, round } = this;
    if (!draft || !this.answer.plan) return;
    clearTimeout(this.later);
    this.later = setTimeout(() => this.askHours(draft.id, round), LATER_MS);
  }

  /** Slower than the plan, so it waits until the typing rests. @param {string} id @param {number} round */
  async askHours(id, round) {
    const hours = await askHours(id, this.answer.plan);
    if (round !== this.round) return;
    this.answer.hours = hours;
    this.tell();
  }

  /** Saved whole or not at all: what cannot be used stays in the form, with its reason. @returns {Promise<boolean>} */
  async save() {
    const { draft, edits } = this;
    clearTimeout(this.timer);
    this.tried = true;
    await this.ask();
    if (!draft || draft !== this.draft || edits !== this.edits) return false;
    if (!draft.piece.name.trim())
      this.wrongs.unshift({
        path: "piece.name",
        why: "A name is needed here, for example Coif or Sleeve, left.",
      });
    if (this.wrongs.length) {
      this.tell();
      return false;
    }
    this.saving = true;
    try {
      for (const [kind, id, fields] of changesOf(store, draft)) await store.set(kind, id, fields);
    } finally {
      this.saving = false;
    }
    draftStorage.drop(draft);
    this.draft = readDraft(store, draft.id);
    this.changed = false;
    this.tell();
    return true;
  }
}

// Puts what the maker has entered into the engine's questions. It names and gathers; it works nothing out.
import { benchMinutes, stands, timedItems, whenOf } from "../log/sitting.js";
import { format as text } from "../texts/texts.js";
import { LEVELS } from "./forecast-calibration.js";

/** @typedef {import("../entities").Entries} Entries */
/** @typedef {import("../answers").PieceAnswer} PieceAnswer */
/** @typedef {import("../answers").StandAnswer} StandAnswer */
/** @typedef {import("../answers").RecordSummary} RecordSummary */
/**
 * What is known of a step, in a plan or the table; a step of the record that neither has, by its name alone.
 * @typedef {{step: string, guess_min_per_item?: number, batch?: number}} KnownStep
 */
/** @typedef {{id: string, plan: PieceAnswer, standing: {steps: {step: string, to_go: number}[], to_go?: StandAnswer["to_go"]}}} PlannedPiece */

export const RING_NUMBERS = /** @type {const} */ ([
  "wire_mm",
  "inner_mm",
  "lap_mm",
  "density_g_cm3",
  "rivet_mm",
  "rivet_point_mm",
  "flat_mm",
  "kerf_mm",
  "mandrel_length_mm",
  "mandrel_mm_used",
  "coil_inner_mm",
  "reel_kg",
]);
export const RING_WORDS = /** @type {const} */ (["kind", "metal", "rivet_kind", "cut"]);
const RING = /** @type {const} */ ([...RING_WORDS, ...RING_NUMBERS, "zinc"]);
const SWATCH = /** @type {const} */ (["columns", "rows", "width_mm", "height_mm", "state"]);

/**
 * The fields of these names that are set.
 * @template T @template {keyof T} K
 * @param {T | null | undefined} from @param {readonly K[]} names
 * @returns {{[N in K]?: Exclude<T[N], null | undefined>}}
 */
export function pick(from, names) {
  const set = names.filter((n) => from?.[n] != null && from[n] !== "");
  return /** @type {{[N in K]?: Exclude<T[N], null | undefined>}} */ (
    Object.fromEntries(set.map((n) => [n, from?.[n]]))
  );
}

/** @typedef {{metal?: string | null, wire_mm?: number | null}} Wire */

/** Of one metal and one thickness, as far as both thicknesses are known. @param {Wire} a @param {Wire} b */
export const isSameWire = (a, b) =>
  a.metal === b.metal &&
  a.wire_mm != null &&
  b.wire_mm != null &&
  Math.abs(a.wire_mm - b.wire_mm) < 5e-4;

/** A ring as it is asked about. @param {Entries} entries @param {string | null | undefined} id */
export function ringOf(entries, id) {
  const ring = pick(entries.thing("ring", id ?? ""), RING);
  const unknown =
    ring.wire_mm != null && ring.metal == null && ring.density_g_cm3 == null && ring.zinc == null;
  return unknown ? { ...ring, zinc: true } : ring; // wire of which nothing is known is never heated
}

/** @param {Entries} entries @param {import("../entities").Entity<"piece">} piece @param {import("../entities").Entity<"panel">} panel */
function panelFields(entries, piece, panel) {
  const swatch = entries.thing("swatch", panel.swatch ?? "");
  const ring = ringOf(entries, panel.ring ?? piece.ring);
  const bare = panel.shape?.kind === "count" && ring.wire_mm == null && ring.inner_mm == null; // a count needs no ring
  return {
    name: panel.name ?? text.fields.panel,
    ...(bare ? {} : { ring }),
    ...(swatch ? { swatch: pick(swatch, SWATCH) } : {}),
    state: panel.state ?? "relaxed",
    shape: { ...panel.shape, ...pick(panel, ["units_per_chain", "rows_run", "max_change"]) },
  };
}

/**
 * The question `piece`, or null while the piece has no panel with a shape.
 * @param {Entries} entries @param {string} id
 * @returns {import("../types").PieceQuestion | null}
 */
export function pieceQuestion(entries, id) {
  const piece = entries.thing("piece", id);
  const panels = entries.things("panel").filter((p) => p.piece === id && p.shape);
  if (!piece || !panels.length) return null;
  return {
    ask: "piece",
    panels: panels.map((p) => panelFields(entries, piece, p)),
    ...pick(piece, ["finishing", "without", "joins", "losses", "sure", "consumables"]),
    ...pick(
      {
        reel_kg: entries.setting("reel_kg"),
        reserve_percent: entries.setting("wire_reserve_percent"),
      },
      ["reel_kg", "reserve_percent"],
    ),
  };
}

/**
 * The question `stand` for a planned piece.
 * @param {import("../types").PieceQuestion} piece its `piece` question @param {Record<string, {done: number, spoiled: number}>} journal
 */
export const standQuestion = (piece, journal) => ({
  ...piece,
  ask: /** @type {const} */ ("stand"),
  journal,
});

/**
 * The maker's guess of a step in minutes an item, their own steps' among them; null where only a
 * usual figure stands.
 * @param {Entries} entries
 * @param {{step: string}} planned
 */
export function ownGuess(entries, planned) {
  const typed = entries
    .things("piece")
    .flatMap((p) => p.finishing ?? [])
    .find((f) => f.step === planned.step && (f.guess_min_per_item ?? 0) > 0);
  return (
    entries.thing("step", planned.step)?.guess_min_per_item ?? typed?.guess_min_per_item ?? null
  );
}

/** @param {Entries} entries @param {KnownStep} planned */
function stepFields(entries, planned) {
  const own = entries.thing("step", planned.step);
  return {
    step: planned.step,
    guess_min_per_item: own?.guess_min_per_item ?? planned.guess_min_per_item ?? 1,
    ...(ownGuess(entries, planned) == null ? { guess_from: "usual" } : {}),
    lump: own?.lump ?? planned.batch ?? 1,
    ...pick(own, ["practised"]),
  };
}

/** @typedef {import("./sittings-summary.js").Row} Row */

/** @param {import("../types").Sitting} s @returns {Row} */
function sittingFields(s) {
  const untimed = Math.min(s.items, s.untimed ?? 0); // the pace leaves them out; the rest of the record does not
  return {
    sitting: s.sitting,
    step: s.step,
    piece: s.piece,
    ...whenOf(s),
    minutes: benchMinutes(s),
    items: s.items,
    ...(untimed > 0 ? { untimed } : {}),
  };
}

/** @param {import("../types").Sitting[]} sittings */
export const timed = (sittings) =>
  sittings
    .filter(stands)
    .map(sittingFields)
    .filter((s) => s.minutes > 0 && s.items >= 0);

/**
 * Steps of the record that no open piece plans: they tell how guesses fare.
 * @param {Entries} entries
 * @param {Row[]} rows
 * @param {RecordSummary | null} summary
 * @param {KnownStep[]} table
 * @param {Set<string>} planned
 */
function otherSteps(entries, rows, summary, table, planned) {
  /** @type {Map<string, {minutes: number, items: number}>} */
  const others = new Map(
    Object.keys(summary?.made ?? {}).map((step) => [step, { minutes: 0, items: 0 }]),
  );
  for (const row of rows) {
    const sum = others.get(row.step) ?? { minutes: 0, items: 0 };
    others.set(row.step, {
      minutes: sum.minutes + row.minutes,
      items: sum.items + timedItems(row),
    });
  }
  return [...others]
    .filter(([step]) => !planned.has(step))
    .map(([step, { minutes, items }]) => {
      const known = table.find((row) => row.step === step);
      return known || items > 0 || entries.thing("step", step)?.guess_min_per_item
        ? stepFields(
            entries,
            known ?? { step, guess_min_per_item: items > 0 ? minutes / items : 1 },
          )
        : null;
    })
    .filter((step) => step !== null);
}

/**
 * How many items of a step are counted at once.
 * @param {Entries} entries
 * @param {KnownStep[]} rows of plans and of the table
 * @param {string} step
 */
export const lumpOf = (entries, rows, step) =>
  stepFields(entries, rows.find((row) => row.step === step) ?? { step }).lump;

/**
 * The question `forecast` over all open pieces that have a plan.
 * @param {Entries} entries
 * @param {PlannedPiece[]} pieces in the maker's order
 * @param {Row[]} recent sittings in order
 * @param {{today: string, summary: RecordSummary | null, table: KnownStep[]}} more `table`: the steps' usual guesses
 */
export function forecastQuestion(entries, pieces, recent, { today, summary, table }) {
  const steps = new Map();
  for (const { plan } of pieces)
    for (const s of plan.steps) if (!steps.has(s.step)) steps.set(s.step, stepFields(entries, s));
  for (const step of otherSteps(entries, recent, summary, table, new Set(steps.keys())))
    steps.set(step.step, step);
  const trials = entries
    .things("step")
    .flatMap(({ id, trial }) =>
      trial && trial.minutes > 0 && trial.items > 0 && steps.has(id)
        ? [{ step: id, minutes: trial.minutes, items: trial.items }]
        : [],
    );
  return {
    ask: /** @type {const} */ ("forecast"),
    today,
    steps: [...steps.values()],
    // another device's clock may run ahead of this one's day
    sittings: recent
      .filter((s) => steps.has(s.step))
      .map(({ sitting: _, date, ...row }) => ({ ...row, date: date > today ? today : date })),
    ...(summary ? { summary } : {}),
    trials,
    ...pick(entries.thing("setting", "workshop"), ["week_hours"]),
    queue: entries.setting("queue", "in_order"),
    off_days: entries.setting("off_days", []),
    levels: LEVELS,
    pieces: pieces.map(({ id, standing }) => ({
      id,
      to_go: Object.fromEntries(standing.steps.map((s) => [s.step, s.to_go])),
      ...pick(entries.thing("piece", id), ["due"]),
    })),
  };
}

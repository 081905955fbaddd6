/**
 * What the engine answers to each question, by the name that `ask` gives. Units are in the names; a refused question answers `{ok: false, error: {field, why}}` instead.
 */
export interface Answers {
  metals: MetalsAnswer;
  gauge: GaugeAnswer;
  ring: RingAnswer;
  mandrel: MandrelAnswer;
  weigh: WeighAnswer;
  losses: LossesAnswer;
  fabric: FabricAnswer;
  panel: PanelAnswer;
  steps: StepsAnswer;
  piece: PieceAnswer;
  stand: StandAnswer;
  fold: FoldAnswer;
  summarise: SummariseAnswer;
  pace: PaceAnswer;
  forecast: ForecastAnswer;
  price: PriceAnswer;
  stock: StockAnswer;
}
export interface MetalsAnswer {
  metals: Metal[];
  zinc_caution: string;
  zinc_source: string;
  ok: true;
  unread?: Unread[];
}
/**
 * A metal, its density and the range of sources.
 */
export interface Metal {
  name: string;
  also: string[];
  density_g_cm3: number;
  low: number;
  high: number;
  zinc: boolean;
  source: string;
}
/**
 * A field of the question that nothing here uses.
 */
export interface Unread {
  field: string;
  why: string;
}
export interface GaugeAnswer {
  gauge?: number;
  systems: GaugeNumber[];
  mass_ratio?: number;
  notes?: string[];
  ok: true;
  wire_mm?: number;
  unread?: Unread[];
}
/**
 * The nearest number of one system of gauges.
 */
export interface GaugeNumber {
  system: string;
  name: string;
  gauge: number;
  wire_mm: number;
  source: string;
  note?: string;
  off_percent?: number;
  close?: boolean;
}
export interface RingAnswer {
  cut: "overlap" | "straight";
  wire_per_ring_mm: number;
  turn_mm: number;
  coil_inner_mm: number;
  mandrel_mm: number;
  rings_per_coil: number | null;
  wire_per_coil_mm: number | null;
  other_cut: RingCut | null;
  wire_mm: number;
  inner_mm: number;
  lap_mm: number;
  mass_g: number;
  aspect: number;
  outer_mm: number;
  springback_measured: boolean;
  rings_per_kg: number;
  rings_per_reel: number | null;
  rivet_wire_mm: number | null;
  rivet: Rivet | null;
  metal: string;
  density_g_cm3: number;
  kind: "butted" | "riveted" | "solid";
  zinc: boolean;
  coating: "bare" | "unknown" | "zinc";
  warnings: string[];
  ok: true;
  unread?: Unread[];
}
/**
 * A ring by one way of cutting: its wire, its turn on the mandrel, its coil.
 */
export interface RingCut {
  cut: "overlap" | "straight";
  wire_per_ring_mm: number;
  turn_mm: number;
  coil_inner_mm: number;
  mandrel_mm: number;
  rings_per_coil: number | null;
  wire_per_coil_mm: number | null;
}
/**
 * The rivet or wedge of one ring.
 */
export interface Rivet {
  kind: "round" | "wedge";
  rivet_wire_mm: number;
  second_rule_mm?: number;
  per_metre: number;
  mass_g: number;
  grip_mm?: number;
  grip_from?: string;
  sources: string[];
  strip_width_mm?: number;
  strip_mm?: number;
}
export interface MandrelAnswer {
  cut: "overlap" | "straight";
  coil_inner_mm: number;
  inner_mm: number;
  springback_measured: boolean;
  ok: true;
  unread?: Unread[];
}
export interface WeighAnswer {
  count: number;
  low: number;
  high: number;
  u_rings: number;
  mean_g: number;
  certain_within: number;
  need_reference: number | null;
  need_reference_percent: number | null;
  largest_batch: number;
  notes: string[];
  ok: true;
  unread?: Unread[];
}
export interface LossesAnswer {
  start: number;
  chance: number;
  spare: number;
  sure: number;
  yield: number;
  expected_good: number;
  notes: string[];
  ok: true;
  unread?: Unread[];
}
export interface FabricAnswer {
  pitch_mm: Pitch;
  rings_per_100cm2: number;
  kg_per_m2: number | null;
  basis: "geometry" | "swatch";
  state: "across" | "flat" | "hang" | "relaxed";
  states: FabricStates;
  states_differ: number;
  notes: string[];
  needs_swatch: boolean;
  warnings: string[];
  ok: true;
  unread?: Unread[];
}
/**
 * Between ring centres, mm: along a row, and from row to row.
 */
export interface Pitch {
  column: number;
  row: number;
}
/**
 * By state of hanging.
 */
export interface FabricStates {
  hang: FabricInState;
  relaxed: FabricInState;
  flat: FabricInState;
  across: FabricInState;
}
/**
 * What the fabric measures in one state of hanging.
 */
export interface FabricInState {
  pitch_mm: Pitch;
  rings_per_100cm2: number;
  kg_per_m2: number | null;
}
export interface PanelAnswer {
  rings: number;
  closed: number;
  open: number;
  links: number;
  units: number;
  chains: number;
  chain_units: number[];
  unit_joins: number;
  chain_joins: number;
  left_over: LeftOver;
  left_over_rings: number;
  closed_by_step?: ByStep;
  open_by_step?: ByStep;
  closing_rings: number;
  rows: number[];
  changes: RowChange[];
  chain_runs: [number, number][];
  unit_join_runs: [number, number][];
  hanging_runs: [number, number][];
  suggest: SizeSuggestion[];
  rows_run?: "down" | "round";
  clipped?: boolean;
  notes: string[];
  warnings: string[];
  error_mm: number;
  size_error_mm: { [k: string]: number };
  weight_g: number | null;
  ok: true;
  size_mm?: { [k: string]: number };
  edge_to_edge_mm?: EdgeToEdge;
  pitch_mm?: Pitch;
  basis?: "geometry" | "swatch";
  state?: "across" | "flat" | "hang" | "relaxed";
  area_m2?: number;
  items?: { [k: string]: number };
  unread?: Unread[];
  starts?: number[];
}
/**
 * Rings that belong to no unit.
 */
export interface LeftOver {
  closed: number;
  open: number;
  row?: OpenAndClosed;
  column?: OpenAndClosed;
  edge?: OpenAndClosed;
}
/**
 * Rings by kind.
 */
export interface OpenAndClosed {
  closed: number;
  open: number;
}
/**
 * Rings that a step takes.
 */
export interface ByStep {
  unit: number;
  unit_join: number;
  chain_join: number;
  left_over: number;
}
/**
 * Rings by which a row is wider or narrower than the one before, and where.
 */
export interface RowChange {
  row: number;
  by: number;
  at: number[];
  part: "chain" | "chain_join" | "left_over";
  chain: number;
  units?: number[];
  joins?: number[];
  rings?: number[];
  to?: number;
}
/**
 * A size near the one asked for that leaves no ring over.
 */
export interface SizeSuggestion {
  rows: number;
  columns?: number;
  height_mm?: number;
  width_mm?: number;
  length_mm?: number;
  slant_mm?: number;
  around_mm?: number;
  widths?: [number, number][];
  widest_mm?: number;
}
/**
 * Outer size, mm.
 */
export interface EdgeToEdge {
  along_mm: number | null;
  across_mm: number | null;
}
export interface StepsAnswer {
  steps: Step[];
  rules: MakingRule[];
  ok: true;
  unread?: Unread[];
}
/**
 * A step as the table has it.
 */
export interface Step {
  batch: number;
  guess_min_per_item: number;
  guess_source: string;
  item: string;
  items: string;
  name: string;
  notes: string[];
  step: string;
  uses?: Use[];
  yields?: Yield;
  caution?: string;
  caution_source: string;
}
/**
 * What an item takes.
 */
export interface Use {
  what: string;
  step: string | null;
  n: number | null;
  how?: string;
}
/**
 * What an item gives.
 */
export interface Yield {
  what: string;
  n: number;
}
/**
 * A rule of making that a piece can set.
 */
export interface MakingRule {
  field: string;
  name: string;
  options: string[];
  note: string;
  source: string;
}
export interface PieceAnswer {
  closed: number;
  open: number;
  links: number;
  units: number;
  chains: number;
  unit_joins: number;
  chain_joins: number;
  left_over_rings: number;
  left_over: number;
  panel_joins: number;
  rings: number;
  coils: number;
  consumables: Consumable[];
  reels: number | null;
  reserve_basis: string;
  reserve_percent: number;
  rivet_wire_m: number | null;
  rivets: number;
  rivets_g: number | null;
  rivets_start: number;
  sizes: RingSize[];
  warnings: string[];
  weight_g: number | null;
  wire_buy_g: number;
  wire_buy_m: number;
  wire_ends_m: number;
  wire_g: number;
  wire_m: number;
  wire_reserve_m: number;
  wires: PlannedWire[];
  steps: PlannedStep[];
  panels: Panel[];
  joins: PanelJoin[];
  coating: "bare" | "unknown" | "zinc";
  sure: number;
  ok: true;
  unread?: Unread[];
}
/**
 * Used up at the work.
 */
export interface Consumable {
  name: string;
  unit: string;
  amount: number;
}
/**
 * Rings of one size and wire.
 */
export interface RingSize {
  metal: string;
  density_g_cm3: number;
  wire_mm: number;
  inner_mm: number;
  kind: "butted" | "riveted" | "solid";
  rings: number;
  zinc: boolean | null;
  metres: number;
  reserve_m: number;
  kg: number;
}
/**
 * Wire to buy for this piece.
 */
export interface PlannedWire {
  metal: string;
  wire_mm: number;
  density_g_cm3: number;
  zinc: boolean;
  coating: "bare" | "unknown" | "zinc";
  rings: number;
  reel_kg: number | null;
  rings_m: number;
  ends_m: number;
  metres: number;
  reserve_percent: number;
  reserve_m: number;
  buy_m: number;
  kg: number;
  reserve_kg: number;
  buy_kg: number;
  reels: number | null;
}
/**
 * A step of this piece: what it takes, what it gives, how many are to be made.
 */
export interface PlannedStep {
  batch: number;
  guess_min_per_item: number;
  guess_source: string;
  item: string;
  items: string;
  name: string;
  notes: string[];
  step: string;
  uses?: Use[];
  yields?: Yield;
  caution?: string;
  caution_source: string;
  need: number;
  start: number;
  to_make: number;
  group?: Group;
}
/**
 * Runs of like groups, `[items of one, times]`, in the order of work.
 */
export interface Group {
  of: "chain" | "hanging";
  runs: [number, number][];
  panels?: [string, number][];
}
/**
 * What a panel is made of, ring by ring counted.
 */
export interface Panel {
  rings: number;
  closed: number;
  open: number;
  links: number;
  units: number;
  chains: number;
  chain_units: number[];
  unit_joins: number;
  chain_joins: number;
  left_over: LeftOver;
  left_over_rings: number;
  closed_by_step?: ByStep;
  open_by_step?: ByStep;
  closing_rings: number;
  rows: number[];
  changes: RowChange[];
  chain_runs: [number, number][];
  unit_join_runs: [number, number][];
  hanging_runs: [number, number][];
  suggest: SizeSuggestion[];
  rows_run?: "down" | "round";
  clipped?: boolean;
  notes: string[];
  warnings: string[];
  error_mm: number;
  size_error_mm: { [k: string]: number };
  size_mm?: { [k: string]: number };
  edge_to_edge_mm?: EdgeToEdge;
  pitch_mm?: Pitch;
  basis?: "geometry" | "swatch";
  state?: "across" | "flat" | "hang" | "relaxed";
  area_m2?: number;
  weight_g: number | null;
  name: string;
  items?: { [k: string]: number };
  starts?: number[];
}
/**
 * How panels are joined.
 */
export interface PanelJoin {
  name: string;
  rings: number;
  links: number;
}
export interface StandAnswer {
  steps: StepStanding[];
  to_go: { [k: string]: number };
  loose: Loose[];
  panels: PanelStanding[];
  next: StepNote | null;
  bottleneck: string | null;
  missing: StepNote[];
  notes: StepNote[];
  warnings: string[];
  share: number;
  share_percent: number;
  ok: true;
  unread?: Unread[];
}
/**
 * Where the piece is at one step.
 */
export interface StepStanding {
  step: string;
  need: number;
  start: number;
  to_go: number;
  done: number;
  spoiled: number;
  in_hand: number;
  share: number;
  share_percent: number;
  next: NextGroup | null;
  at: GroupPosition | null;
  stocktake: Stocktake;
  bottleneck: boolean;
}
/**
 * The next group that is whole.
 */
export interface NextGroup {
  n: number;
  why: string;
}
/**
 * Where in its group the next item lies.
 */
export interface GroupPosition {
  group: number;
  n: number;
  of: number;
}
/**
 * What can be counted by hand at this step, and how many there should be.
 */
export interface Stocktake {
  what: "done" | "loose";
  n: number;
}
/**
 * Made and not used yet.
 */
export interface Loose {
  what: string;
  step: string;
  n: number;
}
/**
 * How far the chains of a panel have got.
 */
export interface PanelStanding {
  name: string;
  chains: number;
  joined: number;
  hung: number;
  chain_states: ChainState[];
}
/**
 * Like chains, one after the other.
 */
export interface ChainState {
  units: number;
  made: number;
  state: "ahead" | "begun" | "hung" | "joined";
  chains: number;
}
/**
 * A step, a number of items, and why.
 */
export interface StepNote {
  step: string;
  n: number;
  why: string;
}
export interface FoldAnswer {
  totals: FoldedTotal[];
  sittings: FoldedSitting[];
  things: FoldedEntity[];
  holds: HeldContact[];
  refused: RefusedChange[];
  ok: true;
  unread?: Unread[];
}
/**
 * Counts of a step.
 */
export interface FoldedTotal {
  piece: string;
  step: string;
  done: number;
  spoiled: number;
  panel?: string;
  stocktake?: number;
}
/**
 * A sitting with its bench minutes.
 */
export interface FoldedSitting {
  sitting: string;
  piece: string;
  step: string;
  date: string;
  start_min: number;
  start_ms: number;
  minutes: number;
  items: number;
  untimed: number;
  open: boolean;
  running: boolean;
}
/**
 * Fields that hold, and values that lost.
 */
export interface FoldedEntity {
  thing: string;
  id: string;
  fields: { [k: string]: unknown };
  lost: LostValue[];
}
/**
 * A value written at the same time as the one that holds.
 */
export interface LostValue {
  field: string;
  value: string;
  device: string;
  seq: number;
  stamp: number[];
}
/**
 * A contact held apart.
 */
export interface HeldContact {
  device: string;
  seq: number;
  piece: string;
  step: string;
  n: number;
  why: string;
  at: number;
}
/**
 * A change that cannot be read.
 */
export interface RefusedChange {
  device: string;
  seq: number;
  why: string;
}
export interface SummariseAnswer {
  summary: RecordSummary;
  ok: true;
  unread?: Unread[];
}
/**
 * Old sittings in short; given back unread with the next forecast.
 */
export interface RecordSummary {
  v: number;
  from: string;
  until: string;
  made: { [k: string]: number };
  lumps: { [k: string]: number };
  rows: (number | string)[][];
  open: unknown[];
  hours: HoursByDay;
  sittings: number;
}
/**
 * Bench minutes of each day from the ordinal day `first` on.
 */
export interface HoursByDay {
  first: number;
  minutes: number[];
}
export interface PaceAnswer {
  pace: StepPace[];
  notes: RecordNote[];
  ok: true;
  unread?: Unread[];
}
/**
 * The pace at one step; times are bench minutes an item.
 */
export interface StepPace {
  step: string;
  from: "both" | "guess" | "own";
  trend: number;
  guess_from: "maker" | "usual" | null;
  trend_percent: number;
  min_per_item: PaceQuantiles;
}
/**
 * At chances of 10, 50 and 90 in 100.
 */
export interface PaceQuantiles {
  p10: number;
  p50: number;
  p90: number;
}
/**
 * What is odd in the record, in words.
 */
export interface RecordNote {
  kind: string;
  why: string;
  date?: string;
  step?: string;
}
export interface ForecastAnswer {
  pieces: PieceForecast[];
  pace: StepPace[];
  week: Week;
  notes: RecordNote[];
  narrow: Narrowing[];
  ok: true;
  unread?: Unread[];
}
/**
 * One piece: bench hours and days from today at chances of 10, 50, 80 and 95 in 100, dates ISO 8601.
 */
export interface PieceForecast {
  id: string;
  hours: Quantiles;
  days: Quantiles;
  finish: FinishDates;
  p_due: number | null;
  hours_per_week_for_due: number | null;
  bench_h_per_week_for_due: number | null;
  why: string;
  hours_at?: number[];
  days_at?: number[];
}
/**
 * At chances of 10, 50, 80 and 95 in 100.
 */
export interface Quantiles {
  p10: number;
  p50: number;
  p80: number;
  p95: number;
}
/**
 * Dates, ISO 8601, at chances of 10, 50, 80 and 95 in 100; null beyond the farthest day foreseen.
 */
export interface FinishDates {
  p10: string | null;
  p50: string | null;
  p80: string | null;
  p95: string | null;
}
/**
 * Bench hours a week: what is expected, worked and said.
 */
export interface Week {
  expected_h: number;
  worked_h: number | null;
  record_days: number;
  said_h: number;
  said_by: "maker" | "usual";
}
/**
 * What a trial or a word about practice at a step would take off the spread of the hours.
 */
export interface Narrowing {
  step: string;
  trial: number;
  practised: number;
  trial_percent: number;
  practised_percent: number;
}
export interface PriceAnswer {
  currency: string;
  digits: number;
  lines: PriceLine[];
  cost: Money;
  net: Money;
  total: Money;
  deposit: Money;
  balance: Money;
  margin_percent: number | null;
  markup_percent: number | null;
  note: string;
  ok: true;
  unread?: Unread[];
}
/**
 * One line of the price, in the smallest unit of the currency.
 */
export interface PriceLine {
  name: string;
  p50: number;
  p80: number;
  why: string;
}
/**
 * In the smallest unit of the currency: in the middle, and with four chances in five.
 */
export interface Money {
  p50: number;
  p80: number;
}
export interface StockAnswer {
  reels: Reel[];
  rings: RingsInStock[];
  wires: WireInStock[];
  pieces: PieceReach[];
  warnings: string[];
  ok: true;
  unread?: Unread[];
}
/**
 * A reel and what is on it.
 */
export interface Reel {
  id: string;
  name: string;
  metal: string;
  wire_mm: number;
  grams: number;
  metres: number;
  known_by: "given" | "use" | "weight";
}
/**
 * Rings ready made.
 */
export interface RingsInStock {
  metal: string;
  wire_mm: number;
  inner_mm: number;
  n: number;
  kind: "butted" | "riveted";
  metres: number;
}
/**
 * Wire of one kind: held, needed, short, when to order.
 */
export interface WireInStock {
  runs_out: string | null;
  order_by: string | null;
  late_days: number | null;
  held_m: number;
  held_kg: number;
  needed_m: number;
  needed_kg: number;
  short_m: number;
  short_kg: number;
  reserve_m: number;
  reserve_kg: number;
  buy_m: number;
  buy_kg: number;
  left_m: number;
  metal: string;
  wire_mm: number;
  reaches: boolean;
  why: string;
  coating: "bare" | "unknown" | "zinc";
  caution: string;
}
/**
 * Whether what is held reaches for a piece.
 */
export interface PieceReach {
  id: string;
  reaches: boolean;
}

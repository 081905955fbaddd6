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
/**
 * The metals known by name.
 */
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
  /**
   * other names it is known by
   */
  also: string[];
  density_g_cm3: number;
  /**
   * with `high`: the densities that sources give
   */
  low: number;
  high: number;
  zinc: boolean;
  /**
   * where the figure was published
   */
  source: string;
}
/**
 * A field of the question that nothing here uses.
 */
export interface Unread {
  field: string;
  why: string;
}
/**
 * A gauge in every system, or a wire's nearest number in each.
 */
export interface GaugeAnswer {
  gauge?: number;
  systems: GaugeNumber[];
  /**
   * the thickest wire of this number over the thinnest, by mass
   */
  mass_ratio?: number;
  /**
   * remarks, in words
   */
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
  /**
   * where the figure was published
   */
  source: string;
  note?: string;
  /**
   * this number's wire less the one asked for
   */
  off_percent?: number;
  /**
   * may be taken for the same wire
   */
  close?: boolean;
}
/**
 * One ring: its wire, weight, mandrel, coil and rivet.
 */
export interface RingAnswer {
  cut: "overlap" | "straight";
  wire_per_ring_mm: number;
  /**
   * wire of one turn of the coil
   */
  turn_mm: number;
  coil_inner_mm: number;
  mandrel_mm: number;
  /**
   * null without the mandrel's length
   */
  rings_per_coil: number | null;
  /**
   * null without the mandrel's length
   */
  wire_per_coil_mm: number | null;
  /**
   * the same ring cut the other way; null where it has no lap
   */
  other_cut: RingCut | null;
  wire_mm: number;
  inner_mm: number;
  lap_mm: number;
  mass_g: number;
  /**
   * inside over wire
   */
  aspect: number;
  outer_mm: number;
  /**
   * from the maker's own coil, not the usual figure
   */
  springback_measured: boolean;
  rings_per_kg: number;
  /**
   * null without the reel's weight
   */
  rings_per_reel: number | null;
  rivet_wire_mm: number | null;
  rivet: Rivet | null;
  metal: string;
  density_g_cm3: number;
  kind: "butted" | "riveted" | "solid";
  zinc: boolean;
  coating: "bare" | "unknown" | "zinc";
  /**
   * what could go wrong, in words
   */
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
  /**
   * wire of one turn of the coil
   */
  turn_mm: number;
  coil_inner_mm: number;
  mandrel_mm: number;
  /**
   * null without the mandrel's length
   */
  rings_per_coil: number | null;
  /**
   * null without the mandrel's length
   */
  wire_per_coil_mm: number | null;
}
/**
 * The rivet or wedge of one ring.
 */
export interface Rivet {
  kind: "round" | "wedge";
  rivet_wire_mm: number;
  /**
   * by another published rule, to compare
   */
  second_rule_mm?: number;
  /**
   * out of a metre of its wire
   */
  per_metre: number;
  mass_g: number;
  /**
   * the metal it goes through
   */
  grip_mm?: number;
  grip_from?: string;
  sources: string[];
  strip_width_mm?: number;
  strip_mm?: number;
}
/**
 * The ring that a mandrel gives.
 */
export interface MandrelAnswer {
  cut: "overlap" | "straight";
  coil_inner_mm: number;
  inner_mm: number;
  /**
   * from the maker's own coil, not the usual figure
   */
  springback_measured: boolean;
  ok: true;
  unread?: Unread[];
}
/**
 * Rings counted by weight, with how sure the count is.
 */
export interface WeighAnswer {
  count: number;
  /**
   * with `high`: 95 times in 100 between these
   */
  low: number;
  high: number;
  /**
   * standard uncertainty of the count
   */
  u_rings: number;
  /**
   * of one ring
   */
  mean_g: number;
  /**
   * rings by which the count may be off, 95 times in 100
   */
  certain_within: number;
  /**
   * rings to weigh first so that the count is right to one ring; null where none would do
   */
  need_reference: number | null;
  /**
   * the same for a count right to 1 in 100
   */
  need_reference_percent: number | null;
  /**
   * that can be counted to one ring; 0: none
   */
  largest_batch: number;
  /**
   * remarks, in words
   */
  notes: string[];
  ok: true;
  unread?: Unread[];
}
/**
 * How many to begin so that enough come out.
 */
export interface LossesAnswer {
  /**
   * to begin
   */
  start: number;
  /**
   * that enough come out
   */
  chance: number;
  /**
   * begun beyond those needed
   */
  spare: number;
  /**
   * the chance asked for
   */
  sure: number;
  /**
   * good ones of each begun, by the record
   */
  yield: number;
  expected_good: number;
  /**
   * remarks, in words
   */
  notes: string[];
  ok: true;
  unread?: Unread[];
}
/**
 * The fabric of a ring: pitch, rings and weight by area.
 */
export interface FabricAnswer {
  pitch_mm: Pitch;
  rings_per_100cm2: number;
  /**
   * null where no metal is named
   */
  kg_per_m2: number | null;
  /**
   * measured on a swatch, or a first guess
   */
  basis: "geometry" | "swatch";
  state: "across" | "flat" | "hang" | "relaxed";
  states: FabricStates;
  /**
   * most rings by area over fewest, among the states
   */
  states_differ: number;
  /**
   * remarks, in words
   */
  notes: string[];
  needs_swatch: boolean;
  /**
   * what could go wrong, in words
   */
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
  /**
   * null where no metal is named
   */
  kg_per_m2: number | null;
}
/**
 * One panel: its rows, rings, assembly and the size reached.
 */
export interface PanelAnswer {
  rings: number;
  closed: number;
  open: number;
  /**
   * rings through rings
   */
  links: number;
  units: number;
  chains: number;
  /**
   * units of each chain, in the order of work
   */
  chain_units: number[];
  unit_joins: number;
  chain_joins: number;
  left_over: LeftOver;
  /**
   * rings of no unit
   */
  left_over_rings: number;
  closed_by_step?: ByStep;
  open_by_step?: ByStep;
  /**
   * open rings, among the joins, that close the panel to a tube
   */
  closing_rings: number;
  /**
   * rings of every row from the start edge, closed and open in turn
   */
  rows: number[];
  changes: RowChange[];
  /**
   * like chains: `[units, times]`
   */
  chain_runs: [number, number][];
  /**
   * of like chains: `[unit joins, times]`
   */
  unit_join_runs: [number, number][];
  /**
   * chain joins that hang one chain: `[joins, times]`
   */
  hanging_runs: [number, number][];
  /**
   * the nearest first; none where nothing is left over
   */
  suggest: SizeSuggestion[];
  rows_run?: "down" | "round";
  /**
   * rows were moved because the slope is steeper than allowed
   */
  clipped?: boolean;
  /**
   * remarks, in words
   */
  notes: string[];
  /**
   * what could go wrong, in words
   */
  warnings: string[];
  /**
   * the furthest a closed row is from the width asked for
   */
  error_mm: number;
  /**
   * reached less asked, by the names it was asked by
   */
  size_error_mm: { [k: string]: number };
  /**
   * null where no metal is named
   */
  weight_g: number | null;
  ok: true;
  /**
   * reached, by the names it was asked by
   */
  size_mm?: { [k: string]: number };
  edge_to_edge_mm?: EdgeToEdge;
  pitch_mm?: Pitch;
  /**
   * measured on a swatch, or a first guess
   */
  basis?: "geometry" | "swatch";
  state?: "across" | "flat" | "hang" | "relaxed";
  area_m2?: number;
  items?: { [k: string]: number };
  unread?: Unread[];
  /**
   * where each row begins, in rings, if the rows are cut short in steps
   */
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
  /**
   * from 1, from the start edge
   */
  row: number;
  /**
   * rings more in the next closed row, or fewer below 0
   */
  by: number;
  /**
   * rings of the row that hold five, from 1
   */
  at: number[];
  part: "chain" | "chain_join" | "left_over";
  /**
   * from 1, as in `chain_units`
   */
  chain: number;
  /**
   * within the chain, from 1
   */
  units?: number[];
  /**
   * within the chain, from 1
   */
  joins?: number[];
  /**
   * within the run or row, from 1
   */
  rings?: number[];
  /**
   * the chain that the run hangs
   */
  to?: number;
}
/**
 * A size near the one asked for that leaves no ring over.
 */
export interface SizeSuggestion {
  /**
   * of rings, closed and open
   */
  rows: number;
  /**
   * where all rows are alike
   */
  columns?: number;
  height_mm?: number;
  width_mm?: number;
  length_mm?: number;
  slant_mm?: number;
  around_mm?: number;
  widths?: [number, number][];
  widest_mm?: number;
  from_mm?: number;
  to_mm?: number;
  from_columns?: number;
  to_columns?: number;
}
/**
 * Outer size, mm.
 */
export interface EdgeToEdge {
  along_mm: number | null;
  across_mm: number | null;
}
/**
 * The making steps in order, and the rules that a piece can set.
 */
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
  /**
   * items usually counted at once
   */
  batch: number;
  /**
   * minutes for one item, before there is a record
   */
  guess_min_per_item: number;
  guess_source: string;
  item: string;
  items: string;
  name: string;
  /**
   * remarks, in words
   */
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
  /**
   * that makes it; null: from the shelf
   */
  step: string | null;
  /**
   * for one item in the table, for all of a piece; null for wire
   */
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
  /**
   * of the piece
   */
  field: string;
  name: string;
  options: string[];
  note: string;
  source: string;
}
/**
 * A whole piece: what each step makes, the wire, rivets and weight.
 */
export interface PieceAnswer {
  closed: number;
  open: number;
  /**
   * rings through rings
   */
  links: number;
  units: number;
  chains: number;
  unit_joins: number;
  chain_joins: number;
  /**
   * rings of no unit
   */
  left_over_rings: number;
  /**
   * an older name of `left_over_rings`
   */
  left_over: number;
  panel_joins: number;
  rings: number;
  coils: number;
  consumables: Consumable[];
  /**
   * null where one wire's reel is not known
   */
  reels: number | null;
  /**
   * where the reserve's figure comes from
   */
  reserve_basis: string;
  reserve_percent: number;
  rivet_wire_m: number | null;
  rivets: number;
  rivets_g: number | null;
  /**
   * to make, with losses
   */
  rivets_start: number;
  sizes: RingSize[];
  /**
   * what could go wrong, in words
   */
  warnings: string[];
  /**
   * null where no metal is named
   */
  weight_g: number | null;
  wire_buy_g: number | null;
  wire_buy_m: number;
  wire_ends_m: number;
  wire_g: number | null;
  wire_m: number;
  wire_reserve_m: number;
  wires: PlannedWire[];
  steps: PlannedStep[];
  panels: Panel[];
  joins: PanelJoin[];
  coating: "bare" | "unknown" | "zinc";
  /**
   * the chance that what is begun is enough
   */
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
  /**
   * null where the coating is not known
   */
  zinc: boolean | null;
  /**
   * what the reel loses
   */
  metres: number;
  reserve_m: number;
  kg: number | null;
}
/**
 * Wire to buy for this piece.
 */
export interface PlannedWire {
  metal: string;
  wire_mm: number;
  density_g_cm3: number;
  zinc: boolean;
  /**
   * null where no metal is named
   */
  coating: "bare" | "unknown" | "zinc" | null;
  rings: number;
  /**
   * null where not said
   */
  reel_kg: number | null;
  /**
   * metres that go into rings
   */
  rings_m: number;
  /**
   * metres lost at the ends of coils
   */
  ends_m: number;
  /**
   * what the reel loses
   */
  metres: number;
  reserve_percent: number;
  reserve_m: number;
  /**
   * missing, the reserve included
   */
  buy_m: number;
  kg: number | null;
  reserve_kg: number | null;
  buy_kg: number | null;
  reels: number | null;
}
/**
 * A step of this piece: what it takes, what it gives, how many are to be made.
 */
export interface PlannedStep {
  /**
   * items usually counted at once
   */
  batch: number;
  /**
   * minutes for one item, before there is a record
   */
  guess_min_per_item: number;
  guess_source: string;
  item: string;
  items: string;
  name: string;
  /**
   * remarks, in words
   */
  notes: string[];
  step: string;
  uses?: Use[];
  yields?: Yield;
  caution?: string;
  caution_source: string;
  /**
   * good ones in the finished piece
   */
  need: number;
  /**
   * to begin, with what will be spoiled
   */
  start: number;
  /**
   * good ones to make, those for later losses included
   */
  to_make: number;
  group?: Group;
}
/**
 * Runs of like groups, `[items of one, times]`, in the order of work.
 */
export interface Group {
  of: "chain" | "hanging";
  runs: [number, number][];
  /**
   * name and how many groups, in the order of work
   */
  panels?: [string, number][];
}
/**
 * What a panel is made of, ring by ring counted.
 */
export interface Panel {
  rings: number;
  closed: number;
  open: number;
  /**
   * rings through rings
   */
  links: number;
  units: number;
  chains: number;
  /**
   * units of each chain, in the order of work
   */
  chain_units: number[];
  unit_joins: number;
  chain_joins: number;
  left_over: LeftOver;
  /**
   * rings of no unit
   */
  left_over_rings: number;
  closed_by_step?: ByStep;
  open_by_step?: ByStep;
  /**
   * open rings, among the joins, that close the panel to a tube
   */
  closing_rings: number;
  /**
   * rings of every row from the start edge, closed and open in turn
   */
  rows: number[];
  changes: RowChange[];
  /**
   * like chains: `[units, times]`
   */
  chain_runs: [number, number][];
  /**
   * of like chains: `[unit joins, times]`
   */
  unit_join_runs: [number, number][];
  /**
   * chain joins that hang one chain: `[joins, times]`
   */
  hanging_runs: [number, number][];
  /**
   * the nearest first; none where nothing is left over
   */
  suggest: SizeSuggestion[];
  rows_run?: "down" | "round";
  /**
   * rows were moved because the slope is steeper than allowed
   */
  clipped?: boolean;
  /**
   * remarks, in words
   */
  notes: string[];
  /**
   * what could go wrong, in words
   */
  warnings: string[];
  /**
   * the furthest a closed row is from the width asked for
   */
  error_mm: number;
  /**
   * reached less asked, by the names it was asked by
   */
  size_error_mm: { [k: string]: number };
  /**
   * reached, by the names it was asked by
   */
  size_mm?: { [k: string]: number };
  edge_to_edge_mm?: EdgeToEdge;
  pitch_mm?: Pitch;
  /**
   * measured on a swatch, or a first guess
   */
  basis?: "geometry" | "swatch";
  state?: "across" | "flat" | "hang" | "relaxed";
  area_m2?: number;
  /**
   * null where no metal is named
   */
  weight_g: number | null;
  name: string;
  items?: { [k: string]: number };
  /**
   * where each row begins, in rings, if the rows are cut short in steps
   */
  starts?: number[];
}
/**
 * How panels are joined.
 */
export interface PanelJoin {
  name: string;
  rings: number;
  /**
   * rings through rings
   */
  links: number;
}
/**
 * How far a piece is, and what to make next.
 */
export interface StandAnswer {
  steps: StepStanding[];
  /**
   * by step: still to begin
   */
  to_go: { [k: string]: number };
  /**
   * in making order
   */
  loose: Loose[];
  panels: PanelStanding[];
  next: StepNote | null;
  /**
   * the step most of the work left waits for
   */
  bottleneck: string | null;
  /**
   * what must have been made but was not counted
   */
  missing: StepNote[];
  /**
   * what was counted beyond the plan
   */
  notes: StepNote[];
  /**
   * what could go wrong, in words
   */
  warnings: string[];
  /**
   * an older form of `share_percent`
   */
  share: number;
  /**
   * of the work done, by minutes
   */
  share_percent: number;
  ok: true;
  unread?: Unread[];
}
/**
 * Where the piece is at one step.
 */
export interface StepStanding {
  step: string;
  /**
   * good ones in the finished piece
   */
  need: number;
  /**
   * to begin in all, with what will be spoiled
   */
  start: number;
  /**
   * still to begin
   */
  to_go: number;
  /**
   * counted, the spoiled among them
   */
  done: number;
  spoiled: number;
  /**
   * made and not used yet
   */
  in_hand: number;
  /**
   * an older form of `share_percent`
   */
  share: number;
  /**
   * of its items made
   */
  share_percent: number;
  /**
   * items to make now; null: none
   */
  next: NextGroup | null;
  /**
   * null where items form no groups or all are made
   */
  at: GroupPosition | null;
  stocktake: Stocktake;
  /**
   * the step most of the work left waits for
   */
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
  /**
   * from 1
   */
  group: number;
  /**
   * the next item, from 1
   */
  n: number;
  /**
   * items of the group
   */
  of: number;
}
/**
 * What can be counted by hand at this step, and how many there should be.
 */
export interface Stocktake {
  /**
   * all that are done, or those not used yet
   */
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
  /**
   * of each chain
   */
  units: number;
  /**
   * units made of each
   */
  made: number;
  state: "ahead" | "begun" | "hung" | "joined";
  /**
   * so many, one after the other
   */
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
/**
 * What a log of changes adds up to.
 */
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
  /**
   * counted, the spoiled among them
   */
  done: number;
  spoiled: number;
  /**
   * missing where the whole piece is counted
   */
  panel?: string;
  /**
   * of `done`, what stocktakes put in or took off
   */
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
  /**
   * minute of the local day
   */
  start_min: number;
  /**
   * UTC
   */
  start_ms: number;
  /**
   * bench time
   */
  minutes: number;
  items: number;
  /**
   * items the pace leaves out
   */
  untimed: number;
  /**
   * not stopped yet
   */
  open: boolean;
  /**
   * the clock runs
   */
  running: boolean;
}
/**
 * Fields that hold, and values that lost.
 */
export interface FoldedEntity {
  thing: string;
  id: string;
  /**
   * the values that hold
   */
  fields: { [k: string]: unknown };
  lost: LostValue[];
}
/**
 * A value of the field that does not hold: an earlier one, or another device's of the same time.
 */
export interface LostValue {
  field: string;
  value: unknown;
  device: string;
  seq: number;
  /**
   * ms UTC, then a number among those of one millisecond
   *
   * @minItems 2
   * @maxItems 2
   */
  stamp: [number, number];
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
  why: string | null;
  /**
   * ms UTC
   */
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
/**
 * Old sittings summed up.
 */
export interface SummariseAnswer {
  summary: RecordSummary;
  ok: true;
  unread?: Unread[];
}
/**
 * Old sittings in short; given back unread with the next forecast.
 */
export interface RecordSummary {
  /**
   * form of the summary
   */
  v: number;
  from: string;
  until: string;
  /**
   * items by step
   */
  made: { [k: string]: number };
  /**
   * items counted at once, by step
   */
  lumps: { [k: string]: number };
  /**
   * step, day, mid, y, shares, days, fixed, minutes, items
   */
  rows: (number | string)[][];
  /**
   * not yet a row: step, day, start, minutes, items
   */
  open: [string, number, number, number, number][];
  hours: HoursByDay;
  /**
   * so many are in it
   */
  sittings: number;
}
/**
 * Bench minutes of each day from the ordinal day `first` on.
 */
export interface HoursByDay {
  first: number;
  minutes: number[];
}
/**
 * The maker's pace from the record.
 */
export interface PaceAnswer {
  pace: StepPace[];
  /**
   * remarks, in words
   */
  notes: RecordNote[];
  ok: true;
  unread?: Unread[];
}
/**
 * The pace at one step; times are bench minutes an item.
 */
export interface StepPace {
  step: string;
  /**
   * the record, the guess, or both
   */
  from: "both" | "guess" | "own";
  /**
   * an older form of `trend_percent`
   */
  trend: number;
  /**
   * null: no guess was given
   */
  guess_from: "maker" | "usual" | null;
  /**
   * change of the minutes an item while items double
   */
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
/**
 * When each piece will be done, by the record.
 */
export interface ForecastAnswer {
  pieces: PieceForecast[];
  pace: StepPace[];
  week: Week;
  /**
   * remarks, in words
   */
  notes: RecordNote[];
  /**
   * steps to go
   */
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
  /**
   * chance of being done by the due date; null without one
   */
  p_due: number | null;
  /**
   * what `week_hours` would have to be; null where the record outweighs any
   */
  hours_per_week_for_due: number | null;
  /**
   * bench hours a week from today that would do
   */
  bench_h_per_week_for_due: number | null;
  why: string;
  /**
   * at the `levels` asked for
   */
  hours_at?: number[];
  /**
   * at the `levels` asked for
   */
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
 * Dates, ISO 8601, at chances of 10, 50, 80 and 95 in 100; null beyond the last day that is forecast.
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
  /**
   * from now on
   */
  expected_h: number;
  /**
   * null before the first sitting
   */
  worked_h: number | null;
  /**
   * days from the first on record to today
   */
  record_days: number;
  /**
   * by the maker, or the usual
   */
  said_h: number;
  said_by: "maker" | "usual";
}
/**
 * What a trial or a word about practice at a step would take off the spread of the hours.
 */
export interface Narrowing {
  step: string;
  /**
   * an older form of `trial_percent`
   */
  trial: number;
  /**
   * an older form of `practised_percent`
   */
  practised: number;
  /**
   * what a trial of ten minutes would take off
   */
  trial_percent: number;
  /**
   * what saying how practised one is would take off
   */
  practised_percent: number;
}
/**
 * What to ask for a piece. Money is whole numbers of the currency's smallest unit.
 */
export interface PriceAnswer {
  currency: string;
  /**
   * of the currency's smallest unit
   */
  digits: number;
  /**
   * they add up to the total
   */
  lines: PriceLine[];
  cost: Money;
  net: Money;
  total: Money;
  deposit: Money;
  balance: Money;
  /**
   * profit in the price
   */
  margin_percent: number | null;
  /**
   * profit on the cost
   */
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
  /**
   * for hours as likely too few as too many
   */
  p50: number;
  /**
   * for hours that are enough four times in five
   */
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
/**
 * Wire and rings on hand against what the pieces need.
 */
export interface StockAnswer {
  reels: Reel[];
  rings: RingsInStock[];
  wires: WireInStock[];
  pieces: PieceReach[];
  /**
   * what could go wrong, in words
   */
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
  /**
   * how its weight is known
   */
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
  kind: "butted" | "riveted" | "solid";
  metres: number;
}
/**
 * Wire of one kind: held, needed, short, when to order.
 */
export interface WireInStock {
  /**
   * day, ISO 8601; null where it does not or is not known
   */
  runs_out: string | null;
  /**
   * day, ISO 8601; null where not known
   */
  order_by: string | null;
  /**
   * days by which it is too late to order in time
   */
  late_days: number | null;
  /**
   * on hand
   */
  held_m: number;
  held_kg: number;
  /**
   * what the pieces use up
   */
  needed_m: number;
  needed_kg: number;
  /**
   * missing for the pieces
   */
  short_m: number;
  short_kg: number;
  reserve_m: number;
  reserve_kg: number;
  /**
   * missing, the reserve included
   */
  buy_m: number;
  buy_kg: number;
  /**
   * on hand after all pieces
   */
  left_m: number;
  metal: string;
  wire_mm: number;
  /**
   * enough is on hand
   */
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
  /**
   * enough is on hand
   */
  reaches: boolean;
}

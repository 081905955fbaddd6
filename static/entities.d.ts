/** What the log keeps of each kind of entity. A field nobody has set is missing; one that was cleared is null. */
import type { PieceForecast, PriceAnswer } from "./answers";

type Kept<T> = { [K in keyof T]?: T[K] | null };

export interface Shape {
  kind: string;
  items?: Record<string, number>;
  round?: boolean;
  widths?: [number, number][];
  [measure: string]: unknown;
}

export interface Join {
  how: string;
  panels?: string[];
  rings?: number;
  name?: string;
}

/** A step of the maker's own, at the end of a piece. */
export interface OwnStep {
  step: string;
  name: string;
  item?: string;
  items?: number;
  batch?: number;
  guess_min_per_item?: number;
  caution?: string;
}

export interface Material {
  name: string;
  unit?: string;
  per_1000_rings?: number;
}

export interface OtherCost {
  name: string;
  amount: number;
}

export interface Trial {
  minutes: number;
  items: number;
  date?: string;
}

export interface Piece {
  name: string;
  customer: string;
  due: string;
  mark: string;
  notes: string;
  rules: Record<string, string>;
  finishing: OwnStep[];
  without: string[];
  joins: Join[];
  losses: Record<string, { good: number; bad: number }>;
  sure: number;
  consumables: Material[];
  state: "open" | "done";
  order: number;
  ring: string;
  fabric: string;
  swatch: string;
  costs: OtherCost[];
  reels: string[];
  /** the price as it was saved with its plan */ price: PriceAnswer;
}

export interface PanelEntity {
  piece: string;
  name: string;
  order: number;
  ring: string;
  swatch: string;
  state: string;
  shape: Shape;
  rows_run: string;
  units_per_chain: number;
  max_change: number;
}

export interface Ring {
  name: string;
  kind: string;
  metal: string;
  rivet_kind: string;
  cut: string;
  zinc: boolean;
  wire_mm: number;
  inner_mm: number;
  lap_mm: number;
  density_g_cm3: number;
  rivet_mm: number;
  rivet_point_mm: number;
  flat_mm: number;
  kerf_mm: number;
  mandrel_length_mm: number;
  mandrel_mm_used: number;
  coil_inner_mm: number;
  reel_kg: number;
}

export interface Swatch {
  columns: number;
  rows: number;
  width_mm: number;
  height_mm: number;
  state: string;
  ring: string;
}

export interface Lane {
  piece: string;
  step: string;
  order: number;
  batch: number;
  name: string;
  mark: string;
  colour: string;
  pinned: boolean;
}

export interface ReelEntity {
  name: string;
  metal: string;
  density_g_cm3: number;
  wire_mm: number;
  how: "weight" | "use";
  gross_g: number;
  empty_g: number;
  start_g: number;
  used_m: number;
  per_kg: number;
  batch: string;
  order: number;
}

/** A heap of rings on hand. */
export interface RingHeap {
  ring: string;
  n: number;
  order: number;
}

export interface StepEntity {
  guess_min_per_item: number;
  lump: number;
  practised: string;
  trial: Trial;
}

export interface SavedForecast {
  said: Pick<PieceForecast, "hours" | "finish" | "p_due" | "hours_at" | "days_at"> & {
    to_go?: Record<string, number>;
  };
}

/** Settings of the workshop, and those of one device. */
export interface Settings {
  break_min: number;
  currency: string;
  delivery_days: number;
  spare_days: number;
  margin_on: string;
  margin_percent: number;
  overhead_percent: number;
  tax_percent: number;
  deposit_percent: number;
  off_days: string[];
  queue: string;
  rate: number;
  reel_kg: number;
  week_hours: number | "";
  wire_per_kg: number;
  wire_reserve_percent: number;
  awake: boolean;
  buzz: boolean;
  click: boolean;
  fire_caution_read: boolean;
  hand: string;
  keys: { on?: boolean; map?: Record<string, string> };
  letters: boolean;
  mass_unit: "g" | "kg";
  name: string;
  said_lacks: string[];
  speak_every: number;
  theme: string;
  /** what was typed at a step's scale */ [weighing: `weigh:${string}`]: Record<string, string>;
}

export interface EntityKinds {
  piece: Piece;
  panel: PanelEntity;
  ring: Ring;
  swatch: Swatch;
  lane: Lane;
  reel: ReelEntity;
  rings: RingHeap;
  step: StepEntity;
  price: { per_unit: number };
  forecast: SavedForecast;
  setting: Settings;
}

export type Kind = keyof EntityKinds;
/** Fields of a kind, as far as they are set. */
export type Fields<K extends Kind = Kind> = Kept<EntityKinds[K]> & { deleted?: boolean };
/** Fields written together with the entity and never cleared. */
type Always = { [K in Kind]: K extends "lane" ? Pick<Lane, "piece" | "step"> : unknown };
/** An entity as the screens see it. */
export type Entity<K extends Kind = Kind> = { id: string } & Kept<EntityKinds[K]> & Always[K];
/** A row of `setAll`: kind, id, fields. */
export type EntityFields = { [K in Kind]: readonly [K, string, Fields<K>] }[Kind];

/** What the questions to the engine read: the store, or a draft that stands for it. */
export interface Entries {
  things<K extends Kind>(kind: K): Entity<K>[];
  thing<K extends Kind>(kind: K, id: string): Entity<K> | null;
  setting<K extends keyof Settings, F>(name: K, fallback: F): Settings[K] | F;
  setting<K extends keyof Settings>(name: K): Settings[K] | undefined;
}

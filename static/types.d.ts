import type { DBSchema, IDBPTransaction, StoreNames } from "idb";
import type { Answers } from "./answers";
import type { Join, Piece } from "./entities";

/** A question to the engine. */
export type Question<K extends keyof Answers> = { ask: K; [field: string]: unknown };

/** Shapes shared by the page's modules. Units are in the names; times are milliseconds UTC. */
export interface Key {
  device: string;
  seq: number;
}

/** Hybrid time: ms, then a number among those of one millisecond. */
export type Stamp = [number, number];

export interface Change extends Key {
  at: number;
  tz: number;
  v: number;
  kind: "count" | "scrap" | "sitting" | "set" | "hold";
  piece?: string;
  panel?: string;
  step?: string;
  n?: number;
  how?: "tap" | "weigh" | "hand" | "stocktake" | "correct";
  /** What a stocktake counted; its `n` is that less what the log said. */
  found?: number;
  why?: string;
  sitting?: string;
  opens?: boolean;
  undoes?: Key;
  holds?: Key;
  event?: "start" | "pause" | "go" | "stop" | "trim" | "correct";
  from_ms?: number;
  to_ms?: number;
  keep_min?: number;
  minutes?: number;
  to_piece?: string;
  to_step?: string;
  deleted?: boolean;
  uncounted?: boolean;
  thing?: string;
  id?: string;
  field?: string;
  value?: unknown;
  stamp?: Stamp;
  /** What a `set` knowingly replaces; a value no later one names was written on another device meanwhile. */
  over?: Key[];
}

/** A change before it has its place in the log. */
export type NewChange = Omit<Partial<Change>, "device" | "seq" | "v"> & { kind: Change["kind"] };

export interface Total {
  key: string;
  piece: string;
  panel: string;
  step: string;
  done: number;
  spoiled: number;
  /** of `done`, what stocktakes put in or took off */ stocktake?: number;
}

export interface SittingEvent {
  event: string;
  piece?: string;
  step?: string;
  t: number;
  at: number;
  device: string;
  seq: number;
  tz: number;
  from_ms?: number;
  to_ms?: number;
  keep_min?: number;
  minutes?: number;
}

/** Where a count counts; a count of the whole piece has panel "". */
export interface Place {
  piece: string;
  panel: string;
  step: string;
}

/** Counts of one sitting, as they were written. */
export interface Sum extends Place {
  done: number;
  spoiled: number;
}

/** What was corrected of a sitting: the value that holds. */
export interface Corrected<T> {
  value: T;
  stamp: Stamp;
  device: string;
  seq: number;
  tz: number;
}

export interface Corrections {
  from_ms?: Corrected<number>;
  to_piece?: Corrected<string>;
  to_step?: Corrected<string>;
  deleted?: Corrected<boolean>;
  uncounted?: Corrected<boolean>;
}

export interface Sitting {
  sitting: string;
  piece: string;
  step: string;
  events: SittingEvent[];
  /** all that was counted */ items: number;
  /** of them those whose tap only started the clock */ untimed: number;
  last_ms: number;
  /** the last sign of any kind */ seen_ms: number;
  sums?: Record<string, Sum>;
  corrected?: Corrections;
}

export interface Field {
  value: unknown;
  stamp: Stamp;
  device: string;
  seq: number;
}

export interface ThingRow {
  key: string;
  thing: string;
  id: string;
  fields: Record<string, Field>;
}

/** A contact held apart, and the counts that answer it; once one has, it waits no more. */
export interface Held {
  key: string;
  change: Change | null;
  counts: Key[];
  waiting?: 1;
}

/** The open sitting as the screens show it. */
export interface ClockShown {
  sitting: string;
  piece: string;
  step: string;
  running: boolean;
  paused: boolean;
  minutes(now?: number): number;
}

export interface Gap {
  sitting: string;
  piece: string;
  step: string;
  from_ms: number;
  to_ms: number;
  minutes: number;
  /** the sitting ended before it, with a tap elsewhere */ outside?: boolean;
}

/** A row of a question that was left out, with what it lacks. */
export interface Fault {
  field: string;
  why: string;
  missing?: boolean;
}

/** An answer of the engine, saved with its question; the summary of old sittings has none. */
export interface SavedAnswer<A = unknown> {
  /** the question as JSON */ asked: string;
  /** the engine that answered, by its sources */ by?: string;
  answer: A | null;
  refused?: { field: string; why: string };
  /** rows of a plan that were left out */
  faults?: Fault[];
  /** the question without those rows */ worked?: PieceQuestion;
}

/** The question `piece`: what its panels are made of, and how they are joined. */
export interface PieceQuestion {
  ask: "piece";
  panels: Record<string, unknown>[];
  joins?: Join[];
  losses?: Piece["losses"];
  [field: string]: unknown;
}

/** Changes that are over, of all that are on their way. */
export interface Progress {
  done: number;
  all: number;
}

export interface SyncState {
  /** offline: nothing answers; refused: the server answered with a reason; unpaired: it does not know this
   * device; other: it keeps another workshop; alone: there is no server, and none is asked */
  state: "idle" | "offline" | "refused" | "unpaired" | "syncing" | "synced" | "other" | "alone";
  /** changes not on the server yet; alone: those since the last copy */ waiting: number;
  /** what came in by file is not all on the server yet */ carrying: boolean;
  /** to the server, while it takes more than one request; else null */ sending: Progress | null;
  /** from it, the same */ fetching: Progress | null;
  last_ms: number;
  why: string;
  /** of an answer that was a refusal, else 0 */ status: number;
  /** whose counts this device holds, as far as a round has looked */
  workshop: string;
  /** the workshop of the server, where it is another */
  served: string;
}

/** The last copy of the log that left this device as a file, and how far it went. */
export interface Copied {
  at_ms: number;
  device: string;
  seq: number;
}

/** What a file of the log holds, beside what is here. */
export interface FileLooked {
  /** whose counts it holds; "": it does not say */ workshop: string;
  /** the device that wrote it, and when */ device: string;
  made_ms: number;
  /** all entries */ changes: number;
  fresh: number;
  known: number;
  /** those that a server had set aside: never taken in */ aside: number;
  /** those that cannot be taken in, the first of many by name */
  left: { line: number; why: "form" | "differs"; device: string; seq: unknown }[];
  leftOut: number;
  /** under this device's own name, but not what is here: another life of it, since it was put back */ own: number;
  /** up to this number both lives are one */ parted: number;
  /** names of its pieces */ pieces: string[];
  /** devices with something new */ devices: string[];
  /** this device has nothing yet and joins the file's workshop */ joins: boolean;
  /** it belongs to another workshop than what is here */ other: boolean;
}

/** What `GET /api/server` says of the server; a part that is not known is left out. */
export interface ServerAnswer {
  workshop?: string;
  address?: string;
  /** the one with a name: ….local, or public */ name_address?: string;
  ip_addresses?: string[];
  backup?: { last_ms?: number | null; folder?: string; ok?: boolean; why?: string } | null;
  certificate_until_ms?: number;
}

/** The last such answer, kept so that a page still knows it when nothing answers. */
export interface KnownServer extends ServerAnswer {
  at_ms: number;
}

/** A browser that may read and write the workshop; `device` is its name in the log. */
export interface PairedDevice {
  id: number;
  name: string;
  made_ms: number;
  seen_ms: number;
  device: string | null;
}

/** What `GET /api/devices` answers. */
export interface DeviceList {
  /** the browser that asked; null where the server needs no pairing */ you: number | null;
  devices: PairedDevice[];
  removed: { id: number; name: string; removed_ms: number }[];
}

/** What `POST /api/code` answers. */
export interface PairingCode {
  code: string;
  until_ms: number;
  /** the page's address as phones reach it */ address: string;
  link: string;
  /** rows of dark (1) and light (0) squares; of `start`, what a camera opens first */ qr: string[];
  start: string;
  fingerprint: string[];
  /** whether a page leads a phone through trusting the workshop's certificate */ guide: boolean;
}

/** Keys of the derived rows that a transaction wrote; other pages of this device read just these again. */
export interface Touched {
  totals: string[];
  things: string[];
  sittings: string[];
}

/** One row of each store of the log and of what is derived from it. */
export interface LogRows {
  changes: Change;
  totals: Total;
  things: ThingRow;
  sittings: Sitting;
  undone: { key: string };
  holds: Held;
}

/** A change the server set aside; `device` is left out where it was this one all along. */
export interface Refused {
  device?: string;
  seq: number;
  why: string;
}

/** Own changes above a number went on under another name of this device, with numbers from 1. */
export interface Move {
  from: string;
  above: number;
  to: string;
}

/** What this device keeps besides its log. */
export interface Meta {
  device: string;
  seq: number;
  /** own changes the server has */ acked: number;
  /** how far the server's log was received */ after: number;
  /** which log of the server `after` counts in */ log: string | null;
  workshop: string | null;
  /** the newest hybrid stamp seen */ hlc: Stamp;
  /** the open sitting */ clock: string | null;
  gaps: Gap[];
  places: [string, number][];
  holds_gone: number[];
  refused: Refused[];
  /** what stands at `after` in the server's log */ mark: string | null;
  /** names this device has had, and what moved on to the next */ moved: Move[];
  bringing: boolean;
  brought: { refused: number } | null;
  copied: Copied | null;
  /** whether the browser was asked not to clear what is here */ asked_to_keep: boolean;
  /** devices whose changes came by file, to be handed to the server */ carried: string[];
  server: KnownServer;
}

/** Device, last and first number, the first and last wall time, how many changes. */
export type PackKey = [
  device: string,
  last: number,
  first: number,
  from_ms: number,
  until_ms: number,
  n: number,
];

/** Changes of one device that came together; what is said of them stands in the key too. */
export interface Pack {
  device: string;
  last: number;
  first: number;
  from_ms: number;
  until_ms: number;
  n: number;
  /** the changes as JSON */ text: string;
}

/** The database on this device. */
export interface LogDatabase extends DBSchema {
  changes: {
    key: [string, number];
    value: Change;
    indexes: { thing: (string | never[])[]; sitting: string; at: number };
  };
  packs: { key: PackKey; value: Pack };
  sittings: {
    key: string;
    value: Sitting;
    indexes: { seen: number; piece: string; step: [string, number] };
  };
  totals: { key: string; value: Total };
  things: { key: string; value: ThingRow };
  undone: { key: string; value: { key: string } };
  holds: { key: string; value: Held; indexes: { waiting: number } };
  answers: { key: string; value: SavedAnswer };
  meta: { key: string; value: Meta[keyof Meta] };
}

export type LogTransaction = IDBPTransaction<
  LogDatabase,
  StoreNames<LogDatabase>[],
  "readonly" | "readwrite"
>;

/** `meta` with the value that each name has. */
export interface MetaStore {
  get<K extends keyof Meta>(name: K): Promise<Meta[K] | undefined>;
  put<K extends keyof Meta>(value: Meta[K], name: K): unknown;
}

/** The derived rows that a transaction reads and writes; backed by IndexedDB or by plain maps. */
export interface Rows {
  get<S extends keyof LogRows>(
    store: S,
    key: LogDatabase[S]["key"],
  ): Promise<LogRows[S] | undefined>;
  put<S extends Exclude<keyof LogRows, "changes">>(
    store: S,
    row: LogRows[S],
  ): Promise<unknown> | void;
}

declare global {
  interface Window {
    store?: unknown;
    opening?: IDBOpenDBRequest;
  }
}

/** What texts/ may hold: a text, a function of values that are text already, or a group of these. */
export type Text =
  | string
  | readonly (string | readonly (string | RegExp)[])[]
  | ((...values: any[]) => string)
  | Texts;
export type Texts = { [key: string]: Text };

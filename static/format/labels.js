// The one table of words: what the forms call each field of the engine and of the log, and each of its values.
// The engine, the log and `ringwright ask` keep their own names; before a maker's eyes stand these.

/**
 * A field's label on its form; where "the wire" would not do in a sentence, what to enter there.
 * A longer path goes before a shorter one: `swatch.width_mm` before `width_mm`.
 * @type {Record<string, string | [string, string]>}
 */
const FIELDS = {
  // the ring
  wire_mm: "Wire",
  inner_mm: ["Inside", "the inside of the ring"],
  lap_mm: ["Lap (overlap)", "the lap"],
  metal: "Metal",
  density_g_cm3: "Density",
  zinc: "Zinc coating",
  coating: "Is this wire coated?",
  own_metal: ["Its name", "the metal's name"],
  cut: ["Rings are cut off the coil", "how the rings are cut off the coil"],
  rivet_mm: "Rivet thickness",
  rivet_point_mm: ["Wedge at its point", "the wedge at its point"],
  rivet_kind: ["Rivet", "the kind of rivet"],
  "ring.kind": ["Ring", "the kind of ring"],
  flat_mm: ["Thickness of one flattened end", "the thickness of one flattened end"],
  kerf_mm: ["What the saw takes", "what the saw takes"],
  mandrel_length_mm: ["Length of a coil on the mandrel", "the length of a coil on the mandrel"],
  mandrel_mm_used: ["A mandrel you have wound on", "the mandrel you have wound on"],
  coil_inner_mm: ["That coil, let go, inside", "the inside of that coil, let go"],
  mandrel_mm: "Mandrel",
  reel_kg: ["Wire on a full reel", "the wire on a full reel"],
  gauge: "Gauge number",
  ring: "Ring",
  open_ring: "Ring of the open rows",
  // the panel
  width_mm: "Width",
  height_mm: "Height",
  columns: "Columns",
  rows: "Rows",
  around_mm: ["Around", "the way round"],
  length_mm: "Length",
  from_mm: ["At the start", "the measure at the start"],
  to_mm: ["At the end", "the measure at the end"],
  neck_mm: ["Around the neck", "the measure around the neck"],
  slant_mm: ["From neck to edge", "the measure from neck to edge"],
  angle_deg: "Slope",
  rings: ["Rings in all", "the number of rings"],
  open: ["Of them riveted in place", "how many are riveted in place"],
  at_mm: ["At", "how far along"],
  widths: "Widths",
  round: "Tube",
  shape: "Shape",
  "shape.kind": "Shape",
  panel: "Panel",
  panels: "Panels",
  items: ["How many", "how many there are"],
  units_per_chain: ["Units in a chain, at most", "the most units in a chain"],
  max_change: ["Most changes in a closed row", "the most changes in a closed row"],
  rows_run: "On the body, rows run",
  // the fabric
  state: ["Your measures are of the fabric", "how the fabric lay when measured"],
  "swatch.state": ["The swatch was measured", "how the swatch lay when measured"],
  swatch: "Swatch",
  fabric: "Measured",
  "swatch.columns": ["Rings along the row", "the rings along the row"],
  "swatch.rows": ["Rows down", "the rows down"],
  "swatch.width_mm": ["They measure", "what the rings along the row measure"],
  "swatch.height_mm": ["They measure", "what the rows down measure"],
  // the piece
  name: "Name",
  customer: ["For whom", "whom it is for"],
  due: ["Due", "the day it is due"],
  mark: "Mark",
  notes: "Notes",
  rules: "Making rules",
  finishing: "Steps of its own",
  without: "Steps this piece does without",
  joins: "Joins between panels",
  "joins.how": ["Joined", "how they are joined"],
  "joins.panels": ["Panel", "the panels that are joined"],
  "joins.rings": "Joining rings",
  losses: "Losses",
  good: ["Good", "how many came out good"],
  bad: ["Spoiled", "how many were spoiled"],
  sure: "Enough should come out",
  consumables: "Used up besides wire",
  per_1000_rings: ["For 1000 rings", "how much 1000 rings use up"],
  "consumables.name": ["What", "what is used up"],
  "consumables.unit": ["Told in", "what it is told in"],
  unit: "Told in",
  "finishing.name": ["Step", "the name of the step"],
  "finishing.item": ["One item is a", "what one item is called"],
  item: ["One item is a", "what one item is called"],
  after: "When",
  caution: "What can hurt in it",
  guess_min_per_item: ["Minutes for one, as you guess", "the minutes for one"],
  overlap: "Overlap",
  heads: "Heads",
  note: "Note",
  reels: "Reels it is made of",
  costs: "Costs of this piece",
  "piece.state": "State",
  order: ["Place in the list", "the place in the list"],
  piece: "Piece",
  deleted: "Taken out",
  // steps, lanes, stock, money, the device
  step: "Step",
  lump: "Batch of one touch",
  batch: "Batch of one touch",
  practised: "How practised",
  trial: "Ten-minute trial",
  minutes: "Minutes",
  pinned: "Pinned to its step",
  colour: "Colour",
  "reel.batch": "Batch or maker's mark",
  "reel.how": "Known by",
  gross_g: ["Weight now, reel and wire", "the weight of reel and wire"],
  empty_g: ["Empty reel", "the weight of the empty reel"],
  start_g: ["Wire when full", "the wire when full"],
  left_g: ["Wire left", "the wire left"],
  used_m: ["Used since", "the length used since"],
  per_kg: ["Price of a kilogram", "the price of a kilogram"],
  "rings.n": "How many",
  n: "How many",
  per_unit: "Price",
  week_hours: "Hours at the bench in a usual week",
  queue: "Order of the pieces",
  off_days: "Days off",
  delivery_days: "Days a delivery takes",
  spare_days: "Days to spare before it runs out",
  reserve_percent: ["Wire to buy beyond what is used up, percent", "the wire in reserve"],
  wire_reserve_percent: ["Wire to buy beyond what is used up, percent", "the wire in reserve"],
  currency: "Currency",
  rate: ["An hour of work", "the price of an hour of work"],
  wire_per_kg: ["A kilogram of wire", "the price of a kilogram of wire"],
  overhead_percent: "Overhead on labour and material",
  margin_percent: "Profit",
  tax_percent: "Tax",
  deposit_percent: "Deposit",
  margin_on: "Profit is a share of",
  break_min: "Reminder of a rest, minutes",
  today: "Today's date",
  hours: "Hours",
  mass_unit: "Weights of reels in",
  fire_caution_read: "Caution of the fire read",
  theme: "Light",
  hand: "The hand that taps",
  letters: "Letters on the keyboard",
  awake: "Screen kept on",
  click: "Click at each tap",
  buzz: "Vibration",
  speak_every: "Count said aloud every so many",
  keys: "Pedals and keys",
  said_lacks: "What was said of this browser",
  weigh: "Reference for weighing",
  // counting by weight
  "reference.rings": ["Reference: how many", "how many rings the reference has"],
  "reference.grams": ["Reference weighs, g", "what the reference weighs"],
  grams: ["Reference weighs, g", "what the reference weighs"],
  scale_g: ["Smallest step of the scale, g", "the smallest step of the scale"],
  spread_percent: ["Rings differ by, %", "how much single rings differ"],
  batch_g: ["Batch weighs, g", "what the batch weighs"],
};

/** @type {Record<string, string>} */
const STATES = {
  relaxed: "relaxed",
  hang: "hanging",
  flat: "spread flat",
  across: "pulled across",
};

/** Values of a choice, by their field. @type {Record<string, Record<string, string>>} */
const VALUES = {
  overlap: { left_over_right: "left over right", right_over_left: "right over left" },
  heads: { outside: "on the outside", inside: "on the inside" },
  "ring.kind": { riveted: "riveted", butted: "butted", solid: "solid" },
  rivet_kind: { round: "round, from wire", wedge: "wedge, from strip" },
  how: {
    end_to_end: "side by side",
    stacked: "one below the other",
    round: "closed to a tube",
    rings: "by a number of rings",
  },
  "reel.how": { weight: "weighing it", use: "what was used" },
  cut: { overlap: "with the overlap", straight: "straight" },
  "shape.kind": {
    panel: "rectangle",
    tube: "tube",
    taper: "tapered panel",
    collar: "collar or mantle",
    profile: "own outline",
    count: "a count only",
  },
  state: STATES,
  fabric: STATES,
  "swatch.state": STATES,
  "piece.state": { open: "in work", done: "done" },
  rows_run: { round: "round", down: "down" },
  practised: { new: "new to it", used: "used to it", old_hand: "old hand" },
  queue: { in_order: "one after the other", in_turns: "in turns" },
  margin_on: { price: "the price", cost: "the cost" },
  mass_unit: { g: "grams", kg: "kilograms" },
  theme: { system: "as the device", dark: "forge (dark)", light: "daylight" },
  hand: { right: "right", left: "left" },
};

/** The words of a path, from the longest ending the table knows. @template T @param {Record<string, T>} table @param {string} path @returns {T | undefined} */
function ending(table, path) {
  const parts = path
    .replace(/\[\d+\]/g, "")
    .split(".")
    .filter((part) => !/^\d+$/.test(part));
  for (let i = 0; i < parts.length; i++) {
    const found = parts.slice(i).join(".");
    if (Object.hasOwn(table, found)) return table[found];
  }
  return undefined;
}

const UNIT = /_(mm|g|h|min|m|kg|percent|ms|deg)$/;

/** A name the table does not know: without its unit and its underscores. @param {string} name */
const bare = (name) =>
  (name.split(/[.:]/).pop() ?? "")
    .replace(/\[\d+\]/g, "")
    .replace(UNIT, "")
    .replaceAll("_", " ")
    .trim();

/** @param {string} text */
const capital = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);

/** @param {string} text */
const small = (text) => text.slice(0, 1).toLowerCase() + text.slice(1);

/** A field's label on its form. @param {string} path `wire_mm`, `panels[0].shape.width_mm` */
export function label(path) {
  const found = ending(FIELDS, path);
  return found === undefined ? capital(bare(path)) : typeof found === "string" ? found : found[0];
}

/** What is to be entered there, within a sentence. @param {string} path */
export function asked(path) {
  const found = ending(FIELDS, path);
  return Array.isArray(found) ? found[1] : `the ${small(found ?? bare(path))}`;
}

/** A value of a choice in words; null where its field has no such choice. @param {string} path @param {string} value */
export function choiceWord(path, value) {
  const of = ending(VALUES, path);
  return of && Object.hasOwn(of, value) ? of[value] : null;
}

/** Any value of any choice, where only the value is known. @param {string} value */
const anyChoice = (value) =>
  Object.keys(VALUES)
    .sort()
    .map((field) => VALUES[field][value])
    .find(Boolean);

/** @param {string} path `ring.wire_mm` @param {string} at */
function named(path, at) {
  return ending(FIELDS, path) !== undefined ? `“${label(path)}”` : (anyChoice(at) ?? bare(path));
}

// text in single quotes is what somebody typed; then names with an underscore, as the engine writes them
const NAMES =
  /(?<=^|[\s(])'[^']*'(?=$|[\s.;,:)])|`?\b(?:[a-z]+(?:\[\d+\])?\.)*([a-z0-9]+(?:_[a-z0-9]+)+)\b`?/g;
/** @type {[RegExp, string | ((...found: string[]) => string)][]} ways out that only a question has, and what it calls a way of joining */
const TURNS = [
  [/: or give open_ring\./g, "."],
  [/, or say in_pan: false\./g, "."],
  [/\bhow: (end_to_end|stacked|round|rings)\b/g, (_, how) => `“${VALUES.how[how]}”`],
  [/; it is nothing\./g, "."],
  [/give true or false/g, "answer yes or no"],
  [/, for example [[{].*?[\]}](?=[;.]|$)/g, ""],
];

/** A sentence of the engine or the server in the words of the forms. @param {string} text */
export function inFormWords(text) {
  const turned = TURNS.reduce(
    (so_far, [from, to]) => so_far.replace(from, /** @type {any} */ (to)),
    text,
  );
  return turned.replace(NAMES, (all, at) => (at ? named(all.replaceAll("`", ""), at) : all));
}

/** Why a question was refused. @param {{field: string, why: string, missing?: boolean, example?: string}} refused */
export function refusalWords({ field, why, missing, example }) {
  if (!missing || !field) return inFormWords(why);
  return `Enter ${asked(field)}${example ? `, for example ${example}` : ""}.`;
}

// Every text of the page in English, by the room that shows it. Another language is a file like this
// one with the same keys. A text with values in it is a function of them, so that each language can put
// them in its own order. Values come as text: numbers, days and names are already written out.

/** @typedef {import("../types").Texts} Texts */

/**
 * The noun for so many: "coils" of one is "coil". @param {string} n @param {string} items @param {string} item what one is called
 */
const nounFor = (n, items, item) =>
  n !== "1" ? items : items === `${item}es` ? item : items.replace(/(\w)s\b/, "$1");

/** A number with its noun. @param {string} n @param {string} one @param {string} [many] */
const counted = (n, one, many = `${one}s`) => `${n} ${n === "1" ? one : many}`;

/** @param {(number | string)[]} items */
const listed = (items) =>
  items.length < 2 ? items.join("") : `${items.slice(0, -1).join(", ")} and ${items.at(-1)}`;

/** "unit 3", "units 3 and 5", or nothing. @param {string} item @param {number[]} ns */
const numbered = (item, ns) =>
  ns.length ? `${item}${ns.length > 1 ? "s" : ""} ${listed(ns)}` : "";

/** The frame: names of screens, what the whole page reports. @satisfies {Texts} */
export const app = {
  language: "en",
  screens: {
    bench: "Bench",
    pieces: "Pieces",
    forecast: "Dates",
    stock: "Stock",
    records: "Records",
    setup: "Setup",
    plan: "Plan",
  },
  navigation: "Screens",
  newVersion: "A new version is ready. Your counts stay.",
  notTrusted:
    "This browser does not trust the workshop yet, so the page is not kept for use without the server. Where the guide is that leads you through it stands in the server's window and, on a paired page, under Add a phone.",
  notOffline: (why) => `This page cannot be kept for use without the server: ${why}`,
  notOpened: (why) =>
    `Ringwright could not open its records on this device: ${why}. Private windows and full devices prevent it. Try an ordinary window, or free some space.`,
  skip: "Skip to the screen",
  takeCare: "Take care",
  title: (screen) => `${screen} – Ringwright`,
  update: "Update now",

  // where the counts are
  sync: {
    idle: "Kept here, not sent yet",
    offline: "Kept here, no server",
    refused: "Kept here, could not be sent",
    syncing: "Sending",
    unpaired: "Not paired",
    other: "Kept here, another workshop's server",
    alone: "Kept on this device only",
  },
  carrying: "Some of a file's counts not sent",
  /** The server answered, but did not take it. @param {number} status */
  notTaken: (status) =>
    status === 507
      ? "Kept here, the server's disk is full"
      : status >= 500
        ? "Kept here, the server has a fault"
        : status
          ? "Kept here, the server refused it"
          : "Kept here, could not be sent",
  onlyHere: (state, changes) => `${state} · ${changes} only here`,
  refused: "The server could not use some of what you entered. It stays on this device.",
  refusedWhich: "What it is, and why",
  sent: (time) => `Sent ${time}`,
  sending: (done, all) => `Sending · ${done} of ${all}`,
  fetching: (done, all) => `Fetching · ${done} of ${all}`,
  after: (changes) => `${changes} since`,
  alone: (copy) => `Only here · ${copy}`,
  lastCopy: (when) => `last copy ${when}`,
  noCopy: "no copy yet",
  since: (changes, when) => `${changes} since ${when}`,
  waiting: (state, changes) => `${state} · ${changes}`,

  // pairing
  kinds: { computer: "computer", phone: "phone", tablet: "tablet" },
  names: { computer: "Computer", phone: "Phone", tablet: "Tablet" },
  notPaired: "Not paired: counts stay here.",
  pairedNoMore:
    "No longer paired: this device was removed from the workshop, or its pairing ended. Counts stay here.",
  pairingNow: "Pairing …",
  pairWay: (device) => `Pair this ${device}`,
  paired: (device) => `This ${device} is paired.`,
  pairedAlready: (device) => `This ${device} is paired already. The code is still unused.`,
  pairedWay: "Its name, and what is next",
  pairingFailed: (why) => `Not paired. ${why}`,
  // end of app
};

const fabricStates = {
  relaxed: "relaxed",
  hang: "hanging",
  flat: "spread flat",
  across: "pulled across",
};

/** Numbers, days and names of fields as words. @satisfies {Texts} */
export const format = {
  // language
  locale: "en-GB",

  // times and chances
  seconds: (n) => `${n} s`,
  minutes: (n) => `${n} min`,
  hours: (n) => `${n} h`,
  chance: (n) => `${n} in 100`,
  chanceLow: "less than 1 in 100",
  chanceLowShort: "<1 in 100",
  chanceHigh: "more than 99 in 100",
  chanceHighShort: ">99 in 100",
  finish: (likely, safe) => `Likely ${likely}, safe ${safe}.`,
  finishLikely: (likely) => `Likely ${likely}, no safe date yet.`,
  neverDone: "At this pace it will not be finished. Plan more hours.",
  likelyInTime: "likely in time",
  likelyLate: "likely late",
  mayBeLate: "may be late",

  // counts
  amount: (n, items, item) => `${n} ${nounFor(n, items, item)}`,
  noun: nounFor,
  countOf: (count, lane) => `${count} on ${lane}`,
  countSet: (found) => `good ones set to ${found}`,
  countSetFewer: (found, n) => `good ones set to ${found}, ${n} fewer`,
  countSetMore: (found, n) => `good ones set to ${found}, ${n} more`,
  spare: (amounts) => `Spare: ${amounts}.`,
  spoiled: (n) => `${n} spoiled`,
  several: {
    change: (n) => counted(n, "change"),
    day: (n) => counted(n, "day"),
    item: (n) => counted(n, "item"),
    key: (n) => counted(n, "key"),
    note: (n) => counted(n, "note"),
    piece: (n) => counted(n, "piece"),
    ring: (n) => counted(n, "ring"),
    row: (n) => counted(n, "row"),
  },

  // things by their names
  stepOf: (step, piece) => `${step}, ${piece}`,
  aDeletedPiece: "a deleted piece",
  things: {
    lane: "Pad",
    reel: "Reel",
    setting: app.screens.setup,
    forecast: "Forecast",
    price: "Price",
    rings: "Rings on hand",
  },

  // numbers as they are typed
  askForNumber: (low, high) => `Enter a number from ${low} to ${high}.`,
  askForWhole: (low, high) => `Enter a whole number from ${low} to ${high}.`,
  fieldIs: (field, why) => `${field}: ${why}`,
  notUsable: (typed, wanted) => `“${typed}” does not fit here. ${wanted}`,
  twoMeanings: (typed, one, other) =>
    `${typed} could mean ${one} or ${other}. Write it one of these two ways.`,
  withExample: (wanted, example) => `${wanted.replace(/\.$/, "")}, for example ${example}.`,

  // rings and shapes
  degrees: (n) => `${n} degrees`,
  measure: (value, what) => `${value} ${what}`,
  noMetal: "metal not named",
  noShape: "no shape yet",
  ringOfWire: (wire) => `of ${wire} wire`,
  ringInside: (wire, inside) => `of ${wire} wire, ${inside} inside`,
  ringWords: (metal, wire, inside) => `${metal} wire ${wire} mm, inside ${inside} mm`,
  ringNoMetal: (wire, inside) => `wire ${wire} mm, metal not named, inside ${inside} mm`,
  sizes: {
    width_mm: (/** @type {string} */ mm) => `${mm} mm wide`,
    height_mm: (/** @type {string} */ mm) => `${mm} mm high`,
    around_mm: (/** @type {string} */ mm) => `${mm} mm around`,
    length_mm: (/** @type {string} */ mm) => `${mm} mm long`,
    from_mm: (/** @type {string} */ mm) => `${mm} mm at the start`,
    to_mm: (/** @type {string} */ mm) => `${mm} mm at the end`,
    neck_mm: (/** @type {string} */ mm) => `${mm} mm at the neck`,
    lower_mm: (/** @type {string} */ mm) => `${mm} mm at the lower edge`,
    slant_mm: (/** @type {string} */ mm) => `${mm} mm from neck to edge`,
  },
  rowsRunDown: "rows run down",
  tube: "a tube",
  widthAt: (wide, at) => `${wide} mm wide at ${at} mm`,
  measures: {
    width_mm: "wide",
    height_mm: "high",
    around_mm: "around",
    length_mm: "long",
    from_mm: "at the start",
    to_mm: "at the end",
    neck_mm: "around the neck",
    slant_mm: "from neck to edge",
    angle_deg: "slope",
    columns: "columns",
    rows: "rows",
    rings: "rings",
    open: "of these riveted",
    units_per_chain: "units in a chain at most",
    max_change: "rings added or dropped in a row at most",
    chains: "chains",
    from_columns: "columns at the start",
    to_columns: "columns at the end",
  },
  /** ways to enter a panel, as a choice */
  forms: {
    rect: "Rectangle by width and height",
    grid: "Rectangle by columns and rows",
    tube: "Tube",
    sleeve: "Sleeve: a tube that narrows",
    taper: "Tapered panel",
    collar: "Collar or mantle",
    profile: "Your own outline",
    count: "Just count rings",
    items: "Count each step",
  },
  /** the same within a sentence */
  shapes: {
    rect: "Rectangle",
    grid: "Rectangle",
    tube: "Tube",
    sleeve: "Sleeve",
    taper: "Tapered panel",
    collar: "Collar or mantle",
    profile: "Own outline",
    count: "Counted rings",
    items: "Counted steps",
  },

  // fields of the forms
  enter: (what) => `Enter ${what}.`,
  enterLike: (what, example) => `Enter ${what}, for example ${example}.`,
  quoted: (name) => `“${name}”`,
  theField: (name) => `the ${name}`,
  /** What the engine writes for programs, and how a maker reads it. */
  rewrites: [
    [/: or give open_ring\./g, "."],
    [/, or say in_pan: false\./g, "."],
    [/; it is nothing\./g, "."],
    [/; it is the text '([^']*)'\./g, ", not “$1”."],
    [/give true or false/g, "answer yes or no"],
    [/, for example [[{].*?[\]}](?=[;.]|$)/g, ""],
  ],
  /** A field's label; where "the wire" would not do in a sentence, also what to enter there. */
  fields: {
    // the ring
    wire_mm: "Wire",
    inner_mm: ["Inside", "the inside of the ring"],
    lap_mm: ["Lap (overlap)", "the lap"],
    metal: "Metal",
    density_g_cm3: "Density",
    zinc: "Zinc coating",
    coating: "Is this wire coated?",
    own_metal: ["Its name", "the metal's name"],
    cut: ["How rings are cut off the coil", "how the rings are cut off the coil"],
    rivet_mm: "Rivet thickness",
    rivet_point_mm: ["Width of the wedge at its point", "the wedge at its point"],
    rivet_kind: ["Rivet", "the kind of rivet"],
    "ring.kind": ["Ring", "the kind of ring"],
    flat_mm: ["Thickness of one flattened end", "the thickness of one flattened end"],
    kerf_mm: ["Saw cut (kerf)", "the width of the saw cut"],
    mandrel_length_mm: ["Coil length on the mandrel", "the length of a coil on the mandrel"],
    mandrel_mm_used: ["A mandrel you have used", "the mandrel you have used"],
    coil_inner_mm: [
      "Inside of that coil once it springs back",
      "the inside of that coil once it springs back",
    ],
    mandrel_mm: "Mandrel",
    reel_kg: ["Wire on a full reel", "the wire on a full reel"],
    gauge: "Gauge number",
    ring: "Ring",
    open_ring: "Ring for the open rows",
    // the panel
    width_mm: "Width",
    height_mm: "Height",
    columns: "Columns",
    rows: "Rows",
    around_mm: ["Around", "the length all the way round"],
    length_mm: "Length",
    from_mm: ["At the start", "the measure at the start"],
    to_mm: ["At the end", "the measure at the end"],
    neck_mm: ["Around the neck", "the measure around the neck"],
    slant_mm: ["From neck to edge", "the measure from neck to edge"],
    angle_deg: "Slope",
    rings: ["Rings in all", "the number of rings"],
    open: ["Of these, riveted", "how many of these are riveted"],
    at_mm: ["At", "how far along"],
    widths: "Widths",
    round: "Tube",
    shape: "Shape",
    "shape.kind": "Shape",
    panel: "Panel",
    panels: "Panels",
    items: ["How many", "how many there are"],
    units_per_chain: ["Units in a chain, at most", "the most units in a chain"],
    max_change: [
      "Most rings added or dropped in a row",
      "the most rings added or dropped in a row",
    ],
    rows_run: "On the body, rows run",
    // the fabric
    state: ["Your measurements are of the fabric", "how the fabric lay when measured"],
    "swatch.state": ["The swatch was measured", "how the swatch lay when measured"],
    swatch: "Swatch",
    fabric: "Measured",
    "swatch.columns": ["Rings along the row", "the rings along the row"],
    "swatch.rows": ["Rows down", "the rows down"],
    "swatch.width_mm": ["They measure", "what the rings along the row measure"],
    "swatch.height_mm": ["They measure", "what the rows down measure"],
    // the piece
    name: "Name",
    customer: ["Customer", "the customer"],
    due: ["Due", "the day it is due"],
    mark: "Mark",
    notes: "Notes",
    rules: "How you make it",
    finishing: "Extra steps",
    without: "Steps left out",
    joins: "Joins between panels",
    "joins.how": ["Joined", "how they are joined"],
    "joins.panels": ["Panel", "the panels that are joined"],
    "joins.rings": "Joining rings",
    losses: "Losses",
    good: ["Good", "how many came out good"],
    bad: ["Spoiled", "how many were spoiled"],
    sure: "You should have enough",
    consumables: "Other materials",
    per_1000_rings: ["Per 1000 rings", "how much 1000 rings use up"],
    "consumables.name": ["What", "what is used up"],
    "consumables.unit": ["Measured in", "the unit it is measured in"],
    unit: "Measured in",
    "finishing.name": ["Step", "the name of the step"],
    "finishing.item": ["One item is a", "what one item is called"],
    item: ["One item is a", "what one item is called"],
    after: "When",
    caution: "What can hurt you",
    guess_min_per_item: ["Your guess of the minutes for one", "the minutes for one"],
    overlap: "Overlap",
    heads: "Heads",
    note: "Note",
    reels: "Reels it is made from",
    costs: "Costs of this piece",
    "piece.state": "State",
    order: ["Place in the list", "the place in the list"],
    piece: "Piece",
    deleted: "Deleted",
    // steps, lanes, stock, money, the device
    step: "Step",
    lump: "One touch adds",
    batch: "One touch adds",
    practised: "Your experience",
    trial: "Ten-minute trial",
    minutes: "Minutes",
    pinned: "Stays on its step",
    colour: "Colour",
    "reel.batch": "Batch or maker's mark",
    "reel.how": "How you know what is left",
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
    queue: "Which piece first",
    off_days: "Days away",
    delivery_days: "Days a delivery takes",
    spare_days: "Days to spare before it runs out",
    reserve_percent: ["Extra wire to buy, percent", "the extra wire to buy"],
    wire_reserve_percent: ["Extra wire to buy, percent", "the extra wire to buy"],
    currency: "Currency",
    rate: ["Your hourly rate", "your hourly rate"],
    wire_per_kg: ["A kilogram of wire", "the price of a kilogram of wire"],
    overhead_percent: "Overhead on labour and material",
    margin_percent: "Profit",
    tax_percent: "Tax",
    deposit_percent: "Deposit",
    margin_on: "Profit is a share of",
    break_min: "Remind me to rest after (minutes)",
    today: "Today's date",
    hours: "Hours",
    mass_unit: "Reels are weighed in",
    fire_caution_read: "Fire warning read",
    theme: "Light",
    hand: "Which hand taps",
    letters: "Letters on the keyboard",
    awake: "Screen stays on",
    click: "Click at each tap",
    buzz: "Vibration",
    speak_every: "Speak the count every",
    keys: "Pedals and keys",
    said_lacks: "Notes about this browser already read",
    weigh: "Counted sample for weighing",
    // counting by weight
    "reference.rings": ["Counted sample: how many", "how many rings are in the counted sample"],
    "reference.grams": ["Your counted sample weighs, g", "what your counted sample weighs"],
    grams: ["Your counted sample weighs, g", "what your counted sample weighs"],
    scale_g: ["Smallest step of the scale, g", "the smallest step of the scale"],
    spread_percent: ["Rings differ by, %", "how much single rings differ"],
    batch_g: ["The whole heap weighs, g", "what the whole heap weighs"],
  },
  /** Values of a choice, by their field. */
  values: {
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
      count: "counted rings or steps",
    },
    state: fabricStates,
    fabric: fabricStates,
    "swatch.state": fabricStates,
    "piece.state": { open: "in progress", done: "done" },
    rows_run: { round: "round", down: "down" },
    practised: { new: "beginner", used: "practised", old_hand: "expert" },
    queue: { in_order: "one after the other", in_turns: "in turns" },
    margin_on: { price: "the price", cost: "the cost" },
    mass_unit: { g: "grams", kg: "kilograms" },
    theme: { system: "same as this device", dark: "forge (dark)", light: "daylight" },
    hand: { right: "right", left: "left" },
  },
  // end of format
};

/** What the device can or cannot do. @satisfies {Texts} */
export const device = {
  // pedals and keys
  deeds: {
    lane1: "Count one on pad 1",
    lane2: "Count one on pad 2",
    lane3: "Count one on pad 3",
    lane4: "Count one on pad 4",
    tray: "Count a whole batch on the pad in use",
    undo: "Undo",
    pause: "Pause or resume",
  },

  // what a browser lacks
  lacks: {
    vibration: "This browser cannot vibrate: signals come by sight and sound.",
    "wake lock":
      "This browser cannot keep the screen on: set a longer screen time in the device's own settings.",
    "background sync":
      "This browser sends nothing while the page is closed: counts go to the server when the page is open.",
    voice: "No voice is installed on this device, so the count cannot be spoken.",
    sound: "This browser makes no sounds here: signals come by sight.",
  },
  // end of device
};

/** Parts that several screens share. @satisfies {Texts} */
export const ui = {
  // what many screens need
  countIt: "Yes, count it",
  earlier: "Move up",
  later: "Move down",
  named: (action, thing) => `${action}: ${thing}`,
  openPlan: "Open its plan",
  partLeftOut: (why) => `Part of its plan is not included here: ${why}`,
  remove: "Remove",
  save: "Save",
  startClock: "Start the clock",
  stopClock: "Stop the clock",
  typeInches: "I type inches: keyboard with letters",
  unnamedPiece: "Piece without a name",
  usualWhenEmpty: (value) => `Left empty: ${value} (common practice, no published source).`,
  workingOutDates: "Working out the dates …",

  // set the count
  countIsAlready: (n) => `The count is ${n} already. Nothing has changed.`,
  countToSet: "Enter how many you counted: a whole number from 0 to 1 000 000.",
  doneInAll: (items, count) => `How many good ${items} are done in all? By the count: ${count}.`,
  fewerThanCount: (n, found) => `That is ${n} fewer than the count. Set it to ${found}?`,
  howMany: "How many are here?",
  item: "item",
  items: "items",
  moreThanCount: (n, found) => `That is ${n} more than the count. Set it to ${found}?`,
  no: "No",
  noneAndMissing: (n) => `none, and ${n} ${n === "1" ? "is" : "are"} missing`,
  notUsed: (items, count) => `How many ${items} are here, not used yet? By the count: ${count}.`,
  paceUnchanged: "This changes neither your pace nor your losses.",
  setCount: "Set the count",
  setCountTo: (n) => `Set it to ${n}`,
  setCountToHere: "Set the count to what is here",

  // notices
  dismiss: "Dismiss",
  otherWorkshop: (served, own) =>
    `The server at this address belongs to another workshop, ${served}. This device's counts belong to workshop ${own} and stay here. Nothing is mixed.`,
  otherWorkshopNew: (served) =>
    `The server at this address belongs to another workshop, ${served}. This device's counts belong to a workshop of their own and stay here. Nothing is mixed.`,
  overCounted: (steps) =>
    `You have counted more than this plan needs: ${steps}. The counts stay as they are; make the plan larger if it was made too small.`,
  overCountedStep: (step, done, planned) => `${step} ${done}, planned ${planned}`,
  whatToDo: "What to do",

  // backup
  backupAbout:
    "One file with every change on this device: counts, sittings, pieces and settings. It works with the server off.",
  backupRestore:
    "To restore it on a device, choose it under [Bring in a file](#setup). On a server, run `ringwright import` with the file's name. Changes that are there already are not added twice. An empty workshop takes over the identity in the file; a workshop with counts of its own refuses the file unless you add `--join`.",
  backupSave: "Save a backup file",
  backupShare: "Share a backup file",
  backupShared: (n) => `${counted(n, "change")} handed on.`,
  notShared: "Nothing was handed on. Try again, or save the file here instead.",
  shareReady: "The file is ready: touch “Share a backup file” once more.",
  backupSaved: (n, file) => `${counted(n, "change")} saved to ${file}.`,
  // end of ui
};

/** Fields of forms, on every screen. */
export const forms = {
  // settings
  notGiven: "not given",
  /** @param {string} label @param {boolean} on */
  switchState: (label, on) => `${label}: ${on ? "on" : "off"}`,
  thisField: "This field",
  // lengths
  /** @param {string} typed @param {number} mm */
  fractionWithoutUnit: (typed, mm) =>
    `“${typed}” has no unit: enter ${typed} in for inches, or ${mm} for millimetres.`,
  /** @param {string} typed */
  gaugeAsLength: (typed) =>
    `“${typed}” is a gauge number, which means a different wire in each system: enter the wire in millimetres, or choose it in a plan under “I know only the gauge number”.`,
  // money
  /** @param {string} sum */
  moneyExample: (sum) => `Enter a sum like ${sum}.`,
  /** @param {string} name @param {string} typed @param {string} example */
  notMoney: (name, typed, example) => `${name}: “${typed}” is not a sum of money. ${example}`,
  /** @param {string} name @param {string} most */
  tooMuchMoney: (name, most) => `${name}: enter at most ${most}.`,
  // time for one item
  minutes: "minutes",
  noTime: "No guess yet.",
  /** @param {string} name @param {string} typed */
  notTime: (name, typed) =>
    `${name}: “${typed}” is not a time. Enter how long one item takes you, such as 40 s or 1.5 min.`,
  seconds: "seconds",
  /** @param {string} time */
  usualTime: (time) => `Usual: ${time}. Empty the field to use that again.`,
  /** @param {string} time */
  usualTimeUsed: (time) => `No guess of yours yet, so the usual ${time} is used.`,
};

/** Drawings in words. @satisfies {Texts} */
export const pictures = {
  qr: "A square of dots for a phone's camera. It holds the same as the letters below it.",
  // marks of pieces
  marks: {
    disc: "Disc",
    square: "Square",
    triangle: "Triangle",
    diamond: "Diamond",
    ring: "Ring",
    cross: "Cross",
  },

  // fabric
  chainUnits: (chain, made, size) => `chain ${chain} has ${made} of its ${size} units`,
  chainsHanging: (name, done, all) => `${name}: ${done} of ${all} chains hang in the fabric`,
  chainsInHand: (n) => `${n} in hand`,
  chainsToCome: (n) => `${n} to come`,
  list: (parts) => `${parts}.`,
  stepShares: (name, shares) => `${name}: ${shares}.`,

  // pace
  paceCaption: "Time for one item in each sitting. The larger the rivet, the more items.",
  paceNow: "The bar on the right is the pace used now.",
  paceWords: (name, sittings, first, firstDay, last, lastDay) =>
    `${name}: ${sittings}, from ${first} each on ${firstDay} to ${last} each on ${lastDay}.`,
  sittings: (n) => counted(n, "sitting"),
  today: "today",

  // ring
  ringWords: (inner, outer, wire) =>
    `Ring to scale: ${inner} mm inside, ${outer} mm outside, wire ${wire} mm.`,
  ringWordsLap: (inner, outer, wire, lap) =>
    `Ring to scale: ${inner} mm inside, ${outer} mm outside, wire ${wire} mm, lap ${lap} mm.`,
  wires: (n) => `${n} wires`,

  // shape
  added: "+ marks an added ring",
  changes: (n, marks) => `${counted(n, "change")}: ${marks}.`,
  dropped: "− marks a dropped ring",
  fromTo: (low, high) => `${low} to ${high}`,
  openRows: "Laid open: the last row joins the first.",
  openSides: "Laid open: the side edges join.",
  rowsDown: (rows, rings) =>
    `${rows} rows of ${rings} rings, drawn across the page; on the body they run down.`,
  rowsRound: (rows, rings) =>
    `${rows} rows of ${rings} rings, drawn across the page; on the body they run round.`,

  // possible dates
  due: (date) => `due ${date}`,
  likely: (date) => `likely: ${date}`,
  safe: (date) => `safe: ${date}`,
  spanCaption: (stretch) => `Each ring is ${stretch}, starting today.`,
  spanKeys: {
    at: "still at work",
    may: "may be done",
    likely: "likely done",
    done: "safe to promise",
  },
  spanWords: (rings, from, stretch, likely, safe) =>
    `Row of ${rings} rings from ${from}, each ${stretch}. Likely done by ${likely}, safe to promise by ${safe}.`,
  stretches: {
    day: "a day",
    twoDays: "two days",
    week: "a week",
    twoWeeks: "two weeks",
    month: "a month",
    threeMonths: "three months",
    halfYear: "half a year",
    year: "a year",
    fiveYears: "five years",
    fiftyYears: "fifty years",
  },
  // end of pictures
};

/** What the page adds to the engine's answers. @satisfies {Texts} */
export const engine = {
  couldNotAnswer: (why) => `This could not be worked out: ${why}`,
  filesUnreadable: "its files could not be read",
  joinWaits: (panel) => `This join waits for ${panel}.`,
  stopped: (why) =>
    `The engine stopped: ${why}. You can go on counting. Reload the page to plan and to see dates again.`,
  wire: (metal, wire) => `Wire, ${metal} ${wire} mm`,
  wireSize: (wire) => `wire ${wire} mm`,

  // chains and rows
  allMade: (items) => `All ${items} are made`,
  chain: "chain",
  group: (word, n) => `${word} ${n}`,
  groupFull: (group) => `${group} is full`,
  groupOf: (word, n, panel) => `${word} ${n} of ${panel}`,
  panelHasAll: (panel, items) => `${panel} has all its ${items}`,
  row: "join row",
  // end of engine
};

/** What the store tells: what was or was not saved and sent. @satisfies {Texts} */
export const store = {
  // the Bench
  stepsShown: (first, last, all) => `Steps ${first} to ${last} of ${all}`,

  // Saving
  emptied: "This device was emptied in the meantime. Reload this page, then count it again.",
  saveBackup: "Save a backup file",
  notSaved:
    "This device could not save it. Its storage may be full: save a backup file, free some space, then count it again.",
  notWorkedOut:
    "The dates could not be worked out. Your counts are saved; reload this page to try again.",
  pageIsOlder:
    "This page is older than this device's log, which a newer page has opened. Reload this page, then count it again.",
  unreadable: "Changes of another page or device could not be read. Reload this page to see them.",
  upgradeBlocked:
    "Another open page still uses the older database. Close the other Ringwright pages, then reload this one.",
  upgradeFailed: (/** @type {string} */ why) =>
    `The older records on this device could not be converted: ${why}`,

  // Sending
  otherWorkshop: "This server belongs to another workshop.",
  serverAnswered: (/** @type {number} */ status) => `The server answered ${status}.`,
  serverIsOlder:
    "The server is older than this page and does not say which workshop it belongs to. Start the newer server.",
  tooLarge:
    "This is too long for the server. It stays on this device; enter it again, shorter, or in several parts.",
  serverUnreachable: "The server cannot be reached. Everything stays saved here.",
  // end of store
};

/** Bench. @satisfies {Texts} */
export const bench = {
  title: app.screens.bench,
  aPiece: "a piece",
  item: ui.item,
  items: ui.items,
  piece: format.fields.piece,
  done: "Done",

  // places
  addHere: "Add a step here",
  closeUp: "Close the gap",
  freePlace: (n) => `Empty place ${n}`,

  // pad and lane
  countOne: "Count one: ",
  laneName: format.stepOf,
  more: (lane, mark) => `${lane}, ${mark}: more for this step`,
  number: "Number",
  ofNeed: (need, share) => `of ${need} · ${share}`,
  oneSpoiled: "1 spoiled",
  placeIn: (item, n, size, group) => `${item} ${n} of ${size} in ${group}`,
  safe: (date) => `safe ${date}`,
  weigh: "Weigh",

  // tools
  chooseSteps: "Choose steps",
  goTo: (step) => `Go to: ${step}`,
  isFull: (what) => `${what}.`,
  allMade: (what, piece) => `${what}. Nothing is left to make for ${piece}.`,
  toPieces: "To Pieces, where it can be finished",
  lastTaps: "Last 50",
  lastCounts: (n) =>
    n === "1" ? "The last count on this device" : `The last ${n} counts on this device`,
  nothingToUndo: "Nothing to undo",
  undo: device.deeds.undo,
  undoOf: (count) => `Undo ${count}`,
  undoAt: (count, time) => `Undo ${count}, ${time}`,

  // above the pads
  about: (time) => `about ${time} left`,
  fabricPicture: (words) => `Picture of the fabric. ${words}`,
  next: (step, amount) => `Next: ${step}, ${amount}`,
  noPlan: (piece, why) => `${piece} has no plan yet: ${why}`,
  onTime: (chance) => `${chance} on time`,
  workingOutDates: ui.workingOutDates,

  // clock
  clockNeedsStep: "Add a step to the Bench first: the clock runs for one of them.",
  clockStarts: "Clock starts with your first tap",
  pause: "Pause",
  pauseClock: "Pause the clock",
  paused: (lane) => `Paused: ${lane}`,
  resume: "Resume",
  resumeClock: "Resume the clock",
  screenStays: {
    on: "Screen on",
    off: "May go dark",
    refused: "May go dark: refused",
    missing: "May go dark",
  },
  start: "Start",
  startClock: ui.startClock,
  stop: "Stop",
  stopClock: ui.stopClock,

  // cards
  allOfIt: "All of it",
  back: "Back",
  caution: (sentence) => `▲ ${sentence}`,
  cautionOf: (piece, sentences) => `▲ ${piece}: ${sentences}`,
  cautionPiece: "A piece",
  countIt: ui.countIt,
  countN: (n) => `Count ${n}`,
  countQuestion: (n, why) => `Count ${n}? ${why}`,
  countThem: (n) => `Yes, count all ${n}`,
  dismiss: ui.dismiss,
  doubtOne: (lane, why) => `Was that a tap on ${lane}? It is not counted yet: ${why}.`,
  doubtMany: (n, lane, why) => `Were these ${n} taps on ${lane}? They are not counted yet: ${why}.`,
  doubts: {
    bounce: "too soon after the last",
    palm: "as wide as a palm",
    slip: "the finger slipped away",
  },
  gap: (time, lane) => `No taps for ${time} on ${lane}. How long did you really work?`,
  gapMinutes: (time) => `Minutes worked, of the ${time}:`,
  hourStretch: (n) => counted(n, "hour"),
  later: "Later",
  minutesUpTo: (most) => `Enter minutes from 0 to ${most}.`,
  minuteStretch: (n) => counted(n, "minute"),
  moreCards: (text, n) => `${text} (${n} more)`,
  moreThanBatches: (batch, lane) => `That is more than ten times ${batch} on ${lane}.`,
  moreThanMany: (n, lane) => `That is more than ${n} at once on ${lane}.`,
  no: ui.no,
  noneLeft: (lane) => `None are left to make on ${lane}.`,
  noneOfIt: "None of it",
  notTap: "Not a tap",
  notTaps: "Not taps",
  onlyLeft: (n, lane) => `Only ${n} ${n === "1" ? "is" : "are"} left on ${lane}.`,
  orType: "or type",
  other: "Other",
  rest: (time) =>
    `${time} at the bench without a rest. Put the hammer down, open and stretch your hands.`,
  save: ui.save,
  tookBack: (count) => `Took back ${count}.`,
  understood: "Understood",

  // a step's sheet
  add: "Add",
  addNumber: (items) => `Add a number of ${items}`,
  colour: format.fields.colour,
  colours: {
    ember: "Ember",
    quench: "Quench",
    good: "Moss",
    warn: "Straw",
    bad: "Rose",
    text: "Bone",
  },
  correct: "Correct it in Records",
  markSpoiled: "Mark as spoiled",
  moveBack: "Move back",
  moveForward: "Move forward",
  name: format.fields.name,
  nameAndLook: "Name and look",
  place: "Place",
  remove: "Remove from the Bench",
  shape: format.fields.shape,
  spoiledSoFar: (items, n) => `Spoiled ${items} (${n} so far)`,
  stay: "Stay on this step",
  stepsOnBench: (n) => `${counted(n, "step")} on the Bench.`,
  timeSpent: (time, sittings) =>
    `Time at the bench on this step: **${time}** in ${counted(sittings, "sitting")}.`,
  timeSpentSoFar: (time, sittings) =>
    `Time at the bench on this step: **${time}** in ${counted(sittings, "sitting")}, up to the last count.`,

  // how a step is done
  forgotten: "Counts you forgot to tap",
  forgottenAt: (steps) => `Later steps used more than you counted at ${counted(steps, "step")}.`,
  howDone: "How it is done",
  ruleLine: (name, rule) => `**${name}:** ${rule}`,
  rulesInPlan: "Add overlap, heads and your own notes in its plan.",

  // counting by weight
  countByWeight: "Count by weight",
  countThese: (n) => `Count these ${n}`,
  madeBefore: "Count them, made before the clock ran",
  weighedWork: (work, ran) => `That is about ${work} of work, and the clock has run ${ran}.`,
  largestHeap: (n) => `With this sample, counts up to ${n} are exact.`,
  sampleNeeded: (n) => `For an exact count, weigh a sample of ${n}.`,
  weighed: (amount, low, high) =>
    `**About ${amount}**, between ${low} and ${high} in 95 of 100 such weighings.`,
  weighedWithin: (amount, low, high, within) =>
    `**About ${amount}**, between ${low} and ${high} in 95 of 100 such weighings (give or take ${within}).`,
  weighHints: {
    rings: "Count these by hand, taken from the mixed heap.",
    grams: "",
    scale_g: "0.1 or 0.01, as the scale shows.",
    spread_percent:
      "How much single rings differ from their average; 1 to 2 where the wire is even.",
    batch_g: "Weigh both clean or both oiled.",
  },
  workItOut: "Work it out",

  // choosing steps
  addStep: "Add a step to the Bench",
  allFinished: "Every piece is finished",
  beginPiece: "Start with a piece",
  chooseStep: "Choose a step",
  openPlan: ui.openPlan,
  planFirst: "Plan your first piece",
  planNext: "Plan the next piece",
  stepAmount: (step, amount) => `${step}: ${amount} left`,
  stepAmountNext: (step, amount) => `${step}: ${amount} left (next)`,
  stepDone: (step) => `${step}: all made`,
  welcome:
    "Enter what you make: a ring, and a size or a number. Ringwright works out how many rings, units and joins it takes, and puts the first step here as one large pad to tap.",
  whatNow: "What are you working on?",
  workingOutSteps: "Working out its steps.",
  // end of bench
};

/** Pieces. @satisfies {Texts} */
export const pieces = {
  addPiece: "New piece",
  benchSteps: "Bench steps",
  done: "Done",
  doneTitle: "Done",
  due: (/** @type {string} */ day) => `Due ${day}`,
  earlier: ui.earlier,
  empty: "No pieces yet. Begin with a ring and a size; rings, wire, weight and hours follow.",
  finished: "Done.",
  finishedPart: (/** @type {string} */ share) => `Done, with ${share} of its work counted.`,
  finishQuestion: (
    /** @type {string} */ piece,
    /** @type {string} */ share,
    /** @type {boolean} */ clock,
  ) => `${piece} is ${share} done. Mark it as done?${clock ? " Its clock stops." : ""}`,
  finishQuestionMore: "It leaves the Bench and the forecast; its counts stay.",
  finishYes: "Yes, it is done",
  finishNo: "No, not yet",
  forCustomer: (/** @type {string} */ customer) => `for ${customer}`,
  forecastPending: ui.workingOutDates,
  inOrder: "Pieces are made in this order. Move one up and all dates change.",
  inTurns: "You work on all pieces in turns.",
  later: ui.later,
  leftOut: ui.partLeftOut,
  named: ui.named,
  noForecast: "No forecast yet.",
  notPlanned: "Not planned yet: open it and enter its panel.",
  openPlan: ui.openPlan,
  planError: (/** @type {string} */ why) => `Its plan has an error: ${why}`,
  planPending: "Working out its plan …",
  reopen: "Reopen",
  rings: (/** @type {string} */ n) => (n === "1" ? "1 ring" : `${n} rings`),
  shareDone: (/** @type {string} */ piece) => `${piece}: share done`,
  title: app.screens.pieces,
  // end of pieces
};

/** Plan. @satisfies {Texts} */
export const plan = {
  // the screen
  aboutHours: (/** @type {string} */ hours) => `about ${hours} h`,
  aPanel: "a panel",
  chooseSteps: "Choose its steps for the Bench",
  clearForm: "Clear the form",
  clearFormQuestion: "Clear everything typed here?",
  copyPiece: "Plan another like it",
  customer: format.fields.customer[0],
  customerMarkNotes: "Customer, mark, notes",
  discardChanges: "Go back to what was saved",
  discardQuestion: "Discard your changes since the last save?",
  discardYes: "Yes, discard",
  due: format.fields.due[0],
  joinCount: (/** @type {number} */ n) => (n === 1 ? "a join" : `${n} joins`),
  keepIt: "No, keep it",
  mark: format.fields.mark,
  markHint: "Makes the piece easy to spot on the Bench.",
  name: format.fields.name,
  nameNeeded: "Enter a name, for example Coif or Sleeve, left.",
  newPiece: pieces.addPiece,
  noSuchPiece: "No such piece",
  noSuchPieceHint: "It may have been deleted on another device.",
  noTotals: "No totals yet",
  notes: format.fields.notes,
  pictureAndBill: "Picture and bill",
  piece: format.fields.piece,
  plan: app.screens.plan,
  remove: ui.remove,
  removePiece: "Delete this piece",
  removePieceQuestion: "Delete this piece? What was counted on it stays in Records.",
  removePieceYes: "Yes, delete it",
  ringCount: pieces.rings,
  save: ui.save,
  saved: "Saved",
  showWhere: "Show where",
  toBench: "To the Bench",
  toPieces: "To the pieces",
  toPlan: "To its plan",
  toUnsavedPiece: "To the new piece you began",
  without: (/** @type {string[]} */ parts) => `Without ${parts.join(" and ")}: `,

  // where an error is
  extraStepNumber: (/** @type {number} */ n) => `Extra step ${n}`,
  fabricName: "Fabric",
  joinNumber: (/** @type {number} */ n) => `Join ${n}`,
  materialNumber: (/** @type {number} */ n) => `Material ${n}`,
  panelNumber: (/** @type {number} */ n) => `Panel ${n}`,

  // lengths
  lengthsHint: 'Lengths are in millimetres. For others add the unit: 12 in, 3/8", 30 cm.',
  lettersKeyboard: ui.typeInches,
  notInTotals: (/** @type {string} */ missing) => `Not in the totals yet. ${missing}`,

  // ring: wire and inside
  asBefore: "As before:",
  byGauge: (/** @type {string} */ gauges) => `By gauge: ${gauges}.`,
  gaugeHint:
    "Each system gives the same number to a different wire. Choose the system your seller uses, or measure the wire.",
  gaugeNumber: format.fields.gauge,
  inside: format.fields.inner_mm[0],
  insideHint: "Across the hole of the finished ring.",
  lappingDrawsIn: "Lapping makes the ring smaller.",
  mandrel: format.fields.mandrel_mm,
  onlyGauge: "I know only the gauge number",
  onlyMandrel: "I know only the mandrel",
  overlapKeepsWidth: "Cut with the overlap, the ring is as wide as its coil.",
  ring: format.fields.ring,
  useEarlierRing: "Use a ring of an earlier piece",
  useInside: "Use the inside it gives:",
  wire: format.fields.wire_mm,
  wireAndInside: (/** @type {string} */ wire, /** @type {string} */ inside) =>
    `${wire} mm wire, ${inside} inside`,
  wireHint: "Measure the bare wire.",
  withSpringback: "Includes the spring-back of your coil.",
  withoutSpringback: "Does not include spring-back: measure a coil below to include it.",

  // ring: metal
  bare: "No, it is bare",
  coated: "Yes: zinc, galvanised",
  coatingHint: "Wire not known to be bare counts as zinc-coated: its softening is left out.",
  coatingUnknown: "I do not know",
  density: format.fields.density_g_cm3,
  isCoated: format.fields.coating,
  leaveSofteningsOut: "Leave both softenings out",
  metal: format.fields.metal,
  metalName: format.fields.own_metal[0],
  metalNameHint: "As the seller writes it.",
  metalWithDensity: (/** @type {string} */ metal, /** @type {string} */ density) =>
    `${metal}, ${density} g/cm³`,
  otherMetal: "other: enter its density",
  softeningsLeftOut: "Both softenings are left out of this piece.",
  thisMetal: "this metal",

  // ring: how it is closed and cut
  butted: "Butted",
  buttedSummary: "Butted, without a lap",
  cutHint:
    "With the overlap: each ring takes more than a turn and is as wide as the coil; notched cutters work this way. Straight: one ring a turn, cut along one line; lapping then makes the ring smaller, so the mandrel is thicker.",
  cutStraight: "cut straight",
  cutWithOverlap: "cut with the overlap",
  howCut: format.fields.cut[0],
  lap: "Lap",
  lapHint: "Left empty: twice the wire.",
  lapOverlap: format.fields.lap_mm[0],
  rivet: "Rivet",
  riveted: "Riveted",
  rivetedSummary: (
    /** @type {string} */ lap,
    /** @type {string} */ cut,
    /** @type {boolean} */ wedge,
  ) => `Riveted${lap && `, lap ${lap} mm`}${cut && `, ${cut}`}, ${wedge ? "wedge" : "round"} rivet`,
  rivetHint: "Left empty: rivet wire is not counted.",
  rivetRound: "Round, from wire",
  rivetThickness: format.fields.rivet_mm,
  rivetWedge: "Wedge, from strip",
  solid: "Solid",
  solidSummary: "Closed rings are solid",
  straight: "Straight",
  wedgeButt: "Width of the wedge at its butt",
  wedgePoint: format.fields.rivet_point_mm[0],
  withOverlap: "With the overlap",

  // ring: coil and reel
  coilLength: format.fields.mandrel_length_mm[0],
  coilLengthHint: "Needed to count coils.",
  coilSummary: "Coil, reel, kerf, spring-back",
  flattenedEnd: format.fields.flat_mm[0],
  flattenedEndHint: "The rivet goes through two of them.",
  fullReel: format.fields.reel_kg[0],
  kerf: format.fields.kerf_mm[0],
  kerfHint: "Leave empty for snips.",
  sprungCoil: format.fields.coil_inner_mm[0],
  sprungCoilHint: "The two together give your wire's spring-back.",
  usedMandrel: format.fields.mandrel_mm_used[0],

  // ring: what one takes
  aspect: "inside ÷ wire",
  mandrelNoSpringback: "mandrel, without spring-back",
  mandrelSprungBack: "mandrel, with spring-back",
  oneRingWeighs: "one ring weighs",
  otherCut: (
    /** @type {string} */ cut,
    /** @type {string} */ mandrel,
    /** @type {string} */ ringsPerCoil,
  ) =>
    `The other way, ${cut}: mandrel ${mandrel} mm${ringsPerCoil && ` and ${ringsPerCoil} rings from a coil`}.`,
  ringsPerCoil: "rings from a coil",
  ringsPerKg: "rings in a kilogram",
  ringsPerReel: "rings from a reel",
  rivetWireForOne: "rivet wire for one",
  wireForOneRing: "wire for one ring",

  // fabric
  alongDown: "mm along × down",
  fabric: (/** @type {string} */ state, /** @type {boolean} */ swatch) =>
    `Fabric: ${state}, ${swatch ? "from your swatch" : "a guess"}`,
  fabricState: format.fields.state[0],
  haveSwatch: "I have measured a swatch of these rings",
  haveSwatchHint: "Better than any guess: lap, rivets and hands all change the fabric.",
  ringsPer100cm2: "rings in 10 × 10 cm",
  state: format.fields["piece.state"],
  stateMeans: {
    relaxed: "Laid on the bench, neither pulled nor pushed.",
    hang: "Hung by its top row: rows drawn apart, rings close together along the row. The densest.",
    flat: "Spread both ways as far as it goes: the fewest rings to an area.",
    across: "Pulled along the rows until it stops.",
  },
  states: { relaxed: "Relaxed", hang: "Hanging", flat: "Spread flat", across: "Pulled across" },
  statesFromSwatch: "The same fabric in each state, from your swatch",
  statesGuessed: "The same fabric in each state, guessed from geometry",
  swatchColumns: format.fields["swatch.columns"][0],
  swatchHint:
    "Weave at least ten columns and ten rows of your own rings. Count from one ring to the same side of another: count the steps between them.",
  swatchMeasure: format.fields["swatch.width_mm"][0],
  swatchRows: format.fields["swatch.rows"][0],
  swatchState: format.fields["swatch.state"][0],

  // panels
  addPanel: "Add another panel",
  addWidth: "Add a width",
  degrees: "degrees",
  drawnToScale: "Drawn to scale",
  errorInside: "has an error",
  measureHints: {
    width_mm: "Along the rows.",
    height_mm: "From the first row to the last.",
    columns: "Rings in a closed row; an even number makes whole units.",
    rows: "3, 7, 11, 15, 19 … need no left-over row.",
    around_mm: "The whole way round.",
    slant_mm: "Along the fabric, not straight down.",
    angle_deg: "90 lies flat like a plate, 45 falls like a cone.",
    rings: "Its rows and size stay unknown.",
  },
  measures: {
    width_mm: format.fields.width_mm,
    height_mm: format.fields.height_mm,
    columns: format.fields.columns,
    rows: format.fields.rows,
    around_mm: format.fields.around_mm[0],
    length_mm: format.fields.length_mm,
    from_mm: format.fields.from_mm[0],
    to_mm: format.fields.to_mm[0],
    neck_mm: format.fields.neck_mm[0],
    slant_mm: format.fields.slant_mm[0],
    angle_deg: format.fields.angle_deg,
    rings: format.fields.rings[0],
    open: format.fields.open[0],
  },
  notInTotalsYet: "not in the totals yet",
  outlineAt: format.fields.at_mm[0],
  outlineHint: "From the start edge to the end: how far along, and how wide there.",
  outlineRound: "It is a tube: the widths are all the way round",
  outlineWidth: format.fields.width_mm,
  panel: format.fields.panel,
  panels: format.fields.panels,
  removePanel: "Remove this panel",
  roundMeasures: { from_mm: "Around at the start", to_mm: "Around at the end" },
  rows: "rows",
  rowsDown: "Down",
  rowsRound: "Round",
  rowsRun: format.fields.rows_run,
  rowsRunHint: "Fabric stretches along its rows.",
  shape: format.fields.shape,

  // panels: what one has of its own
  asThePiece: (/** @type {string} */ state) => `as the piece: ${state}`,
  foreignSwatch:
    "The piece's swatch is of other rings, so this panel is a guess until you measure a swatch of its own.",
  nothingOwn: "Ring and fabric: as the piece",
  otherWire: "other wire",
  ownOfPanel: (/** @type {string} */ own) => `Its own: ${own}`,
  ownRing: "Other rings in this panel",
  ownSwatch: "A swatch of its own",
  ownSwatchShort: "own swatch",
  ownWire: (/** @type {string} */ wire) => `${wire} mm wire`,
  panelState: "Its measurements are of the fabric",
  pitch: (/** @type {string} */ column, /** @type {string} */ row, /** @type {boolean} */ swatch) =>
    `Ring to ring ${column} mm along the row, ${row} mm row to row: ${swatch ? "from a swatch" : "a guess from geometry"}.`,

  // panels: what they come to
  chainJoins: "chain joins",
  chainsAndChanges: "Chains and changes",
  chainsTitle: "Chains",
  columnsAndRows: (/** @type {string} */ columns, /** @type {string} */ rows) =>
    `${columns && `${columns} columns, `}${rows} rows`,
  furthestRow: (/** @type {string} */ mm) =>
    `Every closed row is within ${mm} mm of the width you entered.`,
  leftOverRings: (/** @type {string} */ n) =>
    n === "0"
      ? "No rings are left over."
      : n === "1"
        ? "1 ring is left over, outside whole units."
        : `${n} rings are left over, outside whole units.`,
  maxChange: format.fields.max_change[0],
  maxChangeHint: "Left empty: as many as the shape needs.",
  nearestSizes: "Nearest sizes without left-over rings",
  reachedSize: (/** @type {string} */ size) => `Comes to ${size}.`,
  unitJoins: "unit joins",
  unitsPerChain: format.fields.units_per_chain[0],
  unitsPerChainHint: "Left empty: a chain is as long as its row.",

  // panels: row by row
  betweenChains: (/** @type {number} */ chain, /** @type {number} */ next) =>
    `chain ${chain} to ${next}`,
  closedRows: "Closed rows",
  closedRowsFromTo: (/** @type {number} */ from, /** @type {number} */ to) => `${from} to ${to}`,
  closingRing: "the ring that closes the row",
  evenOpenRows: (/** @type {string} */ rows, /** @type {string} */ rings) =>
    `Between them ${rows === "1" ? "1 open row" : `${rows} open rows`} of ${rings} rings; every open ring holds 2 above and 2 below.`,
  evenRows: (
    /** @type {string} */ rows,
    /** @type {string} */ rings,
    /** @type {boolean} */ round,
  ) =>
    `${rows === "1" ? "1 closed row" : `${rows} closed rows`} of ${rings} rings${round ? ", each closed on itself" : ""}.`,
  holds: (/** @type {number} */ rings, /** @type {boolean} */ more) =>
    `${rings > 1 ? "hold" : "holds"} ${more ? "2 above, 3 below" : "3 above, 2 below"}`,
  inChain: (/** @type {number} */ chain) => `in chain ${chain}`,
  inOpenRow: "in the open row between",
  joiningRings: (/** @type {number[]} */ ns) => numbered("joining ring", ns),
  noChange: "no change",
  ringAfterUnit: (/** @type {number} */ n) => `the ring after unit ${n}`,
  ringsAfterUnits: (/** @type {number[]} */ ns) => `the rings after units ${listed(ns)}`,
  ringsMore: (/** @type {number} */ by) =>
    `${Math.abs(by)} ${Math.abs(by) === 1 ? "ring" : "rings"} ${by > 0 ? "more" : "fewer"}`,
  rowByRow: "Row by row",
  rowByRowHint: (/** @type {boolean} */ round) =>
    `Count closed rows from the start edge, units within their chain, and joining rings within the run that hangs the chain; both along the row ${round ? "from where you mark its beginning" : "from the same side each time"}. All other rings hold 2 above and 2 below.`,
  toLeftOverRow: "to the left-over row",
  unitNumbers: (/** @type {number[]} */ ns) => numbered("unit", ns),

  // how it is made, extra steps
  addStep: "Add a step",
  afterStep: (/** @type {string} */ step) => `after ${step}`,
  atTheEnd: "at the end",
  extraSteps: format.fields.finishing,
  howMany: format.fields["rings.n"],
  noRule: "not decided",
  removeStep: "Remove this step",
  rulesHint: "Shown on the Bench with each step they matter to.",
  rulesTitle: format.fields.rules,
  step: format.fields.step,
  stepCaution: format.fields.caution,
  stepExamples: "Edge rings, straps, lining stitches, polishing …",
  stepGuess: format.fields.guess_min_per_item[0],
  stepItem: format.fields["finishing.item"][0],
  stepItemExamples: "ring, strap, stitch …",
  stepsLeftOut: format.fields.without,
  stepsLeftOutHint: "Butted rings need no piercing; soft wire may need no softening.",
  when: format.fields.after,

  // steps on the Bench
  batch: "batch",
  batchLabel: (/** @type {string} */ step) => `${step}: batch of one touch`,
  batchName: (/** @type {string} */ step) => `${step}, batch`,
  lanesHint:
    "Each step you choose gets a pad on the Bench. A tap counts one item; the button beside it counts a whole batch, such as a tray or a coil.",
  onTheBench: "On the Bench",

  // joins
  addJoin: "Add a join",
  andPanel: "and",
  byRings: format.values.how.rings,
  choose: "choose",
  chooseClosedPanel: "Choose the panel that is closed.",
  chooseJoinedPanels: "Choose the two panels that are joined.",
  closedToATube: format.values.how.round,
  joined: format.fields["joins.how"][0],
  joiningRingCount: format.fields["joins.rings"],
  joins: format.fields.joins,
  oneBelowTheOther: format.values.how.stacked,
  removeJoin: "Remove this join",
  sideBySide: format.values.how.end_to_end,

  // losses
  fourInFive: "4 times in 5",
  good: "good",
  losses: format.fields.losses,
  lossesHint:
    "From your own record: how many came out good and how many were spoiled. The plan then begins with more, so that enough come out good.",
  lossLabel: (/** @type {string} */ step, /** @type {string} */ kind) => `${step}: ${kind}`,
  nineInTen: "9 times in 10",
  nineteenInTwenty: "19 times in 20",
  ninetyNineInHundred: "99 times in 100",
  spoiled: "spoiled",
  sure: format.fields.sure,
  useCountedLosses: "Use what I have counted so far",

  // other materials
  addMaterial: "Add a material",
  measuredIn: format.fields.unit,
  measuredInExamples: "kg, blades, litres …",
  otherMaterials: format.fields.consumables,
  otherMaterialsHint: "What you use for 1000 rings: gas, charcoal, saw blades, oil.",
  per1000Rings: format.fields.per_1000_rings[0],
  what: format.fields["consumables.name"][0],

  // the bill
  beginMore: (/** @type {string} */ n) => `; begin ${n}, for losses`,
  benchHours: (/** @type {string} */ even, /** @type {string} */ likely) =>
    `About ${even} bench hours, at most ${likely} four times in five`,
  bill: "What it takes",
  billEmpty: "Enter the ring and the panel to see rings, wire, weight and steps.",
  byGuesses: ": from usual times, until you have counted sittings of your own.",
  byYourPace: ", at your own pace.",
  cautions: "What can hurt you, step by step",
  chainRuns: (/** @type {string} */ runs) => `chains: ${runs}`,
  chains: "chains",
  chainsFromTo: (
    /** @type {string} */ count,
    /** @type {string} */ shortest,
    /** @type {string} */ longest,
  ) => `${count} chains of ${shortest} to ${longest}`,
  closedFirst: "closed first",
  coils: "coils",
  finishedWeight: "finished weight",
  itemsToMake: "Items to make, in making order",
  links: "links",
  ofWhat: "of what",
  reels: "reels",
  rings: "rings",
  rivetedInPlace: "riveted in place",
  rivets: "rivets",
  rivetWire: "rivet wire",
  source: (/** @type {string} */ source) => `Source: ${source}`,
  toMake: "to make",
  units: "units",
  wireParts: (
    /** @type {string} */ wire,
    /** @type {string} */ rings,
    /** @type {string} */ ends,
    /** @type {string} */ reserve,
    /** @type {string} */ percent,
  ) =>
    `Wire of ${wire} mm: ${rings} m in rings, ${ends} m lost at the ends of coils, ${reserve} m in reserve (${percent} %, set in Setup).`,
  wireToBuy: (/** @type {string} */ metal, /** @type {string} */ wire) =>
    `${metal} wire, ${wire} mm, to buy`,
  // end of plan
};

/** Forecast. @satisfies {Texts} */
export const forecast = {
  // the screen
  empty:
    "No piece is in progress. [Start one](#pieces), and the day it will be done is shown here.",
  nowAt: (piece, place, of) => `${piece} is now ${place} of ${of}.`,
  placeOf: (place, of) => `${place} of ${of}`,

  // a piece's dates
  allDates: "All the possible dates",
  allDatesOf: (piece) => `All the possible dates of ${piece}`,
  benchTimeLeft: "Bench time left",
  chanceDone: "Chance it is done by then",
  chances: { p10: "1 in 10", p50: "1 in 2", p80: "4 in 5", p95: "19 in 20" },
  day: "Day",
  enterSize: (plan) => `It has no plan yet. [Enter its size](${plan}) to get its dates.`,
  hoursLeft: (likely, safe) => `About **${likely}** left at the bench, **${safe}** to be safe.`,
  likely: "Likely done",
  neverDone: "not within eleven years at this pace",
  safe: "Safe to promise",
  workDone: "All its steps are counted. [Mark it as done](#pieces) when it leaves the bench.",

  // the day it is due
  dueChance: (chance) => `Chance of being on time: **${chance}**.`,
  duePassed: "That day has passed. Enter a new due date.",
  dueToday: "That is today. The dates here count from tomorrow on.",
  weekImpossible: "To be safe you would have to work more than twelve hours every day.",
  weekWorked: (hours) => `To be safe, work **${hours} a week** at the bench until then.`,
  weekWorkedOrMeant: (hours, meant) =>
    `To be safe, work **${hours} a week** at the bench until then. Plan **${meant} a week** for that, as most weeks bring less than planned.`,

  // price
  balance: "Still to pay",
  columns: { likely: "likely", safe: "safe" },
  currencyUnknown: "This currency is not known. Correct it below.",
  hoursIncluded: (hours) => `The ${hours} already worked are included.`,
  notPriced: (things) => `Not included, because their prices are missing: ${things}.`,
  price: "Price",
  priceAbout: "Ask about",
  priceLacks: "Enter your currency and your hourly rate below to see a price.",
  priceOf: (piece) => `Price of ${piece}`,
  priceRange: (currency, low, high) => `${currency} ${low} to ${high}`,
  total: "Your price",
  workingOutPrice: "Working out the price …",

  // rates and costs
  addCost: "Add a cost",
  costAmount: "How much",
  costAmountNeeded: (example) => `Enter a sum above 0. ${example}`,
  costExamples: "Lining, straps, carriage",
  costNeeded: "Enter what the cost is for, such as lining.",
  currencyHint: "Three letters, such as EUR, GBP or JPY.",
  materialCost: (material, unit) => `${material}, for one ${unit}`,
  rateHint: "What you want for an hour at the bench.",
  rates: "Your rates, for every piece",
  unit: "unit",
  wirePriceHint: "Used for wire of a reel without a price of its own.",

  // the weeks ahead
  addDaysAway: "Add days away",
  daysFromTo: (from, to) => `${from} to ${to}`,
  firstDay: "First day away",
  firstDayNeeded: "Enter the first day away.",
  firstDayPassed: "This day has passed. Enter one from today on.",
  lastDay: "Last day away",
  lastDayTooEarly: "The last day must not be before the first.",
  lastDayTooLate: (days) => `At most ${days} days at once. Is the year right?`,
  noDaysAway: "None yet. Enter a holiday or a fair, and the dates allow for it.",
  removeDays: (from) => `Remove: days away from ${from}`,
  weeksAhead: "The weeks ahead",
  weeksCount: "The weeks you really worked soon count for more than this.",
  weeksWorked: (hours) => `You have worked ${hours} a week; that counts more as your record grows.`,

  // what else bears on the dates
  doubtful: "Doubtful in your record",
  lookAtSittings: "Look at the sittings",
  noteOf: (day) => `${day}:`,
  weighed: "Also affecting your dates",

  // the pace of each step
  bestTrial: (step, share) =>
    `Most useful now: ten timed minutes of **${step}**. They would make the dates ${share} surer.`,
  each: (time) => `**${time}** each`,
  guess: (unit) => `Your guess, ${unit}`,
  perItem: (item) => `per ${item}`,
  paceAbout:
    "A guess is enough to begin; ten timed minutes are worth much more, and every counted sitting more still.",
  paceFrom: {
    own: "from your record",
    guess: "your guess only",
    guessMoved: "your guess, adjusted by your other steps",
    both: "your guess and record together",
    usual: "a usual figure, not your guess",
    usualMoved: "the usual figure, adjusted by your other steps",
    usualAndOwn: "a usual figure and your record together",
  },
  paceRange: (low, high, from) => `(${low} to ${high}, ${from})`,
  paceTitle: "Your pace, step by step",
  quicker: (share) => `▼ ${share} quicker`,
  sittings: "Its sittings",
  noSittings: "No counted and timed sitting yet.",
  slower: (share) => `▲ ${share} slower`,
  surer: (share) => `Would make the dates ${share} surer.`,
  withPractice: (change) =>
    `With practice: **${change}** each time the number you have made doubles.`,

  // ten timed minutes
  countFor: "Count them for",
  countOnly: "Count them, without the time",
  discard: "Discard",
  discardBoth: "Discard both",
  discardTimed: (amount) => `${amount} and their time would be thrown away.`,
  itemInHand: (item) => `one more ${item}`,
  layReady: (item) =>
    `Lay everything ready, start the clock, work as you always do, and tap the pad after each ${item}.`,
  layReadyBatch: (item, batch) =>
    `Lay everything ready, start the clock, work as you always do, and tap the pad after each ${item}, or +${batch} after a whole batch.`,
  madeIn: (amount, time, each) => `${amount} in ${time}: ${each} each.`,
  noPiece: "no piece, a test only",
  notNow: "Not now",
  ofTenMinutes: "of 10:00",
  stopWhen: "Stop when ten minutes are up and the one in your hand is finished.",
  takeOneBack: "Take one back",
  timed: (items, time) => `Timed: ${items} in ${time}.`,
  timedOn: (day, items, time) => `Timed on ${day}: ${items} in ${time}.`,
  timeYourself: "Time ten minutes",
  timesUp: "■ ten minutes are up",
  tooShort: "Less than a minute is too short to tell. Go on for a while.",
  trialOf: (step) => `${step}: ten timed minutes`,
  usePace: "Use this pace",
  // end of forecast
};

/** Records. @satisfies {Texts} */
export const records = {
  // the screen
  notRead: (why) => `These records could not be read: ${why}`,
  parts: {
    sittings: "Sittings",
    counts: "Counts",
    changes: "Changes",
    twice: "Two devices disagreed",
    aside: "Could not be used",
    past: "Past forecasts",
    cards: "Job sheets",
    copy: "Backup",
  },
  partsTitle: "Parts of the records",

  // columns and buttons of several parts
  each: "Each",
  itemsColumn: "Items",
  olderOnes: "Older ones",
  restore: "Restore",
  time: "Time",

  // sittings
  allPieces: "All pieces",
  benchTime: "Bench time by step",
  clockRunning: "clock still running: up to the last count",
  correct: "Correct",
  deletedSittings: (n) => `Deleted sittings (${n})`,
  eachTook: (time) => `${time} each`,
  itemsExplained: (items) =>
    `Items are all that were counted. The time for each leaves out ${items} made before the clock ran: the taps that started it.`,
  madeBefore: (n) => `${n} ${n === "1" ? "was" : "were"} made before the clock ran`,
  neverStopped: "clock never stopped: up to the last count",
  newestFirst: "Sittings, newest first",
  noneCounted: "none counted",
  noneTimed: "none timed",
  noSittings: "No sittings yet. The clock starts with your first tap on the [Bench](#bench).",
  olderCount: (n) => `Older ones (${n})`,
  restored: "Restored.",
  setByHand: "◆ set by hand",
  sittingAt: (step, day, time) => `${step}, ${day} ${time}`,
  stepOf: format.stepOf,
  timedOnly: (n) => `${n} timed`,

  // a sitting's fields
  addByHand: "Add a sitting by hand",
  addIt: "Add it",
  addItYes: "Yes, add it",
  added: (what) => `Added: ${what}.`,
  begunAt: "Begun at",
  changeDay: "No, change the day",
  day: forecast.day,
  dayNeeded: "Enter the day of the sitting, with its year.",
  dayToCome: (day) => `${day} is still to come. Enter today or an earlier day.`,
  dayTooEarly: (year) => `The year ${year} cannot be right. Enter a day from 1970 on.`,
  endsTooLate: "The sitting would end after now. Enter an earlier time or fewer minutes.",
  items: "Items made",
  minutes: "Minutes worked",
  timeNeeded: "Enter the time of day, for example 19:30.",
  wasItThen: (day, piece, first) =>
    `${day} is before the first record of ${piece}, ${first}. Was it really that day?`,

  // a sitting corrected or deleted
  clockStopped: "Clock stopped.",
  corrected: (changes) => `Corrected: now ${changes}.`,
  correctYes: "Yes, correct it",
  deleted: "Deleted. Its counts stay.",
  deletedWith: (items) => `Deleted, with its ${items}.`,
  deleteEmpty: "Delete this sitting and its time?",
  deleteHand: (items) => `You added this sitting by hand. Its ${items} are deleted with it.`,
  deleteIt: "Delete it",
  deleteItWith: (items) => `Delete it and its ${items}`,
  deleteSitting: "Delete this sitting",
  deleteTapped: (items) => `Its time is deleted. Should its ${items} stay counted?`,
  deleteTimeKeep: (items) => `Delete the time, keep the ${items}`,
  deleteTimeWith: (items) => `Delete the time and the ${items}`,
  fromTime: (time) => `from ${time}`,
  keepSitting: "Keep the sitting",
  nothingChanged: "Nothing was changed.",
  stopFirst: "Its clock has not been stopped. Stop it first, then correct the sitting.",
  withUntimed: (items) =>
    `Items are all that were counted, with ${items} made before the clock ran.`,

  // counts
  counted: "Counted",
  countsByStep: "Counts by step",
  hereNow: "Here now",
  noCounts: "No piece is planned yet. Once one is, its counts are shown here.",

  // what could not be used, and doubtful taps
  countTouch: (time) => `Yes, count it: the touch of ${time}`,
  countedNow: (items) => `Counted ${items}.`,
  doubtfulTaps: "Doubtful taps",
  doubtfulTapsAbout: "A second touch too soon after the first is counted only if you say so.",
  noDoubtfulTaps: "No doubtful taps.",
  notUsed: "The server could not use these",
  notUsedAbout: "They stay on this device. The server has everything else.",
  countAgain: "Count it again",
  countedAgain: (/** @type {string} */ what) =>
    `Counted again: ${what}. It goes to the server with the next round.`,
  countsHereOnly: "It counts on this device only, so other devices show less.",
  takeOut: "Take it out of the count",
  takenOut: (/** @type {string} */ what) => `Taken out: ${what}.`,
  nothingUnused: "The server has used everything.",
  unknownChange: "A change of this device",

  // two devices disagreed
  keep: "Keep",
  neverTwice: "No two devices have entered different values.",
  replaced: (value) => `○ Replaced: **${value}**`,
  twiceAbout:
    "Two devices changed the same field before they were in touch. The later value is used until you decide. Nothing is lost.",
  valueRestored: (value) => `${value} is restored.`,
  usedNow: (value) => `● Used now: **${value}**`,
  valueStays: (value) => `${value} stays.`,

  // changes
  firstChange: "That is the first change.",
  noChanges: "No changes yet.",
  olderChanges: "Older changes",
  takenBack: "↶ taken back",

  // a change as a sentence
  anotherDevice: "another device",
  anotherDeviceNumber: (n) => `another device (${n})`,
  asOf: (change, time) => `${change} as of ${time}`,
  because: (change, why) => `${change} (${why})`,
  countedHow: {
    tap: (n) => `Counted ${n}`,
    weigh: (n) => `Counted ${n} by weight`,
    hand: (n) => `Counted ${n} by hand`,
  },
  doubtfulTap: (n) => `Doubtful tap of ${n}, not counted`,
  events: {
    start: "Clock started",
    pause: "Clock paused",
    go: "Clock resumed",
    stop: "Clock stopped",
    trim: "Bench time corrected",
    correct: "Sitting corrected",
    other: "Clock changed",
  },
  fewer: (n) => `Sitting corrected, ${n} fewer`,
  forecastKept: "Forecast of the day kept",
  leftEmpty: (field) => `${field} left empty`,
  more: (n) => `Sitting corrected, ${n} more`,
  of: (what, details) => `${what}: ${details}`,
  sittingChange: {
    begun: (time) => `begun ${time}`,
    deleted: "deleted",
    deletedWithCounts: "deleted, with its counts",
    moved: (to) => `moved to ${to}`,
    restored: "restored",
    restoredWithCounts: "restored, with its counts",
  },
  spoiledCount: (n) => `Spoiled ${n}`,
  tapConfirmed: "a doubtful tap confirmed",
  thingDeleted: (thing) => `${thing} deleted`,
  thingRestored: (thing) => `${thing} restored`,
  thisDevice: "this device",
  thisDeviceNamed: (name) => `${name} (this device)`,
  timeKept: (all, kept) => `of ${all} kept ${kept}`,
  timeSet: (time) => `set to ${time}`,
  tookBack: (n) => `Took back ${n}`,
  tookBackSetCount: "Took back a set count",
  tookBackSpoiled: (n) => `Took back ${n} spoiled`,
  unknownKind: "A change made by a newer version, which this one cannot show",
  withMore: (what, more) => `${what}, ${more}`,

  // things and values of a change
  aCost: "a cost",
  aMaterial: "something",
  aStep: "a step",
  called: (what, name) => `${what} ${name}`,
  daysFromTo: (days, from, to) => `${days}, from ${from} to ${to}`,
  deletedThing: (kind) => `a deleted ${kind}`,
  goodAndSpoiled: (step, good, bad) => `${step}: ${good} good, ${bad} spoiled`,
  joined: "joined",
  joinedPanels: (how, panels) => `${how}: ${panels.join(" and ")}`,
  no: "no",
  nothing: "nothing",
  off: "off",
  ofThing: (what, whose) => `${what} of ${whose}`,
  on: "on",
  per1000Rings: (amount) => `${amount} for 1000 rings`,
  swatchOf: (rings, rows) => `Swatch of ${rings} by ${rows}`,
  times: (n, item) => `${n} × ${item}`,
  trial: (items, time) => `${items} in ${time}`,
  trialOn: (items, time, day) => `${items} in ${time} on ${day}`,
  yes: "yes",

  // past forecasts
  claims: {
    finish80: "Done by the safe date",
    hours80: "Bench hours no more than the safe figure",
    span: "Done within the range of dates that should be right 8 times in 10",
    hoursSpan: "Bench hours within the range that should be right 8 times in 10",
  },
  doneOn: (day) => `Done on ${day}.`,
  eachForecast: "Each forecast kept",
  forecastLine: (piece, day, safe, low, high) =>
    `**${piece}**, ${day}: safe ${safe}, ${low} to ${high} left`,
  forecastLineNever: (piece, day, low, high) =>
    `**${piece}**, ${day}: no safe date, ${low} to ${high} left`,
  forecastsAlike:
    "Forecasts of one piece on neighbouring days are much alike, so a few pieces prove little.",
  forecastsRight: "Were the dates right?",
  held: "Was right",
  heldOf: (held, of) => `${held} of ${of}`,
  noForecasts:
    "No forecasts yet. From now on one a day is kept for each piece, and checked when the piece is done.",
  noneSettled: "none decided yet",
  should: "Should be",
  verdicts: { open: "○ not decided yet", right: "● right", wrong: "▲ wrong" },
  whatWeForecast: "What we forecast",

  // job sheets
  card: {
    for: "For",
    made: "Made",
    fire: "Fire",
    without: "Done without",
    reels: "Made of",
    holds: "Holds",
    counted: "Counted",
  },
  fire: {
    zinc: "Zinc-coated wire is in it: never heat it.",
    unknown: "Wire not known to be bare is in it: never heat it.",
  },
  madeFromTo: (from, to, hours) => `${from} to ${to}, ${hours} at the bench`,
  measured: (state) => `measured ${state}`,
  noCards:
    "No pieces yet. [Plan the first one](#plan/new): its job sheet keeps ring, wire and rules for a repair.",
  noSwatch: "no swatch",
  now: "now",
  ownRing: (ring) => `its own ring: ${ring}`,
  printCards: "Print the job sheets",
  cameTo: (size) => `comes to ${size}`,
  ringLap: (lap) => `overlap ${lap} mm`,
  neverHeat: "zinc-coated, never heat it",
  ringsIn: (rings, closed, open) => `${rings} rings: ${closed} closed, ${open} open`,
  roundRivet: (rivet) => `round rivet ${rivet} mm`,
  swatchSize: (columns, rows, width, height, state) =>
    `swatch ${columns} × ${rows} on ${width} × ${height} mm, ${state}`,
  wedgeRivet: (rivet) => `wedge rivet ${rivet} mm`,
  weighs: (weight) => `about ${weight}`,
  // end of records
};

/** Stock. @satisfies {Texts} */
export const stock = {
  // wire
  noWire: "No wire yet, and no piece needs any. Add a reel below: weighing it is enough.",
  onHand: (length, mass) => `▬ on hand ${length} m (${mass} kg)`,
  reserve: (length) => `In reserve besides: ${length} m.`,
  reserveAndBuy: (reserve, length, mass) =>
    `In reserve besides: ${reserve} m. To buy: ${length} m, ${mass} kg.`,
  stillToUse: (length, mass) => `╌ still to use ${length} m (${mass} kg)`,
  wireAndNeed: (held, needed) => `${held} m on hand, ${needed} m still to use`,
  wireSize: (metal, wire) => `${metal} ${wire} mm`,

  // ordering
  ordering: "Ordering",
  orderingHint:
    "The day to order follows from the dates: each piece uses its wire evenly until it is likely done.",

  // reels
  addReel: "Add a reel",
  batchHint: "For the piece's job sheet: a repair years later needs the same wire.",
  change: (reel) => `Change ${reel}`,
  holds: (mass, length, how) => `**${mass}**, about ${length} m, ${how}`,
  knownBy: { weight: "by weight", given: "as entered", use: "full less what was used" },
  reelLeft: (share) => `Reel, ${share} left`,
  reelNumber: (n) => `Reel ${n}`,
  reels: "Reels",
  removeReel: (reel) => `Remove ${reel}`,
  weighIt: "Weigh it, or enter how much a full one holds.",

  // rings on hand
  addRings: "Add rings",
  deletedRing: "a deleted ring",
  namedRing: (name, ring) => `${name}: ${ring}`,
  ringsHint: "Cut or bought rings that no piece has counted yet. They are used before any wire.",
  // end of stock
};

/** Setup: a file of the log comes in. @satisfies {Texts} */
export const fileIn = {
  title: "Bring in a file",
  about:
    "A backup file that a page has saved (“Save a backup file”, here or on another device), or that `ringwright export` has written at the workshop's computer. Its changes are added to what is here, each one once; what is here already is passed over. You see what is in it before anything is saved.",
  choose: "Choose the file",
  progress: "How far it is",

  // what is in it
  inFile: "What is in the file",
  whose: (mark) => `A file of **workshop ${mark}**.`,
  whoseUnknown: "The file does not say which workshop it belongs to.",
  written: (when) => `Written ${when}.`,
  holds: (changes, fresh) =>
    `It has ${changes}; ${fresh === "0" ? "none is" : fresh === "1" ? "1 is" : `${fresh} are`} new here.`,
  pieces: (names) => `Its pieces: ${names}.`,
  piecesMore: (names, more) => `Its pieces: ${names} and ${more} more.`,
  known: (changes, n) => `${changes} ${n === "1" ? "was" : "were"} here already.`,
  aside: (changes) => `${changes} that the server had set aside: left out.`,
  leftOut: (changes) => `▲ ${changes} left out, since they cannot be counted:`,
  left: (line, what, why) => `Line ${line}, ${what}: ${why}`,
  leftMore: (n) => `and ${n} more.`,
  leftWhy: {
    form: "it is not whole, or a newer version has written it. Update this page, or have the file written again.",
    differs:
      "something else has this number here. Two devices have gone by one name; what is here stays.",
  },

  // what can be done with it
  take: (changes) => `Take in ${changes}`,
  leave: "Leave it",
  nothingNew: "Everything in it is here already. There is nothing to do.",
  nothingElse: "Everything else in it is here already. There is nothing to do.",
  joins: (mark) => `This device has nothing yet: from then on it belongs to **workshop ${mark}**.`,
  ownLife: (changes, n) =>
    `▲ The file has ${changes} of this very device that ${n === "1" ? "is" : "are"} not here: it was put back to an earlier state. They are taken in beside what it has counted since, and the page then reads everything again.`,
  other: (mark) =>
    `It belongs to another workshop, ${mark}, than what is on this device. Nothing was taken in.`,
  otherUnknown: "It belongs to another workshop than what is on this device. Nothing was taken in.",
  keepBoth: "Keep both apart",
  keepBothHow:
    "Bring the file in on a device of its own workshop, or in another browser that has nothing yet. Leave it here.",
  emptyFirst: "Start empty, then bring it in",
  emptyHow:
    "Choose this if what this device has was only a trial: [empty this device](#setup/workshop), then choose the file again.",
  joinTitle: "Bring its records into this workshop",
  joinWhen:
    "Choose this if both are one workshop for good from now on. The pieces of both then stand side by side; where both set the same thing, the later one is used. **This cannot be undone.**",
  join: "Bring them into this workshop …",
  joinQuestion: (changes) => `Bring ${changes} of another workshop into this one for good?`,
  joinYes: "Bring them in",

  // what became of it
  taken: (changes, n) => `${changes} ${n === "1" ? "was" : "were"} taken in.`,
  notTaken: "The file could not be taken in. This device's storage may be full: free some space.",
  cutShort: (changes) =>
    `It stopped after ${changes}. Those are saved; choose the file again to take in the rest. None counts twice.`,
  broken: (line) =>
    `Line ${line} of the file is not whole: it was cut short or changed on its way. Nothing was taken in. Write the file again where it came from.`,
  noLog:
    "This is no backup file of Ringwright. Nothing was taken in. Choose the file that “Save a backup file” or `ringwright export` has written.",
  serversFile:
    "This is a backup of the server's own file. Nothing was taken in. Bring it back at the workshop's computer with `ringwright restore`; a file for the page is made there with `ringwright export --to FILE`.",
  unreadable:
    "The browser could not read the file. Nothing was taken in. Copy it to this device first, then choose it again.",
  // end of file in
};

/** Setup. @satisfies {Texts} */
export const setup = {
  // eyes and hands
  eyesAndHands: "Eyes and hands",
  keepScreenOn: "Keep the screen on while the clock runs",
  measures: "Measures",
  rest: "Rest for the hands",
  restHint: (minutes) =>
    `0 means never. Left empty: ${minutes}. Less than an hour without a break is the lowest band in the Health and Safety Executive's leaflet on repetitive tasks, INDG438 (ART); the figure is from memory and was not checked against the leaflet. This is a reminder, not medical advice.`,
  screen: "Screen",

  // sound and vibration
  hearVoice: "Hear the voice",
  noVibration: "This browser cannot vibrate.",
  noVoice: "No voice is installed on this device, so nothing can be spoken.",
  sound: "Sound and vibration",
  speakHint: (voice) => `0 means never. The voice is “${voice}”, which is on this device.`,
  tryFull: "Try the signal for a full chain",

  // pedals and keys
  clearKey: "Clear key",
  keyOf: (deed) => `${deed}:`,
  noKey: "no key",
  pedals: "Pedals, clickers and keys",
  pedalsHint:
    "Anything that acts as a keyboard. Touch Set key, then press the pedal; Escape leaves it as it is. A key held down counts once.",
  pressFor: (deed) => `Press the key for: ${deed}`,
  pressNow: "press it now",
  setKey: "Set key",

  // the work
  noSteps: "The steps are shown once the engine has started.",
  pace: "Your steps",
  paceHint:
    "A guess is only where the forecast begins; your record soon counts for more. Your experience tells it how much quicker you will still get.",
  reserveHint: (usual) =>
    `For kinked starts, wire held in the mandrel and coils that fail. ${usual} The ends of coils are counted separately.`,
  steps: (n) => `${counted(n, "step")}: guess, batch, experience`,
  timeFor: (unit, item) => `${unit} for one ${item}`,
  week: "Your week",
  weekHint: (usual) =>
    `Only a start: the forecast soon goes by the weeks you have really worked. ${usual}`,
  wire: "Your wire",

  // what this device keeps
  atRisk: (changes, n) =>
    `▲ Not installed: ${changes} not yet on the server ${n === "1" ? "is" : "are"} at risk if the browser clears its data.`,
  atRiskAlone:
    "▲ Not installed: if the browser clears its data, what is not in a copy is gone. Install the page, and save a copy now and then.",
  atRiskCarried:
    "▲ Not installed: what came in by file is not on the server yet, so keep the file.",
  atRiskNothing: "○ Not installed: everything counted here is on the server.",
  atRiskNothingElsewhere:
    "○ Not installed: everything counted here is on its own workshop's server.",
  inUse: (megabytes) => `About ${megabytes} MB in use.`,
  installed: "● Installed on this device.",
  kept: "Kept on this device",
  keptAlone:
    "This page has no server: everything you count is kept here and nowhere else, until you save a copy.",
  lastCopy: (when) => `Last copy: ${when}.`,
  noCopy: "No copy has been saved from this device yet.",
  notCarried: "▲ What came in by file is not on the server yet: keep the file.",
  notCopied: (changes, n) => `${changes} ${n === "1" ? "is" : "are"} only here, in no copy.`,
  notSent: (changes, n) =>
    `${changes} ${n === "1" ? "is" : "are"} only here, not on the server yet.`,
  sinceWhen: (changes, when) => `${changes} (the oldest of ${when})`,
  persist: "Protect these records from being cleared",
  persisted: {
    yes: "● This browser has promised not to clear these records by itself.",
    no: "▲ This browser may clear these records when space runs short.",
    unknown: "▲ This browser does not tell whether it keeps these records.",
  },
  persistRefused:
    "The browser did not agree. Install the page, use it for a few days, and try again; until then keep a backup file.",

  // installing
  install: "Install it",
  installWaysAlone: [
    "Android, Chromium: the browser's menu, then “Install app” or “Add to home screen”.",
    "iPhone and iPad: the share button, then “Add to Home Screen”. The installed page keeps records of its own: save a backup file here first, then open the installed page and bring the file in.",
    "Computer: the install button in the address bar, or the browser's menu.",
  ],
  installWays: [
    "Android, Chromium: the browser's menu, then “Install app” or “Add to home screen”.",
    "iPhone and iPad: the share button, then “Add to Home Screen”. The installed page keeps records of its own: wait until everything is sent to the server, then open the installed page. It first asks for a code of its own (Setup, Add a phone, on a paired device or at the workshop's computer); once paired, it fetches them.",
    "Computer: the install button in the address bar, or the browser's menu.",
  ],

  // the browser
  browser: "This browser",
  lacksNothing: "It has everything the Bench uses.",
  notOffline: "This page does not work offline yet.",
  offline: (version) => `This page works offline. Its version is ${version}.`,

  // whose counts these are
  anotherWorkshop: "This device's counts belong to another workshop.",
  belongs: (mark) => `This device's counts belong to **workshop ${mark}**.`,
  belongsAlone: (mark) =>
    `This device's counts belong to **workshop ${mark}**, which begins with them: there is no server. A device that brings in a file from here before it has counted anything belongs to it too.`,
  belongsServed: (mark) =>
    `This device's counts belong to **workshop ${mark}**. The server shows the same name when it starts. A server of another workshop gets nothing from here.`,
  broughtRefused: (changes) =>
    `▲ ${changes} that came along could not be counted there, because others have their numbers. The server keeps them aside.`,
  holds: (changes) => `It has ${changes}, all on its server.`,
  holdsWaiting: (changes, waiting) =>
    `It has ${changes}, ${waiting} of them not on its server yet.`,
  noWorkshop: "This device belongs to no workshop yet: it joins the first server it meets.",
  piecesHere: (names) => `Its pieces: ${names}.`,
  piecesMore: (names, more) => `Its pieces: ${names} and ${more} more.`,
  served: (mark) =>
    `The server that answers here keeps **workshop ${mark}**. Nothing goes from one to the other unless you choose so below. You can go on counting meanwhile.`,
  twoWorkshops: "▲ Two workshops at one address",
  workshop: "Workshop",

  // the ways out
  bringTitle: "Bring this device's records over",
  bringWhen: (mark) =>
    `Choose this if the file of the old workshop is lost, or these counts belong to **workshop ${mark}**.`,
  bringOver: "Bring the records over",
  bringFirst: (changes, mark) =>
    `${changes} go to **workshop ${mark}** as they are: this device's own and those it got from other devices. From then on this device belongs there.`,
  bringMerge:
    "The pieces of both then stand side by side. Where both set the same thing, such as the hours of a week, the later one is used. Only a backup of the server can undo this: make one first, with `ringwright backup`.",
  bringQuestion: (changes, mark) => `Bring ${changes} into workshop ${mark} for good?`,
  bringYes: "Bring them over",
  keepBoth: "Keep both, each at its own address",
  keepBothHow:
    "A browser keeps its records separately for each address. Stop the server and start it with a port of its own, for example `ringwright serve --port 8757`, then open the address it prints. (The demo has its own: 8747.) When this device's own workshop is served here again, its counts are sent there as before.",
  emptyDevice: "Empty this device",
  emptyFirst: (changes) =>
    `Everything that Ringwright keeps in this browser is erased: ${changes}, the pieces, unfinished plans, this device's settings. The server's file stays.`,
  emptyAlone: "**▲ There is no server: what is not in a copy is lost.**",
  emptyLost: (n) =>
    `**▲ ${n === "1" ? "1 change is" : `${n} changes are`} on no server yet and would be lost.**`,
  emptyNothingLost: "The server of its workshop has them all, as far as this device knows.",
  emptyQuestion: (changes) => `Erase ${changes} from this device now?`,
  emptyRestore: "A backup file brings them back: `ringwright import` reads it.",
  emptyRestoreAlone: "A backup file brings them back: see “Bring in a file”.",
  emptyTitle: "Start empty",
  emptyWhen: "Choose this if what this device has was only a trial.",
  thenFetches: "It then fetches what its workshop's server holds.",
  thenJoins: (mark) => `It then belongs to workshop ${mark} and fetches what that holds.`,
  asking: (action) => `${action} …`,
  continue: "Continue",
  continueWithout: "Continue without a backup",
  failed: (why) => `It could not be done: ${why}`,
  leave: "Leave everything as it is",
  saveFirst: "Save a backup file first",
  written: (file) => `Saved to ${file}.`,
  // end of setup
};

/** Setup: where the counts are, paired devices, codes for others, this device's own pairing. @satisfies {Texts} */
export const pairing = {
  titles: { add: "Add a phone", devices: "Paired devices", pair: "Pair this device" },
  back: "← Setup",
  kinds: app.kinds,
  names: app.names,
  looking: "Asking the server …",
  leave: "Leave it as it is",
  asking: (action) => `${action} …`,

  // what the server answers, or does not
  answered: (status) => `The server answered ${status} and gave no reason.`,
  away: (address) => `Nothing answers at ${address}.`,
  awayList:
    "The workshop's computer may be off, or this device is on another network. The list is shown once it answers.",
  awayPair: "Switch the workshop's computer on and come to its network first.",
  lookAgain: "Ask again",
  needsNone: (device) =>
    `This ${device} needs no pairing: the server lets in every browser on its own computer.`,
  unpairedHere: (device) =>
    `This ${device} is not paired with the workshop. Nothing is lost by that: what is counted here stays here, and is sent as soon as it is paired.`,

  // where the counts are
  where: "Where your counts are",
  allThere: (time) => `● All that was counted here is on the workshop's server (${time}).`,
  notLooked: "The server has not been asked yet.",
  sending: (done, changes) =>
    `${done} of ${changes} sent to the server. You can go on counting meanwhile; if the network breaks off, the rest follows later.`,
  fetching: (done, changes) =>
    `${done} of ${changes} of your other devices fetched from the server. You can go on counting meanwhile; totals and dates are complete when all are here.`,
  onlyHere: (changes, n, device) =>
    `${changes} ${n === "1" ? "is" : "are"} only on this ${device} so far.`,
  goesByItself: "Everything stays here and is sent by itself as soon as it can be.",
  notTaken: (why) => `The server answered, but did not take it: ${why}`,
  otherThere: "Another workshop's server answers here. What to do stands above.",
  backupLast: (time, folder) =>
    folder
      ? `Last good backup of the server: ${time}, in ${folder}.`
      : `Last good backup of the server: ${time}.`,
  backupNone: "The server has no good backup yet.",
  backupTrouble: (why) => `The last backup did not succeed: ${why}`,
  fine: (words) => `● ${words}`,
  moved: "Has the server moved?",
  belongsHere: (address) =>
    `This page belongs to ${address} and keeps its records for that address alone. It opens without the server, too.`,
  lastAnswer: (time) => `The server last answered there: ${time}.`,
  neverAnswered: "No server has answered there yet.",
  otherAddresses: "Its server could also be reached at:",
  noOther:
    "No other address of it is known here. The workshop's computer shows its address in the server's window.",
  carryOver:
    "If it answers only at another address now, your counts stay here until you carry them over:",
  carrySave: "Save the file",
  carrySteps: [
    "Save the file here.",
    "Open the new address and pair there.",
    "Bring the file in there, in Setup. What the workshop has already is not counted twice.",
  ],

  // paired devices
  devices: "Paired devices",
  addPhone: "Add a phone",
  name: "Name",
  nameMissing: "Name: enter a name, such as Anvil phone.",
  nameOf: (device) => `Name of this ${device}`,
  rename: "Rename",
  renamed: (name) => `It is called ${name} now.`,
  remove: "Remove",
  removeOthers: "Remove all others",
  lastSeen: (time) => `last seen ${time}`,
  thisOne: (device) => `this ${device}`,
  nonePaired: "No device is paired yet.",
  removingKeeps:
    "Removing a device keeps its counts. It can send and read nothing more. What it had not sent yet stays on it.",
  removeQuestion: (name) => `Remove ${name}?`,
  removeMeans:
    "Its counts stay in the workshop. From the next moment it can send and read nothing. What it had not sent yet stays on it, and is sent once it is paired again.",
  removeYes: "Remove it",
  removedNow: (name) => `${name} is removed.`,
  othersQuestion: (n) => `Remove the ${n} other devices?`,
  othersYes: "Remove them",
  othersRemoved: "All other devices are removed.",
  removedDevices: (n) => `Removed devices: ${n}`,
  removedAt: (time) => `removed ${time}`,

  // this device itself
  ownQuestion: (device) => `Remove this ${device} from the workshop?`,
  ownAllSent: "All that was counted here is on the server.",
  ownWaiting: (changes, device) =>
    `▲ On no server yet: ${changes}. They are only on this ${device}.`,
  ownMeans:
    "Its records stay here unless you choose otherwise; it sends and fetches nothing more until it is paired again.",
  sendNow: "Send them now",
  emptyToo: "Also erase what Ringwright keeps in this browser",
  emptyHint: (device) => `For a ${device} that you give away or share.`,
  emptyLoses: (changes) => `Lost for good, unless they are in a backup file: ${changes}.`,
  ownYes: "Remove it, keep the records",
  ownEmptyYes: "Remove it and erase everything",
  ownRemoved: (device) => `This ${device} is removed. Its records are still here.`,
  moreCameIn: "More was counted in the meantime, so nothing was erased. Look at it again.",

  // a code for another device
  sameNetwork: "The phone must be on the same network as the workshop's computer.",
  noPhone:
    "No phone can reach this server: it answers only on its own computer. Stop it and start it with `ringwright serve --lan`. With the code below another browser on this computer is paired.",
  noCode: "No code is open.",
  newCode: "New code",
  another: "Add another",
  stop: "Stop",
  orType: (address) => `Or open ${address} there and type:`,
  typeHere: (address) => `Open ${address} in the other browser and type:`,
  codeSpelled: (letters) => `The code: ${letters}`,
  timeLeft: (min, s) => `${min} min ${s} s left`,
  timeLeftOf: "Time left of ten minutes",
  forOne: "for one device",
  waitingHere: "Waiting for the other browser. Five wrong codes end it.",
  waitingFor: "Waiting for the phone. Five wrong codes end it.",
  codeEnded: "This code has ended. Nobody has used it.",
  joined: (name) => `● Paired: ${name}`,
  android: "Android",
  iphone: "iPhone",
  androidSteps: {
    scan: ["Scan the square", "Point the camera at it and open the page."],
    trust: [
      "Trust this workshop",
      "The page shows each touch. Compare the groups before you open the workshop.",
    ],
    install: ["Install Ringwright", "In the browser's menu: Install app."],
  },
  iphoneSteps: {
    scan: ["Scan the square", "Point the camera at it and open the page in Safari."],
    trust: [
      "Trust this workshop",
      "The page shows each touch. Compare the groups before you open the workshop.",
    ],
    install: ["Add to Home Screen", "The share button, then Add to Home Screen."],
    type: [
      "Type a code there",
      "The page on the Home Screen keeps records of its own: touch New code here and type it there.",
    ],
  },
  yours: "Is it your workshop?",
  yoursHow: (n) =>
    `When the file is installed, the phone shows its SHA-256 fingerprint (often as pairs: two pairs make one group). It must be these ${n} groups. If one differs, stop and take the file off again.`,

  // this device's pairing
  code: "Code",
  codeHint: "Eight letters. Small letters, spaces and hyphens are fine.",
  pairAbout: (device) =>
    `Once this ${device} is paired, its counts go to the workshop's computer, and those of the other devices come here.`,
  pairWaiting: (changes, n) =>
    `${changes} ${n === "1" ? "waits" : "wait"} here and ${n === "1" ? "is" : "are"} sent then.`,
  pairNow: (device) => `Pair this ${device}`,
  pairingNow: app.pairingNow,
  whereCode: "Where the code comes from",
  codeWays: [
    "On the workshop's computer: Setup, then Add a phone.",
    "Or in a terminal there: ringwright pair.",
    "A page installed on the Home Screen of an iPhone needs a code of its own, even where Safari is paired already.",
  ],
  isPaired: (device) => `This ${device} is paired`,
  isPairedAbout:
    "It works with the computer off too. Whatever you count here is sent when both meet.",
  cameOver: (pieces, time) => `● Here from the workshop: ${pieces} (${time})`,
  comingOver: (changes) => `◐ Still to be sent: ${changes}`,
  isInstalled: "● Installed: opens from its icon, also without a network",
  notInstalled: {
    computer: "○ Not installed yet: the install button in the address bar",
    phone:
      "○ Not installed yet: the browser's menu, then Install app; on an iPhone the share button, then Add to Home Screen",
    tablet:
      "○ Not installed yet: the browser's menu, then Install app; on an iPad the share button, then Add to Home Screen",
  },
  isKept: "● The browser has promised not to clear these records",
  notKept: "○ The browser may clear these records when space runs short: see Setup",
  toBench: "Go to the Bench",
  // end of pairing
};

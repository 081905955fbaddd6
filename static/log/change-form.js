// The form of a change that comes by file: the engine's `log/schema.py` says the same, and a test holds the two
// together. What a server hands out was checked there.

/** @typedef {(value: any) => boolean} Check */
/** @typedef {Record<string, Check>} Shape */

const LAST = Number.MAX_SAFE_INTEGER,
  LAST_MS = 4102444800000, // 2100-01-01
  MOST_AT_ONCE = 1000000,
  NODES = 20000;

/** @param {number} least @param {number} most @returns {Check} */
const whole = (least, most) => (value) =>
  Number.isSafeInteger(value) && least <= value && value <= most;
/** @param {number} least @param {number} most in letters as the engine counts them @returns {Check} */
const letters = (least, most) => (value) =>
  typeof value === "string" &&
  least <= value.length &&
  (value.length <= most || [...value].length <= most);
/** @param {string[]} words @returns {Check} */
const oneOf = (words) => (value) => words.includes(value);

const seq = whole(1, LAST),
  natural = whole(0, LAST),
  ms = whole(0, LAST_MS),
  text = letters(1, 200),
  note = letters(0, 2000);
/** @type {Check} */
const items = (value) => whole(-MOST_AT_ONCE, MOST_AT_ONCE)(value) && value !== 0;
/** @type {Check} */
const minutes = (value) => typeof value === "number" && 0 <= value && value <= 100000;
/** @type {Check} */
const yes = (value) => typeof value === "boolean";
/** @type {Check} */
const isObject = (value) => value !== null && typeof value === "object" && !Array.isArray(value);
/** @type {Check} */
const target = (value) => isObject(value) && text(value.device) && seq(value.seq);
/** @type {Check} */
const targets = (value) => Array.isArray(value) && value.length <= 100 && value.every(target);
/** @type {Check} */
const stamp = (value) =>
  Array.isArray(value) && value.length === 2 && ms(value[0]) && natural(value[1]);

/** Of a fair size; without recursion, for deep nests. @type {Check} */
function json(value) {
  const heap = [value];
  for (let met = 0; heap.length; met++) {
    if (met === NODES) return false;
    const one = heap.pop();
    if (one !== null && typeof one === "object") heap.push(...Object.values(one));
    else if (typeof one === "number" && !(Math.abs(one) < 1e300)) return false;
  }
  return true;
}

/** What each kind must have. @type {Shape} */
const HEAD = { device: text, seq, at: ms, tz: whole(-1440, 1440), v: whole(1, 1) };
/** @type {Shape} */
const COUNTED = { piece: text, step: text, n: items };
/** @type {Shape} */
const WHERE = { panel: text, sitting: text, undoes: target };
/** @type {Record<string, [needed: Shape, may: Shape]>} */
const SHAPES = {
  count: [
    COUNTED,
    {
      ...WHERE,
      how: oneOf(["tap", "weigh", "hand", "stocktake", "correct"]),
      opens: yes,
      holds: target,
      found: natural,
    },
  ],
  scrap: [COUNTED, { ...WHERE, why: note }],
  sitting: [
    {
      sitting: text,
      piece: text,
      step: text,
      event: oneOf(["start", "pause", "go", "stop", "trim", "correct"]),
    },
    {
      from_ms: ms,
      to_ms: ms,
      keep_min: minutes,
      minutes,
      to_piece: text,
      to_step: text,
      deleted: yes,
      uncounted: yes,
      stamp,
    },
  ],
  set: [
    { thing: text, id: text, field: text },
    { value: json, stamp, over: targets },
  ],
  hold: [COUNTED, { why: note, sitting: text }],
};
const CORRECTED = ["from_ms", "to_piece", "to_step", "deleted", "uncounted"];

/** @param {any} c */
const signOf = (c) => (c.undoes ? c.n < 0 : c.n > 0);

/** What fields say together. @type {Record<string, Check>} */
const TOGETHER = {
  count(c) {
    if (c.how === "correct") return Boolean(c.sitting || c.undoes);
    if (c.how !== "stocktake") return signOf(c);
    return (
      Boolean(c.undoes) ||
      (c.found != null && ["sitting", "opens", "holds"].every((name) => c[name] == null))
    );
  },
  scrap: signOf,
  sitting(c) {
    if (c.event === "correct") return CORRECTED.some((name) => c[name] != null);
    if (c.event !== "trim" || c.minutes != null) return true;
    return c.from_ms != null && c.to_ms != null && c.keep_min != null && c.from_ms <= c.to_ms;
  },
  hold: (c) => c.n > 0,
};

/** Whether this can be taken in. @param {any} c what JSON can hold @returns {c is import("../types").Change} */
export function isChange(c) {
  if (!isObject(c) || typeof c.kind !== "string" || !Object.hasOwn(SHAPES, c.kind)) return false;
  const [needed, may] = SHAPES[c.kind];
  const good =
    Object.entries({ ...HEAD, ...needed }).every(([name, check]) => check(c[name])) &&
    Object.entries(may).every(([name, check]) => c[name] == null || check(c[name]));
  return good && (TOGETHER[c.kind]?.(c) ?? true);
}

// How good past forecasts were: for each one kept, whether what came true lay within what was said.
// Only what is settled counts: the piece is done, or the day or hours said are already passed.

/** @typedef {import("../entities").SavedForecast["said"]} Said */
/** @typedef {{piece: string, day: string, ms: number, said: Said}} Kept */
/**
 * @typedef {{finish80: boolean | null, hours80: boolean | null, span: boolean | null, hoursSpan: boolean | null}} Verdict null: not settled yet
 */

/** The places of 10 % and 90 % in the levels asked beside the usual ones. */
export const LEVELS = [0.1, 0.9];

/**
 * @param {{key: string, id: string, fields: Record<string, import("../types").Field>}[]} rows
 *   things of kind forecast
 * @returns {Kept[]} oldest first
 */
export function keptForecasts(rows) {
  return rows
    .map((r) => ({ ...r, said: /** @type {Said | undefined} */ (r.fields.said?.value) }))
    .flatMap(({ said, ...r }) => {
      if (!said?.hours || !said.finish) return [];
      const cut = r.id.lastIndexOf(":");
      const [piece, day] = [r.id.slice(0, cut), r.id.slice(cut + 1)];
      return [{ piece, day, ms: r.fields.said.stamp[0], said }];
    })
    .sort((a, b) => a.ms - b.ms);
}

/**
 * A bound said against what is known: held once it came true in time, broken once passed, else open.
 * @template T @param {T | null | undefined} bound @param {T} reached so far @param {boolean} over it is finished
 */
const within = (bound, reached, over) =>
  bound == null ? null : reached > bound ? false : over ? true : null;

/**
 * @param {Kept} kept @param {{end: string | null, today: string, hours: number, addDays: (day: string, n: number) => string}} known
 *   `end`: the day the piece was done; `hours`: bench hours on it since the forecast
 * @returns {Verdict}
 */
export function judge({ day, said }, { end, today, hours, addDays }) {
  const reached = end ?? today,
    over = end !== null;
  const [low, high] = (said.days_at ?? []).map((d) => addDays(day, d)),
    [least, most] = said.hours_at ?? [];
  const both = (/** @type {boolean | null} */ inTime, /** @type {boolean | null} */ notBefore) =>
    inTime === false ? false : inTime === null ? null : notBefore;
  return {
    finish80: within(said.finish.p80, reached, over),
    hours80: within(said.hours.p80, hours, over),
    span: both(within(high, reached, over), low == null ? null : reached >= low),
    hoursSpan: both(within(most, hours, over), least == null ? null : hours >= least),
  };
}

/** @param {Verdict[]} verdicts @param {keyof Verdict} what */
export function tally(verdicts, what) {
  const settled = verdicts.map((v) => v[what]).filter((v) => v !== null);
  return { held: settled.filter(Boolean).length, of: settled.length };
}

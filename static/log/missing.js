// A number whose change is not sent: the server takes each device's numbers without a gap, and uses it up.

/** @typedef {import("../types").Change} Change */

/** The place of a change that is not sent. @param {Change} near @param {number} seq @returns {Change} */
export const missing = ({ device, at, tz }, seq) =>
  /** @type {Change} */ (/** @type {unknown} */ ({ device, seq, at, tz, v: 1, kind: "missing" }));

// Vibration, where the browser has it. Never the only sign: some browsers lack it, some only say they have it.

/** @type {Record<string, number[]>} ms on, off, on */
const PATTERNS = { tap: [12], full: [70, 60, 140], perhaps: [25, 40, 25], back: [40] };

export const canBuzz = () => typeof navigator.vibrate === "function";

/** @param {string} name */
export function buzz(name) {
  if (canBuzz()) navigator.vibrate(PATTERNS[name] ?? [12]);
}

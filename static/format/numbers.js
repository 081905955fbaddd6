// Numbers as text. A narrow space separates thousands: a comma or a point would be read as a decimal
// sign in one half of the world.

const SPACE = "\u202f";

/** @param {number | null | undefined} x @param {number} [places] */
export function figure(x, places = 0) {
  if (x == null || !Number.isFinite(x)) return "–";
  const [whole, tail] = Math.abs(x).toFixed(places).split(".");
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, SPACE) : whole;
  return (
    (x < 0 && Number(Math.abs(x).toFixed(places)) ? "−" : "") + grouped + (tail ? `.${tail}` : "")
  );
}

/** Rounded to so many leading figures, for lengths and weights. @param {number} x @param {number} [figures] */
export function about(x, figures = 3) {
  if (!x) return "0";
  const places = Math.max(0, figures - 1 - Math.floor(Math.log10(Math.abs(x))));
  return figure(x, Math.min(places, 4));
}

/** @param {number} g */
export const weight = (g) => (Math.abs(g) >= 1000 ? `${about(g / 1000)} kg` : `${about(g)} g`);

/** @param {number} share 0 to 1; never 100 % before the last one is made */
export function percent(share) {
  const whole = Math.floor(share * 100 + 1e-9);
  return `${share > 0 && whole === 0 ? "<1" : whole} %`;
}

// What kind of thing this browser runs on, by what it says of itself: only for the name that a form begins with.

/** @returns {"phone" | "tablet" | "computer"} */
export function deviceKind() {
  const { userAgent, maxTouchPoints } = navigator;
  const handheld = /Mobile|iPhone|iPod/.test(userAgent);
  if (/iPad|Tablet/.test(userAgent)) return "tablet";
  if (/Macintosh/.test(userAgent) && maxTouchPoints > 1) return "tablet"; // an iPad that asks for a desk's pages
  if (/Android/.test(userAgent)) return handheld ? "phone" : "tablet";
  return handheld ? "phone" : "computer";
}

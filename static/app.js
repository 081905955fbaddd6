// The frame: which screen stands, the links between them, what the whole page has to say.
import { store } from "./store.js";
import { keepOffline } from "./offline.js";
import { applyTheme } from "./theme.js";
import { Notices } from "./notices.js";

/** @type {[string, string][]} */
const ROOMS = [["bench", "Bench"], ["pieces", "Pieces"], ["forecast", "Forecast"], ["stock", "Stock"], ["records", "Records"], ["setup", "Setup"]];
/** @type {Record<string, () => Promise<unknown>>} */
const SCREENS = {
  bench: () => import("./screens/bench.js"),
  pieces: () => import("./screens/pieces.js"),
  plan: () => import("./screens/plan.js"),
  forecast: () => import("./screens/forecast.js"),
  stock: () => import("./screens/stock.js"),
  records: () => import("./screens/records.js"),
  setup: () => import("./screens/setup.js"),
};

const main = /** @type {HTMLElement} */ (document.getElementById("main"));
const rooms = /** @type {HTMLElement} */ (document.getElementById("rooms"));
const carried = /** @type {HTMLElement} */ (document.getElementById("carried"));
const notices = new Notices(/** @type {HTMLElement} */ (document.getElementById("notices")));
/** @type {Map<string, HTMLElement & {show?: (rest: string[]) => void}>} */
const standing = new Map();

/** @returns {string[]} screen and the rest of the way */
function way() {
  const parts = location.hash.slice(1).split("/").filter(Boolean);
  return SCREENS[parts[0]] ? parts : ["bench"];
}

function drawRooms() {
  rooms.replaceChildren(...ROOMS.map(([name, word]) => {
    const link = document.createElement("a");
    link.href = `#${name}`;
    link.textContent = word;
    link.dataset.room = name;
    return link;
  }));
}

/** @param {string} name */
async function screen(name) {
  await SCREENS[name]();
  let element = standing.get(name);
  if (!element) {
    element = document.createElement(`rw-${name}`);
    standing.set(name, element);
    main.append(element);
  }
  return element;
}

async function go() {
  const [name, ...rest] = way();
  const element = await screen(name);
  if (way()[0] !== name) return; // the maker has gone on meanwhile
  for (const [other, e] of standing) e.hidden = other !== name;
  element.show?.(rest);
  document.documentElement.dataset.screen = name;
  document.title = `${element.title || ROOMS.find(([n]) => n === name)?.[1] || "Plan"} – Ringwright`;
  const room = name === "plan" ? "pieces" : name;
  for (const link of rooms.querySelectorAll("a")) {
    if (link.dataset.room === room) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
}

const SAID = { idle: "Not sent yet", offline: "No server: kept here", syncing: "Sending", synced: "Sent to the server", refused: "Something was put aside" };

/** The third state of a count: pressed, saved here, with the server. */
function sayCarried() {
  const { state, waiting } = store.sync;
  carried.dataset.state = waiting && state === "synced" ? "idle" : state;
  carried.textContent = waiting ? `${SAID[state === "synced" ? "idle" : state]} · ${waiting}` : SAID[state];
}

async function begin() {
  drawRooms();
  store.addEventListener("trouble", (e) => notices.say("trouble", /** @type {CustomEvent} */ (e).detail.why));
  SCREENS[way()[0]]().catch(() => {}); // read while the store opens; `go` says what is wrong with it
  await store.open();
  applyTheme(store);
  store.addEventListener("things", () => applyTheme(store));
  store.addEventListener("sync", sayCarried);
  addEventListener("hashchange", go);
  await go();
  document.documentElement.dataset.ready = "yes";
  requestAnimationFrame(() => setTimeout(() => {
    store.start();
    keepOffline((apply) => notices.offer("A new version is ready. Your counts stay.", "Use it now", apply)).catch((error) =>
      notices.say("offline", `This page cannot be kept for use without the server here: ${error.message}`));
  }));
}

begin().catch((error) => notices.say("start", `Ringwright could not open its store on this device: ${error.message}. Private windows and full devices refuse it; try an ordinary window, or free some space.`));

// The frame: which screen stands, the links between them, what the whole page has to say.
import { store } from "./store/store.js";

/** @type {[string, string][]} */
const ROOMS = [
  ["bench", "Bench"],
  ["pieces", "Pieces"],
  ["forecast", "Forecast"],
  ["stock", "Stock"],
  ["records", "Records"],
  ["setup", "Setup"],
];
/** @type {Record<string, () => Promise<unknown>>} */
const SCREENS = {
  bench: () => import("./screens/bench/bench.js"),
  pieces: () => import("./screens/pieces/pieces.js"),
  plan: () => import("./screens/plan/plan.js"),
  forecast: () => import("./screens/forecast/forecast.js"),
  stock: () => import("./screens/stock/stock.js"),
  records: () => import("./screens/records/records.js"),
  setup: () => import("./screens/setup/setup.js"),
};

const main = /** @type {HTMLElement} */ (document.getElementById("main"));
const rooms = /** @type {HTMLElement} */ (document.getElementById("rooms"));
const carried = /** @type {HTMLElement} */ (document.getElementById("carried"));
/** @type {Map<string, HTMLElement & {show?: (rest: string[]) => void, surround?: () => Promise<void>}>} */
const standing = new Map();

/** What the whole page has to say. @type {Promise<import("./ui/notices.js").Notices> | undefined} */
let notices;
const telling = () =>
  (notices ??= import("./ui/notices.js").then(
    ({ Notices }) => new Notices(/** @type {HTMLElement} */ (document.getElementById("notices"))),
  ));

/** @param {string} key @param {string} text */
const tell = (key, text) => telling().then((place) => place.say(key, text));

/** The style sheets that the first pad can do without. @type {Promise<void[]> | undefined} */
let dressed;
const dress = () =>
  (dressed ??= Promise.all(
    ["bench-panels", "desk", "screen"].map(
      (name) =>
        new Promise((done) => {
          const link = document.createElement("link");
          Object.assign(link, {
            rel: "stylesheet",
            href: `./css/${name}.css`,
            onload: done,
            onerror: done,
          });
          document.head.append(link);
        }),
    ),
  ));

/** @returns {string[]} screen and the rest of the way */
function way() {
  const parts = location.hash.slice(1).split("/").filter(Boolean);
  return SCREENS[parts[0]] ? parts : ["bench"];
}

function drawRooms() {
  rooms.replaceChildren(
    ...ROOMS.map(([name, word]) => {
      const link = document.createElement("a");
      link.href = `#${name}`;
      link.textContent = word;
      link.dataset.room = name;
      return link;
    }),
  );
}

/** @param {string} name */
async function screen(name) {
  await Promise.all([SCREENS[name](), name === "bench" || dress()]);
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
  if (document.documentElement.dataset.ready)
    element.surround?.().catch((error) => tell("screen", error.message));
  document.documentElement.dataset.screen = name;
  document.title = `${element.title || ROOMS.find(([n]) => n === name)?.[1] || "Plan"} – Ringwright`;
  const room = name === "plan" ? "pieces" : name;
  for (const link of rooms.querySelectorAll("a")) {
    if (link.dataset.room === room) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
}

const SAID = {
  idle: "Not sent yet",
  offline: "No server: kept here",
  syncing: "Sending",
  synced: "Sent to the server",
  other: "Another workshop's server: kept here",
  refused: "Something was set aside",
};

/** The third state of a count: pressed, saved here, with the server. */
function sayCarried() {
  const { state, waiting } = store.sync;
  carried.dataset.state = waiting && state === "synced" ? "idle" : state;
  carried.textContent = waiting
    ? `${SAID[state === "synced" ? "idle" : state]} · ${waiting}`
    : SAID[state];
}

let other = "";
/** Said once for each server of another workshop that answers here, and taken away when the own one is back. */
function sayOther() {
  const { workshop, served } = store.sync;
  if (served === other) return;
  other = served;
  telling().then((place) => place.otherWorkshop(workshop, served));
}

/** Forge (dark), daylight (light), or as the system has it; one hand or the other. */
function dressRoot() {
  const { dataset } = document.documentElement;
  const theme = store.own("theme", "system");
  if (theme === "system") delete dataset.theme;
  else dataset.theme = theme;
  dataset.hand = store.own("hand", "right");
}

/** The frame on the screen has been seen. @returns {Promise<void>} */
const seen = () =>
  new Promise((resolve) => {
    requestAnimationFrame(() => setTimeout(resolve));
  });

/** What comes after the first screen: its own rest, the engine, the server, the next start without one. */
async function follow() {
  await seen();
  await dress();
  await standing.get("bench")?.surround?.();
  document.documentElement.dataset.ready = "yes";
  await seen();
  await store.start();
  const { keepOffline } = await import("./device/service-worker.js");
  const offer = async (/** @type {() => void} */ apply) =>
    (await telling()).offer("A new version is ready. Your counts stay.", "Use it now", apply);
  await keepOffline(offer).catch((error) =>
    tell("offline", `This page cannot be kept for use without the server here: ${error.message}`),
  );
}

async function begin() {
  drawRooms();
  store.addEventListener("trouble", async (e) =>
    (await telling()).trouble(/** @type {CustomEvent} */ (e).detail),
  );
  SCREENS[way()[0]]().catch(() => {}); // read while the store opens; `go` says what is wrong with it
  await store.open();
  dressRoot();
  store.addEventListener("things", dressRoot);
  for (const say of [sayCarried, sayOther]) store.addEventListener("sync", say);
  addEventListener("hashchange", go);
  await go();
  await follow();
}

const REFUSED =
  "Private windows and full devices refuse it; try an ordinary window, or free some space.";
begin().catch((error) =>
  tell("start", `Ringwright could not open its store on this device: ${error.message}. ${REFUSED}`),
);

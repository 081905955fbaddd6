// The frame: which screen is shown, the links between them, notices of the whole page.
import { app as text, format } from "./texts/texts.js";
import { store } from "./store/store.js";

/** Screens with a link in the frame. @type {(keyof typeof text.screens)[]} */
const LINKED = ["bench", "pieces", "forecast", "stock", "records", "setup"];
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
const syncState = /** @type {HTMLElement} */ (document.getElementById("carried"));
/** @type {Map<string, HTMLElement & {show?: (rest: string[]) => void, loadPanels?: () => Promise<void>}>} */
const shown = new Map();

/** @type {Promise<import("./ui/notices.js").Notices> | undefined} */
let notices;
const loadNotices = () =>
  (notices ??= import("./ui/notices.js").then(
    ({ Notices }) => new Notices(/** @type {HTMLElement} */ (document.getElementById("notices"))),
  ));

/** @param {string} key @param {string} words @param {{href: string, words: string}} [way] where to look */
const notify = (key, words, way) => loadNotices().then((all) => all.show(key, words, way));

/** The style sheets that the first pad can do without: index.html names them; a first visit asks early.
 * @type {Promise<unknown[]> | undefined} */
let styles;
const loadStyles = () =>
  (styles ??= Promise.all(
    Array.from(
      document.querySelectorAll('link[as="style"]'),
      (early) =>
        new Promise((done) => {
          const { href } = /** @type {HTMLLinkElement} */ (early);
          const link = document.createElement("link");
          Object.assign(link, { rel: "stylesheet", href, onload: done, onerror: done });
          document.head.append(link);
        }),
    ),
  ));

/** @returns {string[]} screen and what follows it in the address */
function path() {
  const parts = location.hash.slice(1).split("/").filter(Boolean);
  return SCREENS[parts[0]] ? parts : ["bench"];
}

/**
 * A pairing code in the address. It is taken out of it at once: it is for one use, and for nobody's history.
 * @returns {string}
 */
function takeCode() {
  const code = /^#pair=(.*)$/.exec(location.hash)?.[1] ?? "";
  if (code) history.replaceState(null, "", location.pathname + location.search);
  return code;
}
const code = takeCode();
let pairing = code !== ""; // a code of an address is being tried

/** The few words that index.html has in English. */
function translateFrame() {
  document.documentElement.lang = text.language;
  rooms.setAttribute("aria-label", text.navigation);
  const skip = document.querySelector(".skip");
  if (skip) skip.textContent = text.skip;
  document.documentElement.style.setProperty("--take-care", JSON.stringify(text.takeCare));
}

function drawLinks() {
  rooms.replaceChildren(
    ...LINKED.map((name) => {
      const link = document.createElement("a");
      link.href = `#${name}`;
      link.textContent = text.screens[name];
      link.dataset.room = name;
      return link;
    }),
  );
}

/** @param {string} name */
async function screen(name) {
  await Promise.all([SCREENS[name](), name === "bench" || loadStyles()]);
  let element = shown.get(name);
  if (!element) {
    element = document.createElement(`rw-${name}`);
    shown.set(name, element);
    main.append(element);
  }
  return element;
}

async function go() {
  const [name, ...rest] = path();
  const element = await screen(name);
  if (path()[0] !== name) return; // the maker has gone on meanwhile
  for (const [other, e] of shown) e.hidden = other !== name;
  element.show?.(rest);
  if (document.documentElement.dataset.ready)
    element.loadPanels?.().catch((error) => notify("screen", error.message));
  document.documentElement.dataset.screen = name;
  const title = text.screens[/** @type {keyof typeof text.screens} */ (name)];
  document.title = text.title(element.title || title);
  const room = name === "plan" ? "pieces" : name;
  for (const link of rooms.querySelectorAll("a")) {
    if (link.dataset.room === room) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
}

const timeOfDay = new Intl.DateTimeFormat(format.locale, { hour: "2-digit", minute: "2-digit" });

/** @param {string} state @param {string} words @param {boolean} risk the browser might clear what is only here */
function showMark(state, words, risk) {
  syncState.dataset.state = state;
  syncState.toggleAttribute("data-risk", risk);
  syncState.textContent = words;
}

/** The third state of a count: pressed, saved here, sent to the server; or since when it is only here. */
async function showSyncState() {
  const { state, waiting, carrying, last_ms, status, sending, fetching } = store.sync.now;
  syncState.ariaLive = sending || fetching ? "off" : "polite"; // nobody wants to hear every number
  if (sending || fetching) {
    const words = (await import("./ui/where-kept.js")).onTheWay();
    if (words) showMark("syncing", words, false);
    return;
  }
  if (pairing && state === "unpaired") return showMark("syncing", text.pairingNow, false);
  const now = (waiting || carrying) && state === "synced" ? "idle" : state;
  // a later sync with nothing to send keeps the time, so that nobody hears it again and again
  if (now === "synced" && syncState.dataset.state === now) return;
  let words = now === "synced" ? text.sent(timeOfDay.format(last_ms)) : text.sync[now];
  if (now === "refused") words = text.notTaken(status);
  else if (now === "idle" && carrying && !waiting) words = text.carrying;
  const more = waiting > 0 || now === "alone";
  // "sent" goes at once; since when something is only here is looked up
  if (!more || now !== syncState.dataset.state) showMark(now, words, false);
  if (!more) return;
  const kept = await (await import("./ui/where-kept.js")).onlyHere(words);
  if (store.sync.now.state === state && store.sync.now.waiting === waiting)
    showMark(now, kept.words, kept.risk);
}

/** @param {boolean} on a code is being tried */
function showPairing(on) {
  pairing = on;
  return showSyncState();
}

let other = "";
/** Shown once for each server of another workshop that answers here, and removed when our own is back. */
function showOtherWorkshop() {
  const { workshop, served } = store.sync.now;
  if (served === other) return;
  other = served;
  loadNotices().then((all) => all.otherWorkshop(workshop, served));
}

/** Dark, light, or as the system has it; right or left hand. */
function applySettings() {
  const { dataset } = document.documentElement;
  const theme = store.own("theme", "system");
  if (theme === "system") delete dataset.theme;
  else dataset.theme = theme;
  dataset.hand = store.own("hand", "right");
}

/** After the next frame is on the screen. @returns {Promise<void>} */
const nextFrame = () =>
  new Promise((resolve) => {
    requestAnimationFrame(() => setTimeout(resolve));
  });

/** What comes after the first screen: the rest of it, the engine, the server, a copy for use without one. */
async function finish() {
  await nextFrame();
  await loadStyles();
  await shown.get("bench")?.loadPanels?.();
  document.documentElement.dataset.ready = "yes";
  await nextFrame();
  import("./ui/pairing-notices.js")
    .then(({ followPairing }) => followPairing(loadNotices, code, showPairing))
    .catch((error) => {
      showPairing(false);
      notify("screen", error.message);
    });
  await store.start();
  (await import("./device/keeping.js")).askAfterFirstCount();
  const { registerServiceWorker } = await import("./device/service-worker.js");
  const offer = async (/** @type {() => void} */ apply) =>
    (await loadNotices()).offer(text.newVersion, text.update, apply);
  await registerServiceWorker(offer).catch((error) =>
    notify(
      "offline",
      /certificate/i.test(error.message) ? text.notTrusted : text.notOffline(error.message),
    ),
  );
}

async function begin() {
  translateFrame();
  drawLinks();
  store.addEventListener("trouble", async (e) =>
    (await loadNotices()).trouble(/** @type {CustomEvent} */ (e).detail),
  );
  SCREENS[path()[0]]().catch(() => {}); // read while the store opens; `go` reports what is wrong with it
  await store.open();
  applySettings();
  store.addEventListener("things", applySettings);
  for (const show of [showSyncState, showOtherWorkshop]) store.addEventListener("sync", show);
  const aside = { href: "#records/aside", words: text.refusedWhich };
  store.sync.addEventListener("refused", () => notify("refused", text.refused, aside));
  addEventListener("hashchange", go);
  await go();
  await finish();
}

begin().catch((error) => notify("start", text.notOpened(error.message)));

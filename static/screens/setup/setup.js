// Setup: what suits this maker, this workshop and this device; of the device, whether its storage lasts,
// how to install, what the browser lacks, and the log as a file.
import { store } from "../../store/store.js";
import { html } from "../../vendor/lit-html.js";
import { writeLog } from "../../ui/log-export.js";
import { figure } from "../../format/numbers.js";
import { several } from "../../format/words.js";
import { lacks } from "../../device/capabilities.js";
import { Screen } from "../../ui/screen.js";
import { ears, eyes, pedals } from "./hands.js";
import { askSteps, pace, week, wire } from "./work.js";
import { Whose } from "./workshop.js";

const here = { persisted: /** @type {boolean | null} */ (null), used: 0, version: "", said: "" };

/** Read each time the screen is shown. @param {() => void} redraw */
async function look(redraw) {
  here.persisted = (await navigator.storage?.persisted?.()) ?? null;
  here.used = (await navigator.storage?.estimate?.())?.usage ?? 0;
  const names = "caches" in window ? await caches.keys() : [];
  here.version = names
    .filter((n) => n.startsWith("ringwright-"))
    .map((n) => n.slice("ringwright-".length))
    .join(", ");
  redraw();
}

/** @param {() => void} redraw */
async function persist(redraw) {
  const granted = (await navigator.storage?.persist?.()) ?? false;
  here.said = granted
    ? ""
    : "The browser did not agree. Install the page, use it for a few days, and ask again; meanwhile keep a file of the log.";
  await look(redraw);
}

const installed = () =>
  matchMedia("(display-mode: standalone)").matches ||
  /** @type {any} */ (navigator).standalone === true;

/** @param {() => void} redraw */
function keeping(redraw) {
  const { waiting, served } = store.sync.now;
  return html`<section class="sheet"><h2>Kept on this device</h2>
    <p>${{ true: "● This browser has promised not to clear the log by itself.", false: "▲ This browser may clear the log when space runs short.", null: "▲ This browser does not say whether it keeps the log." }[String(here.persisted)]}
      ${here.used ? `About ${figure(here.used / 1e6, 1)} MB in use.` : ""}</p>
    ${here.persisted ? null : html`<button type="button" @click=${() => persist(redraw)}>Ask it to keep the log</button>`}
    ${here.said ? html`<p role="status">${here.said}</p>` : null}
    <p>${installed() ? "● Installed on this device." : `▲ Not installed: ${waiting ? `${several(waiting, "change")} not yet on the server ${waiting === 1 ? "is" : "are"} at risk if the browser clears its data.` : `everything counted here is on ${served ? "its own workshop's" : "the"} server.`}`}</p>
    <button type="button" @click=${() => writeLog()}>Save the whole log as a file</button>
  </section>`;
}

function installing() {
  if (installed()) return null;
  return html`<section class="sheet"><h2>Install it</h2>
    <ul><li>Android, Chromium: the browser's menu, then “Install app” or “Add to home screen”.</li>
    <li>iPhone and iPad: the share button, then “Add to Home Screen”. The installed page has a store of its own: let everything be sent to the server first, then open the installed page and let it fetch.</li>
    <li>Desk: the install mark in the address line, or the browser's menu.</li></ul></section>`;
}

function missing() {
  const rows = lacks();
  return html`<section class="sheet"><h2>This browser</h2>
    ${rows.length ? html`<ul>${rows.map(([, text]) => html`<li>${text}</li>`)}</ul>` : html`<p>It has everything the Bench makes use of.</p>`}
    <p class="soft">${here.version ? `Page version ${here.version}.` : "This page is not kept offline yet."}</p></section>`;
}

class Setup extends Screen {
  constructor() {
    super("Setup", ["things", "plan", "sync", "engine"]);
    this.whose = new Whose(this);
  }

  connectedCallback() {
    super.connectedCallback();
    store.addEventListener("engine", () => askSteps(() => this.soon()));
    if ("speechSynthesis" in window)
      speechSynthesis.addEventListener("voiceschanged", () => this.soon());
  }

  /** @param {string[]} rest */
  show(rest) {
    super.show(rest);
    this.whose.look(rest[0] === "workshop");
    look(() => this.soon()).catch(() => {});
    askSteps(() => this.soon());
  }

  view() {
    const redraw = () => this.soon();
    const whose = this.whose.view(),
      two = Boolean(store.sync.now.served);
    return html`<div class="setup">${two ? whose : null}${eyes()}${ears()}${pedals(redraw)}${week()}${pace()}${wire()}${keeping(redraw)}${two ? null : whose}${installing()}${missing()}</div>`;
  }
}

customElements.define("rw-setup", Setup);

// Setup: what suits this maker, this workshop and this device; of the device, whether its storage lasts,
// how to install, what the browser lacks, and the log as a file, out and in.
import { store } from "../../store/store.js";
import { html } from "../../vendor/lit-html.js";
import { app, pairing as pairingText, setup as text } from "../../texts/texts.js";
import * as history from "../../store/history.js";
import { CopyButtons } from "../../ui/log-export.js";
import { figure } from "../../format/numbers.js";
import { moment, several } from "../../format/words.js";
import { lacks } from "../../device/capabilities.js";
import { askToKeep, installed, persisted } from "../../device/keeping.js";
import { Screen } from "../../ui/screen.js";
import { pairing } from "../../store/pairing.js";
import { AddPhone } from "./add-phone.js";
import { Devices } from "./devices.js";
import { ears, eyes, pedals } from "./hands.js";
import { Pair } from "./pair.js";
import { Where } from "./where.js";
import { askSteps, pace, week, wire } from "./work.js";
import { FileIn } from "./file-in.js";
import { Whose } from "./workshop.js";

const here = {
  persisted: /** @type {boolean | null} */ (null),
  used: 0,
  version: "",
  notice: "",
  since_ms: /** @type {number | null} */ (null),
  carried: false, // changes that came by file are not on the server yet
};

/** How the caches of the page at this address begin, as sw.js names them; a version follows. */
const CACHES = (() => {
  const { pathname } = new URL("../../", import.meta.url);
  return pathname === "/" ? "ringwright-" : `ringwright ${pathname} `;
})();

/** Read each time the screen is shown, and when what is sent or copied changes. @param {() => void} redraw */
async function refresh(redraw) {
  here.persisted = await persisted();
  here.used = (await navigator.storage?.estimate?.())?.usage ?? 0;
  here.since_ms = store.sync.now.waiting ? await history.oldestWaiting() : null;
  here.carried = await history.isCarrying();
  const names = "caches" in window ? await caches.keys() : [];
  here.version = names
    .filter((n) => n.startsWith(CACHES))
    .map((n) => n.slice(CACHES.length))
    .join(", ");
  redraw();
}

/** @param {() => void} redraw */
async function persist(redraw) {
  here.notice = (await askToKeep()) ? "" : text.persistRefused;
  await refresh(redraw);
}

const isAlone = () => store.sync.now.state === "alone";

/** The changes that are only here, with the time of the oldest. */
function onlyHere() {
  const { waiting } = store.sync.now,
    changes = several(waiting, "change");
  return here.since_ms ? text.sinceWhen(changes, moment(here.since_ms)) : changes;
}

/** Whether the installed page is here, and what is at risk where it is not. */
function installation() {
  const { waiting, served } = store.sync.now;
  if (installed()) return text.installed;
  if (isAlone()) return text.atRiskAlone;
  if (waiting) return text.atRisk(several(waiting, "change"), figure(waiting));
  if (here.carried) return text.atRiskCarried;
  return served ? text.atRiskNothingElsewhere : text.atRiskNothing;
}

/** What is nowhere but here, and since when. */
function where() {
  const { waiting } = store.sync.now;
  if (isAlone()) return waiting ? text.notCopied(onlyHere(), figure(waiting)) : null;
  return [
    waiting ? text.notSent(onlyHere(), figure(waiting)) : "",
    here.carried && (waiting || installed()) ? text.notCarried : "",
  ].join(" ");
}

function lastCopy() {
  const { copied } = store;
  return copied ? text.lastCopy(moment(copied.at_ms)) : text.noCopy;
}

/** @param {() => void} redraw @param {CopyButtons} buttons */
function keeping(redraw, buttons) {
  const { yes, no, unknown } = text.persisted;
  return html`<section class="sheet keeping"><h2>${text.kept}</h2>
    ${isAlone() ? html`<p>${text.keptAlone}</p>` : null}
    <p>${{ true: yes, false: no, null: unknown }[String(here.persisted)]}
      ${here.used ? text.inUse(figure(here.used / 1e6, 1)) : ""}</p>
    ${here.persisted ? null : html`<button type="button" @click=${() => persist(redraw)}>${text.persist}</button>`}
    ${here.notice ? html`<p role="status">${here.notice}</p>` : null}
    <p>${installation()}</p>
    <p>${where()} ${lastCopy()}</p>
    ${buttons.view()}
  </section>`;
}

function installing() {
  if (installed()) return null;
  return html`<section class="sheet"><h2>${text.install}</h2>
    <ul>${(isAlone() ? text.installWaysAlone : text.installWays).map((way) => html`<li>${way}</li>`)}</ul></section>`;
}

function missing() {
  const rows = lacks();
  return html`<section class="sheet"><h2>${text.browser}</h2>
    ${rows.length ? html`<ul>${rows.map(([, words]) => html`<li>${words}</li>`)}</ul>` : html`<p>${text.lacksNothing}</p>`}
    <p class="soft">${here.version ? text.offline(here.version) : text.notOffline}</p></section>`;
}

class Setup extends Screen {
  constructor() {
    super(app.screens.setup, ["things", "plan", "sync", "engine"]);
    this.whose = new Whose(this);
    const redraw = () => this.soon();
    this.copies = new CopyButtons(redraw);
    this.fileIn = new FileIn(redraw);
    this.where = new Where(redraw);
    /** Screens of their own behind this one, by what follows it in the address. */
    this.behind = { devices: new Devices(this), add: new AddPhone(this), pair: new Pair(redraw) };
  }

  /** The one of them that is shown. @returns {"devices" | "add" | "pair" | null} */
  get page() {
    const [name] = this.rest;
    return name in this.behind ? /** @type {"devices" | "add" | "pair"} */ (name) : null;
  }

  connectedCallback() {
    super.connectedCallback();
    store.addEventListener("sync", () => {
      if (!this.hidden) refresh(() => this.soon()).catch(() => {});
    });
    store.addEventListener("engine", () => askSteps(() => this.soon()));
    pairing.addEventListener("change", () => this.soon());
    if ("speechSynthesis" in window)
      speechSynthesis.addEventListener("voiceschanged", () => this.soon());
  }

  /** @param {string[]} rest */
  show(rest) {
    super.show(rest);
    this.behind.add.hide();
    const { page } = this;
    this.heading = page ? pairingText.titles[page] : app.screens.setup;
    if (page) return void this.behind[page].show();
    this.where.show().catch(() => {});
    this.whose.refresh(rest[0] === "workshop");
    refresh(() => this.soon()).catch(() => {});
    askSteps(() => this.soon());
  }

  view() {
    const { page } = this;
    if (page)
      return html`<p><a class="button" href="#setup">${pairingText.back}</a></p>${this.behind[page].view()}`;
    const redraw = () => this.soon();
    const whose = this.whose.view(),
      two = Boolean(store.sync.now.served);
    return html`<div class="setup">${two ? whose : null}${isAlone() ? null : this.where.view()}${eyes()}${ears()}${pedals(redraw)}${week()}${pace()}${wire()}${keeping(redraw, this.copies)}${this.fileIn.view()}${two ? null : whose}${installing()}${missing()}</div>`;
  }
}

customElements.define("rw-setup", Setup);

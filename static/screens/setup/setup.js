// Setup: what suits this maker, this workshop and this device; of the device, whether its storage lasts,
// how to install, what the browser lacks, and the log as a file.
import { store } from "../../store/store.js";
import { html } from "../../vendor/lit-html.js";
import { app, setup as text, ui } from "../../texts/texts.js";
import { writeLog } from "../../ui/log-export.js";
import { figure } from "../../format/numbers.js";
import { several } from "../../format/words.js";
import { lacks } from "../../device/capabilities.js";
import { Screen } from "../../ui/screen.js";
import { ears, eyes, pedals } from "./hands.js";
import { askSteps, pace, week, wire } from "./work.js";
import { Whose } from "./workshop.js";

const here = { persisted: /** @type {boolean | null} */ (null), used: 0, version: "", notice: "" };

/** Read each time the screen is shown. @param {() => void} redraw */
async function refresh(redraw) {
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
  here.notice = granted ? "" : text.persistRefused;
  await refresh(redraw);
}

const installed = () =>
  matchMedia("(display-mode: standalone)").matches ||
  /** @type {Navigator & {standalone?: boolean}} */ (navigator).standalone === true;

/** Whether the installed page is here, and what is at risk where it is not. */
function installation() {
  const { waiting, served } = store.sync.now;
  if (installed()) return text.installed;
  if (waiting) return text.atRisk(several(waiting, "change"), figure(waiting));
  return served ? text.atRiskNothingElsewhere : text.atRiskNothing;
}

/** @param {() => void} redraw */
function keeping(redraw) {
  const { yes, no, unknown } = text.persisted;
  return html`<section class="sheet"><h2>${text.kept}</h2>
    <p>${{ true: yes, false: no, null: unknown }[String(here.persisted)]}
      ${here.used ? text.inUse(figure(here.used / 1e6, 1)) : ""}</p>
    ${here.persisted ? null : html`<button type="button" @click=${() => persist(redraw)}>${text.persist}</button>`}
    ${here.notice ? html`<p role="status">${here.notice}</p>` : null}
    <p>${installation()}</p>
    <button type="button" @click=${() => writeLog()}>${ui.backupSave}</button>
  </section>`;
}

function installing() {
  if (installed()) return null;
  return html`<section class="sheet"><h2>${text.install}</h2>
    <ul>${text.installWays.map((way) => html`<li>${way}</li>`)}</ul></section>`;
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
    this.whose.refresh(rest[0] === "workshop");
    refresh(() => this.soon()).catch(() => {});
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

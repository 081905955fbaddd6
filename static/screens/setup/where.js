// Where the counts are: what the mark at the top stands for, the server, its backups; and where nothing answers for
// long, which address this page belongs to and how its counts get to another.
import { html } from "../../vendor/lit-html.js";
import { pairing as text, setup } from "../../texts/texts.js";
import { pairing } from "../../store/pairing.js";
import { store } from "../../store/store.js";
import { deviceKind } from "../../device/kind.js";
import { figure } from "../../format/numbers.js";
import { moment, several } from "../../format/words.js";
import { writeLog } from "../../ui/log-export.js";

const LONG_MS = 3 * 86400000; // a computer that is off at night and at the weekend is no reason to look further

/**
 * Addresses the server had besides this page's own, each once. @param {import("../../types").KnownServer | null} server
 * @returns {string[]}
 */
function otherAddresses(server) {
  const { protocol, port, origin } = location;
  const said = [server?.name_address, server?.address, ...(server?.ip_addresses ?? [])];
  const whole = said.flatMap((it) =>
    it ? [it.includes("://") ? it : `${protocol}//${it}${port && `:${port}`}`] : [],
  );
  return [...new Set(whole.map((it) => it.replace(/\/$/, "")))].filter((it) => it !== origin);
}

export class Where {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    this.copied = "";
    this.kind = text.kinds[deviceKind()];
  }

  async show() {
    this.copied = "";
    if (store.sync.now.state === "synced") await pairing.askServer();
  }

  view() {
    const { state } = store.sync.now;
    const there =
      state === "synced" || state === "syncing" || state === "idle" || state === "refused";
    return html`<section class="sheet where"><h2>${text.where}</h2>
      <p class=${state === "refused" || state === "unpaired" ? "message warn" : ""}>${this.stands()}</p>
      ${this.way("sending")} ${this.way("fetching")}
      ${state === "offline" ? this.moved() : null}
      ${there ? this.backups() : null}
      <div class="row">${state === "unpaired" ? html`<a class="button main" href="#setup/pair">${text.pairNow(this.kind)}</a>` : null}
        ${there ? html`<a class="button" href="#setup/devices">${text.devices}</a><a class="button" href="#setup/add">${text.addPhone}</a>` : null}</div></section>`;
  }

  /** How far a long log is on its way. @param {"sending" | "fetching"} which */
  way(which) {
    const way = store.sync.now[which];
    if (!way) return null;
    const says = which === "sending" ? text.sending : text.fetching;
    const words = says(figure(way.done), several(way.all, "change"));
    return html`<p>${words}</p><p><progress max=${way.all} .value=${way.done} aria-label=${words}></progress></p>`;
  }

  /** What the mark at the top means. */
  stands() {
    const { state, waiting, why, last_ms } = store.sync.now;
    const only = waiting
      ? text.onlyHere(several(waiting, "change"), figure(waiting), this.kind)
      : "";
    const says = {
      idle: () => (waiting ? only : text.notLooked),
      syncing: () => only || text.notLooked,
      synced: () => (waiting ? only : text.allThere(moment(last_ms))),
      offline: () => `${text.away(location.host)} ${only} ${text.goesByItself}`,
      refused: () => `${text.notTaken(why)} ${only} ${text.goesByItself}`,
      unpaired: () => `${text.unpairedHere(this.kind)} ${only}`,
      other: () => text.otherThere,
      alone: () => "", // a page without a server has nothing to say of one
    };
    return says[state]();
  }

  backups() {
    const { backup } = pairing.server ?? {};
    if (backup === undefined) return null;
    const last = backup?.last_ms ? moment(backup.last_ms) : "";
    const done = last ? text.backupLast(last, backup?.folder ?? "") : text.backupNone;
    const fine = last && backup?.ok !== false;
    return html`<p class=${fine ? "" : "message warn"}>${fine ? text.fine(done) : `${backup?.why ? text.backupTrouble(backup.why) : ""} ${done}`.trim()}</p>`;
  }

  /** Which address this page belongs to, the others its server had, and how the counts get there. */
  moved() {
    const { server } = pairing;
    const long = !server || Date.now() - server.at_ms > LONG_MS;
    const others = otherAddresses(server);
    return html`<details ?open=${long}><summary>${text.moved}</summary>
      <p>${text.belongsHere(location.origin)} ${server ? text.lastAnswer(moment(server.at_ms)) : text.neverAnswered}</p>
      ${others.length ? html`<p>${text.otherAddresses}</p><ul>${others.map((it) => html`<li><a href=${it}>${it}</a></li>`)}</ul>` : html`<p>${text.noOther}</p>`}
      <p>${text.carryOver}</p>
      <ol>${text.carrySteps.map((step) => html`<li>${step}</li>`)}</ol>
      <button type="button" @click=${() => this.copy()}>${text.carrySave}</button><p role="status">${this.copied}</p></details>`;
  }

  async copy() {
    const { name } = await writeLog();
    this.copied = setup.written(name);
    this.redraw();
  }
}

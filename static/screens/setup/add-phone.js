// A code for another device: to scan and to type, with the time it has left and the way a phone takes from there.
import { html } from "../../vendor/lit-html.js";
import { pairing as text } from "../../texts/texts.js";
import { inGroups, pairing } from "../../store/pairing.js";
import { figure } from "../../format/numbers.js";
import { qrPicture } from "../../pictures/qr.js";
import { phoneStep } from "../../pictures/phone-steps.js";
import { errorText } from "../../ui/form-fields.js";
import { richText } from "../../ui/rich-text.js";
import { noList } from "./devices.js";

const TICK_MS = 1000,
  ASK_EACH = 2, // ticks
  LIFE_S = 600;

/** Whether only browsers on the server's own computer reach this address. @param {string} address */
const onlyHere = (address) =>
  ["localhost", "127.0.0.1", "[::1]"].includes(new URL(address).hostname);

/** @typedef {Parameters<typeof phoneStep>[0]} Step */

export class AddPhone {
  /** @param {HTMLElement & {soon: () => void}} room */
  constructor(room) {
    this.room = room;
    this.wrong = "";
    this.busy = false;
    /** @type {ReturnType<typeof setInterval> | undefined} */
    this.timer = undefined;
    this.ticks = 0;
  }

  /** A code that still lives is shown again. */
  async show() {
    clearInterval(this.timer);
    this.timer = setInterval(() => this.tick(), TICK_MS);
    const { code, joined, codeOver } = pairing;
    if (!code || joined || codeOver || code.until_ms <= Date.now()) await this.fresh();
    else await pairing.look();
  }

  hide() {
    clearInterval(this.timer);
  }

  async tick() {
    if (this.room.hidden) return this.hide();
    if (document.hidden) return;
    this.room.soon();
    if (++this.ticks % ASK_EACH === 0 && !this.busy) await pairing.watchCode().catch(() => {});
  }

  /** @param {() => Promise<void>} work */
  async run(work) {
    this.busy = true;
    this.wrong = "";
    this.room.soon();
    await work().catch((error) => {
      this.wrong = error.message;
    });
    this.busy = false;
    this.room.soon();
  }

  fresh() {
    return this.run(() => pairing.newCode());
  }

  view() {
    if (!pairing.list) return this.busy ? html`<p role="status">${text.looking}</p>` : noList();
    const { code } = pairing;
    const alone = Boolean(code) && onlyHere(code?.address ?? location.origin);
    return html`<p class=${alone ? "message warn" : "soft"}>${richText(alone ? text.noPhone : text.sameNetwork)}</p><div class="adding">
      ${code ? this.showCode(code, alone) : this.noCode()}
      ${code && !alone ? this.ways(code) : null}
      ${code?.fingerprint.length ? this.fingerprint(code.fingerprint) : null}</div>`;
  }

  noCode() {
    return html`<section class="sheet code-sheet">${this.busy ? html`<p role="status">${text.looking}</p>` : html`<p>${text.noCode}</p>`}
      ${errorText(this.wrong)}<button type="button" class="main" ?disabled=${this.busy} @click=${() => this.fresh()}>${text.newCode}</button></section>`;
  }

  /** @param {import("../../types").PairingCode} code @param {boolean} alone no phone reaches the server, so there is nothing to scan */
  showCode(code, alone) {
    const left = Math.max(0, Math.ceil((code.until_ms - Date.now()) / 1000));
    const { joined } = pairing;
    const over = !joined && (pairing.codeOver || !left);
    const alive = !joined && !over;
    return html`<section class="sheet code-sheet">
      ${alive ? html`${alone ? null : qrPicture(code.qr)}<p class="soft code-or">${alone ? text.typeHere(code.address) : text.orType(code.address)}</p><p class="code" aria-label=${text.codeSpelled([...code.code].join(" "))}>${inGroups(code.code)}</p>` : null}
      ${alive ? html`<p class="row between code-left"><b>${text.timeLeft(figure(Math.floor(left / 60)), figure(left % 60))}</b> <span class="soft">${text.forOne}</span></p><progress max=${LIFE_S} value=${Math.min(left, LIFE_S)} aria-label=${text.timeLeftOf}></progress>` : null}
      <p class="code-state" role="status">${joined ? text.joined(joined.name) : over ? text.codeEnded : alone ? text.waitingHere : text.waitingFor}</p>
      ${errorText(this.wrong)}
      <div class="row"><button type="button" class=${alive ? "" : "main"} ?disabled=${this.busy} @click=${() => this.fresh()}>${joined ? text.another : text.newCode}</button>
        ${alive ? html`<button type="button" ?disabled=${this.busy} @click=${() => this.run(() => pairing.stopCode())}>${text.stop}</button>` : html`<a class="button" href="#setup/devices">${text.devices}</a>`}</div></section>`;
  }

  /** @param {import("../../types").PairingCode} code */
  ways({ guide }) {
    /** @type {(ways: {[step: string]: string[]}) => [Step, string[]][]} */
    const steps = (ways) =>
      /** @type {[Step, string[]][]} */ (Object.entries(ways)).filter(
        ([step]) => guide || step !== "trust",
      );
    return html`${[
      [text.android, steps(text.androidSteps)],
      [text.iphone, steps(text.iphoneSteps)],
    ].map(
      ([name, rows]) =>
        html`<section class="sheet way"><h2>${name}</h2><ol class="plain">${
          /** @type {[Step, string[]][]} */ (rows).map(
            ([step, [title, how]], k) =>
              html`<li>${phoneStep(step)}<div><h3>${figure(k + 1)}. ${title}</h3><p>${how}</p></div></li>`,
          )
        }</ol></section>`,
    )}`;
  }

  /** @param {string[]} groups */
  fingerprint(groups) {
    return html`<section class="sheet print"><h2>${text.yours}</h2><p>${text.yoursHow(figure(groups.length))}</p>
      <p class="groups">${groups.map((group) => html`<span>${group}</span> `)}</p></section>`;
  }
}

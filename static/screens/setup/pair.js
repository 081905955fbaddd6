// This device and its pairing: a code is typed here; once paired, its name, what came over, what is still to do.
import { html } from "../../vendor/lit-html.js";
import { pairing as text } from "../../texts/texts.js";
import { pairing } from "../../store/pairing.js";
import { store } from "../../store/store.js";
import { deviceKind } from "../../device/kind.js";
import { inputField, showError } from "../../ui/form-fields.js";
import { figure } from "../../format/numbers.js";
import { moment, several } from "../../format/words.js";
import { pairedPicture } from "../../pictures/paired.js";
import { installed } from "../../device/keeping.js";

const LONGEST = 60;

/** @typedef {import("../../ui/form-fields.js").FieldEvent} FieldEvent */

export class Pair {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    this.kind = deviceKind();
    this.name = text.names[this.kind];
    this.code = "";
    this.wrong = { field: "", why: "" };
    this.busy = false;
    this.looking = true;
    this.said = "";
    this.persisted = false;
  }

  /** Each time it is shown. */
  async show() {
    Object.assign(this, { looking: true, wrong: { field: "", why: "" }, said: "" });
    this.code = pairing.pending;
    this.persisted = (await navigator.storage?.persisted?.()) ?? false;
    await pairing.look();
    this.looking = false;
    this.redraw();
  }

  /** @param {SubmitEvent} e */
  async send(e) {
    e.preventDefault();
    this.busy = true;
    this.refuse("", "");
    try {
      await pairing.pair(this.code, this.name.trim() || text.names[this.kind]);
      this.code = "";
    } catch (error) {
      const { field, message } = /** @type {import("../../store/pairing.js").Problem} */ (error);
      this.refuse(field === "name" ? "name" : "code", message);
    }
    this.busy = false;
    this.redraw();
  }

  /** @param {"code" | "name" | ""} field @param {string} why */
  refuse(field, why) {
    this.wrong = { field, why };
    this.redraw();
    if (field) document.getElementById(`pair-${field}`)?.focus();
  }

  /** @param {"code" | "name"} field */
  why(field) {
    return { error: this.wrong.field === field ? this.wrong.why : "", alert: true };
  }

  view() {
    if (this.looking) return html`<p role="status">${text.looking}</p>`;
    if (pairing.own) return this.done(pairing.own);
    if (pairing.list)
      return html`<section class="sheet"><p>${text.needsNone(text.kinds[this.kind])}</p></section>`;
    return this.form();
  }

  form() {
    const own = text.kinds[this.kind],
      { waiting } = store.sync.now;
    const away = pairing.problem?.kind === "away";
    return html`<form class="sheet pair-form" novalidate @submit=${(/** @type {SubmitEvent} */ e) => this.send(e)}>
      <p>${text.pairAbout(own)} ${waiting ? text.pairWaiting(several(waiting, "change"), figure(waiting)) : null}</p>
      ${away ? html`<p class="message warn">${text.away(location.host)} ${text.awayPair}</p>` : null}
      ${inputField("pair-code", text.code, { value: this.code, longest: 40, mode: "text", hint: text.codeHint, ...this.why("code"), onInput: (e) => this.type("code", e) })}
      ${inputField("pair-name", text.nameOf(own), { value: this.name, longest: LONGEST, ...this.why("name"), onInput: (e) => this.type("name", e) })}
      <button class="main wide" ?disabled=${this.busy}>${text.pairNow(own)}</button>
      <p class="hint" role="status">${this.busy ? text.pairingNow : ""}</p></form>
    <section class="sheet"><h2>${text.whereCode}</h2><ul>${text.codeWays.map((way) => html`<li>${way}</li>`)}</ul></section>`;
  }

  /** @param {"code" | "name"} field @param {FieldEvent} e */
  type(field, e) {
    this[field] = e.target.value;
    if (this.wrong.field === field) this.refuse("", "");
  }

  /** @param {import("../../types").PairedDevice} own */
  done(own) {
    const kind = text.kinds[this.kind],
      pieces = store.things("piece").length;
    const { waiting, state, last_ms } = store.sync.now;
    const all = state === "synced" && !waiting;
    return html`<section class="sheet paired">${pairedPicture()}
      <h2>${text.isPaired(kind)}</h2>
      <p>${text.isPairedAbout}</p>
      ${inputField("pair-own-name", text.nameOf(kind), { value: own.name, longest: LONGEST, onChange: (e) => this.rename(own, e.target) })}
      <p class="hint" role="status">${this.said}</p>
      <ul class="plain">
        <li>${all ? text.cameOver(several(pieces, "piece"), moment(last_ms)) : text.comingOver(several(waiting, "change"))}</li>
        <li>${installed() ? text.isInstalled : text.notInstalled[this.kind]}</li>
        <li>${this.persisted ? text.isKept : text.notKept}</li></ul>
      <a class="button main wide" href="#bench">${text.toBench}</a></section>`;
  }

  /** @param {import("../../types").PairedDevice} own @param {HTMLInputElement} input */
  async rename({ id }, input) {
    const name = input.value.trim();
    showError(input, name ? "" : text.nameMissing);
    if (!name) return;
    try {
      await pairing.rename(id, name);
      this.said = text.renamed(name);
    } catch (error) {
      showError(input, /** @type {Error} */ (error).message);
    }
    this.redraw();
  }
}

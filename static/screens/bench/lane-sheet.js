// The sheet of one lane: typed numbers, spoiled items, weighing, its time, its caution, its look and place.
import { store } from "../../store/store.js";
import { html, render } from "../../vendor/lit-html.js";
import { figure } from "../../format/numbers.js";
import { numberIn } from "../../format/parse-number.js";
import { kept } from "../../ui/keep-typing.js";
import { looseWords, minutes, several } from "../../format/words.js";
import { MARKS, mark } from "../../pictures/mark.js";
import { caution } from "../../ui/caution.js";
import { batchOf, laneName, plannedOf } from "./lane.js";
import { heated, making, missing } from "./instructions.js";
import { HerePart } from "../../ui/set-count-form.js";
import { WeighPart } from "./count-by-weight.js";

export const COLOURS = [
  ["ember", "Ember"],
  ["quench", "Quench"],
  ["good", "Moss"],
  ["warn", "Straw"],
  ["bad", "Rose"],
  ["text", "Bone"],
];

/** A whole number above 0 out of a field, or why it is none. @param {string} typed @returns {{n: number, why: string}} */
export function wholeNumber(typed) {
  const { value, why } = numberIn(typed, {
    name: "Number",
    low: 1,
    high: 1e6,
    whole: true,
    needed: true,
  });
  return { n: value ?? 0, why };
}

export class LaneSheet {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.root = document.createElement("dialog");
    this.root.className = "sheet-up";
    this.id = "";
    this.why = "";
    /** @type {{minutes: number}[]} the sittings at its step */
    this.sat = [];
    this.weigh = new WeighPart(
      (n) => this.count(n, "weigh"),
      () => this.draw(),
    );
    this.here = new HerePart(
      "lane-here",
      () => this.draw(),
      (words) => {
        this.root.close();
        this.bench.around?.asking.said(words);
      },
    );
    this.root.addEventListener("close", () => {
      this.id = "";
    });
    addEventListener("hashchange", () => this.root.close()); // a sheet must not lie over another screen
  }

  get lane() {
    return store.thing("lane", this.id);
  }

  /** @param {string} id @param {string} [part] what to go to at once */
  async open(id, part) {
    this.id = id;
    this.why = "";
    this.weigh.begin(this.lane?.step ?? "");
    this.here.begin(this.lane?.piece ?? "", this.lane?.step ?? "");
    this.draw();
    if (!this.root.open) this.root.showModal();
    const field = /** @type {HTMLElement | null} */ (
      this.root.querySelector(`[data-part="${part ?? "number"}"]`)
    );
    if (part) {
      field?.scrollIntoView({ block: "center" });
      field?.focus();
    }
    const lane = this.lane;
    this.sat = lane ? await store.sittings({ piece: lane.piece, step: lane.step }) : [];
    this.draw();
  }

  /** @param {number} n @param {"hand" | "weigh"} how */
  count(n, how) {
    this.bench.laneOf(this.id)?.offer(n, how);
    this.root.close();
  }

  /** @param {Event} event @param {"number" | "spoiled"} part */
  take(event, part) {
    event.preventDefault();
    const field = /** @type {HTMLInputElement} */ (
      this.root.querySelector(`[data-part="${part}"]`)
    );
    const { n, why } = wholeNumber(field.value);
    this.why = why && `${part}: ${why}`;
    const lane = this.lane;
    if (why || !lane) return this.draw();
    field.value = "";
    if (part === "number") return this.count(n, "hand");
    store.scrap(lane.piece, lane.step, n).saved.catch(() => {});
    this.root.close();
  }

  /** @param {Record<string, any>} fields */
  async set(fields) {
    await store.set("lane", this.id, fields);
    this.draw();
  }

  /** @param {string} part @param {string} label @param {string} word */
  field(part, label, word) {
    const bad = this.why.startsWith(`${part}: `) ? this.why.slice(part.length + 2) : "";
    return html`<form class="field" @submit=${(/** @type {Event} */ e) => this.take(e, /** @type {any} */ (part))}>
      <label for=${`lane-${part}`}>${label}</label>
      <div class="row narrow"><input id=${`lane-${part}`} data-part=${part} inputmode="numeric" autocomplete="off" aria-invalid=${bad ? "true" : "false"}>
      <button type="submit">${word}</button></div>
      ${bad ? html`<p class="bad" role="alert">${bad}</p>` : null}</form>`;
  }

  draw() {
    const lane = this.lane;
    if (!lane) return render(null, this.root);
    const planned = plannedOf(lane);
    const { spoiled } = store.total(lane.piece, lane.step);
    const items = planned?.items ?? "items";
    this.root.setAttribute("aria-label", laneName(lane));
    render(
      html`<h2>${mark(lane.mark ?? store.thing("piece", lane.piece)?.mark)} ${laneName(lane)}</h2>
      ${this.field("number", `Count several ${items}`, "Count")}
      <button type="button" @click=${() => {
        store.scrap(lane.piece, lane.step, 1).saved.catch(() => {});
        this.root.close();
      }}>1 spoiled</button>
      ${this.field("spoiled", `Spoiled ${items} (${figure(spoiled)} so far)`, "Note as spoiled")}
      ${this.weigh.view(items)}
      <h3>Set the count to what lies here</h3>
      ${this.here.view(planned)}
      ${this.#time(lane)}
      <button type="button" @click=${() => {
        this.root.close();
        location.hash = "#records";
      }}>Correct it in Records</button>
      <p>${looseWords(store.standing(lane.piece))}</p>
      ${missing(lane.piece)}
      ${heated(lane.piece)}
      ${caution(planned?.caution, lane.piece, lane.step)}
      ${making(lane.piece, planned)}
      ${this.#place(lane)}
      ${this.#look(lane)}
      <div class="row"><button type="button" class="main" @click=${() => this.root.close()}>Done</button>
      <button type="button" @click=${() => {
        this.set({ deleted: true });
        this.root.close();
      }}>Take off the bench</button></div>`,
      this.root,
    );
  }

  /** As Records has it: what the clock has run since the last count is not in it yet. @param {any} lane */
  #time(lane) {
    const all = this.sat.reduce((sum, s) => sum + s.minutes, 0),
      { clock } = store;
    const runs = clock?.piece === lane.piece && clock?.step === lane.step;
    return html`<p>Time at the bench on this step: <b class="figure">${minutes(all)}</b> in ${several(this.sat.length, "sitting")}${runs ? ", up to the last count" : ""}.</p>`;
  }

  /** @param {any} lane */
  #place(lane) {
    return html`<h3>Place</h3><div class="row">
      <button type="button" aria-pressed=${lane.pinned ? "true" : "false"} @click=${() => this.set({ pinned: !lane.pinned })}>Pinned: stays on this step</button>
      <button type="button" @click=${() => this.bench.move(this.id, -1)}>Move forward</button>
      <button type="button" @click=${() => this.bench.move(this.id, 1)}>Move back</button></div>`;
  }

  /** @param {any} lane */
  #look(lane) {
    const name = (/** @type {Event} */ e) =>
      this.set({ name: /** @type {HTMLInputElement} */ (e.target).value.trim() || null });
    const batch = (/** @type {Event} */ e) => {
      const { n } = wholeNumber(/** @type {HTMLInputElement} */ (e.target).value);
      this.set({ batch: n || null });
    };
    return html`<h3>Name and look</h3>
      <div class="pair"><div class="field"><label for="lane-name">Name</label><input id="lane-name" autocomplete="off" .value=${kept(lane.name ?? "")} placeholder=${laneName(lane)} @change=${name}></div>
      <div class="field"><label for="lane-batch">Batch of one touch</label><input id="lane-batch" inputmode="numeric" autocomplete="off" .value=${kept(String(batchOf(lane)))} @change=${batch}></div></div>
      <div class="row" role="group" aria-label="Shape">${MARKS.map(([key, word]) => html`<button type="button" class="choice" aria-pressed=${lane.mark === key ? "true" : "false"} @click=${() => this.set({ mark: key })}>${mark(key)} ${word}</button>`)}</div>
      <div class="row" role="group" aria-label="Colour">${COLOURS.map(([key, word]) => html`<button type="button" class="choice" data-colour=${key} aria-pressed=${lane.colour === key ? "true" : "false"} @click=${() => this.set({ colour: key })}><span class="swatch"></span> ${word}</button>`)}</div>
      <p class="soft">${several(store.things("lane").length, "lane")} on the bench.</p>`;
  }
}

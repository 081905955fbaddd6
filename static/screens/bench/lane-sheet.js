// The sheet of one lane: typed numbers, spoiled items, weighing, its time, its caution, its look and place.
import { bench as text, ui } from "../../texts/texts.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { html, render } from "../../vendor/lit-html.js";
import { figure } from "../../format/numbers.js";
import { numberIn } from "../../format/parse-number.js";
import { inputField, numberField } from "../../ui/form-fields.js";
import { minutes, spareWords } from "../../format/words.js";
import { MARKS, mark } from "../../pictures/mark.js";
import { caution } from "../../ui/caution.js";
import { batchOf, laneName, plannedOf } from "./lane.js";
import { instructions, missing, warnings } from "./instructions.js";
import { SetCountForm } from "../../ui/set-count-form.js";
import { CountByWeight } from "./count-by-weight.js";
import { label } from "../../format/labels.js";
import { richText } from "../../ui/rich-text.js";

/** @typedef {import("../../entities").Entity<"lane">} LaneEntity */

const COLOURS = Object.entries(text.colours);

/**
 * A whole number above 0 from a field, or why it was refused.
 * @param {string} typed
 * @returns {{n: number, why: string}}
 */
export function wholeNumber(typed) {
  const { value, why } = numberIn(typed, {
    name: text.number,
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
    this.refused = { part: "", why: "" };
    /** @type {{minutes: number}[]} the sittings at its step */
    this.sittings = [];
    this.weigh = new CountByWeight(
      (n) => this.count(n, "weigh"),
      (n) => this.countBefore(n),
      () => this.draw(),
    );
    this.setCount = new SetCountForm(
      "lane-here",
      () => this.draw(),
      (words) => {
        this.root.close();
        this.bench.panels?.prompts.note(words);
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
    this.refused = { part: "", why: "" };
    this.weigh.open(this.lane?.piece ?? "", this.lane?.step ?? "");
    this.setCount.open(this.lane?.piece ?? "", this.lane?.step ?? "");
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
    this.sittings = lane ? await history.sittings({ piece: lane.piece, step: lane.step }) : [];
    this.draw();
  }

  /** @param {number} n @param {"hand" | "weigh"} how */
  count(n, how) {
    this.bench.laneOf(this.id)?.offer(n, how);
    this.root.close();
  }

  /** Of no sitting, so that they say nothing about the pace. @param {number} n */
  countBefore(n) {
    const { lane } = this;
    if (lane) store.counting.countByHand(lane.piece, lane.step, n).saved.catch(() => {});
    this.root.close();
  }

  /** @param {Event} event @param {"number" | "spoiled"} part */
  submit(event, part) {
    event.preventDefault();
    const field = /** @type {HTMLInputElement} */ (
      this.root.querySelector(`[data-part="${part}"]`)
    );
    const { n, why } = wholeNumber(field.value);
    this.refused = { part, why };
    const lane = this.lane;
    if (why || !lane) return this.draw();
    field.value = "";
    if (part === "number") return this.count(n, "hand");
    store.counting.scrap(lane.piece, lane.step, n).saved.catch(() => {});
    this.root.close();
  }

  /** @param {import("../../entities").Fields<"lane">} fields */
  async set(fields) {
    await store.set("lane", this.id, fields);
    this.draw();
  }

  /** @param {"number" | "spoiled"} part @param {string} name @param {string} action */
  field(part, name, action) {
    const bad = this.refused.part === part ? this.refused.why : "";
    return html`<form @submit=${(/** @type {Event} */ e) => this.submit(e, part)}>
      ${inputField(`lane-${part}`, name, { part, mode: "numeric", error: bad, alert: true, beside: html`<button type="submit">${action}</button>` })}</form>`;
  }

  draw() {
    const lane = this.lane;
    if (!lane) return render(null, this.root);
    const planned = plannedOf(lane);
    const { spoiled } = store.totals.of(lane.piece, lane.step);
    const items = planned?.items ?? text.items;
    this.root.setAttribute("aria-label", laneName(lane));
    render(
      html`<h2>${mark(lane.mark ?? store.thing("piece", lane.piece)?.mark)} ${laneName(lane)}</h2>
      ${this.field("number", text.addNumber(items), text.add)}
      <button type="button" @click=${() => {
        store.counting.scrap(lane.piece, lane.step, 1).saved.catch(() => {});
        this.root.close();
      }}>${text.oneSpoiled}</button>
      ${this.field("spoiled", text.spoiledSoFar(items, figure(spoiled)), text.markSpoiled)}
      ${this.weigh.view(items)}
      <h3>${ui.setCountToHere}</h3>
      ${this.setCount.view(planned)}
      ${this.#time(lane)}
      <button type="button" @click=${() => {
        this.root.close();
        location.hash = "#records";
      }}>${text.correct}</button>
      <p>${spareWords(store.answers.standing(lane.piece))}</p>
      ${missing(lane.piece)}
      ${warnings(lane.piece)}
      ${caution(planned?.caution, lane.piece, lane.step)}
      ${instructions(lane.piece, planned)}
      ${this.#place(lane)}
      ${this.#appearance(lane)}
      <div class="row"><button type="button" class="main" @click=${() => this.root.close()}>${text.done}</button>
      <button type="button" @click=${() => {
        this.set({ deleted: true });
        this.root.close();
      }}>${text.remove}</button></div>`,
      this.root,
    );
  }

  /** As in Records: the time since the last count is not in it yet. @param {LaneEntity} lane */
  #time(lane) {
    const all = this.sittings.reduce((sum, s) => sum + s.minutes, 0),
      { shown: clock } = store.clock;
    const runs = clock?.piece === lane.piece && clock?.step === lane.step;
    const words = runs ? text.timeSpentSoFar : text.timeSpent;
    return html`<p>${richText(words(minutes(all), figure(this.sittings.length)), "figure")}</p>`;
  }

  /** @param {LaneEntity} lane */
  #place(lane) {
    return html`<h3>${text.place}</h3><div class="row">
      <button type="button" aria-pressed=${lane.pinned ? "true" : "false"} @click=${() => this.set({ pinned: !lane.pinned })}>${text.stay}</button>
      <button type="button" @click=${() => this.bench.move(this.id, -1)}>${text.moveForward}</button>
      <button type="button" @click=${() => this.bench.move(this.id, 1)}>${text.moveBack}</button></div>`;
  }

  /** @param {LaneEntity} lane */
  #appearance(lane) {
    const name = (/** @type {Event} */ e) =>
      this.set({ name: /** @type {HTMLInputElement} */ (e.target).value.trim() || null });
    return html`<h3>${text.nameAndLook}</h3>
      <div class="pair">${inputField("lane-name", text.name, { value: lane.name, placeholder: laneName(lane), onChange: name })}
      ${numberField("lane-batch", label("batch"), batchOf(lane), (batch) => this.set({ batch }), { low: 1, high: 100000, whole: true })}</div>
      <div class="row" role="group" aria-label=${text.shape}>${MARKS.map(
        ([key, word]) => html`<button type="button" class="choice"
          aria-pressed=${lane.mark === key ? "true" : "false"}
          @click=${() => this.set({ mark: key })}>${mark(key)} ${word}</button>`,
      )}</div>
      <div class="row" role="group" aria-label=${text.colour}>${COLOURS.map(
        ([key, word]) => html`<button type="button" class="choice" data-colour=${key}
          aria-pressed=${lane.colour === key ? "true" : "false"}
          @click=${() => this.set({ colour: key })}><span class="swatch"></span> ${word}</button>`,
      )}</div>
      <p class="soft">${text.stepsOnBench(figure(store.things("lane").length))}</p>`;
  }
}

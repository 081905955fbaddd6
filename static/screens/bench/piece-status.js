// Above the pads: the piece in hand as a picture, when it will be done, what is made but not used yet,
// and what comes next with one touch to go there.
import { bench as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { amount, chance, finishWords, hours, spareWords, upper } from "../../format/words.js";
import { Fabric } from "../../pictures/fabric.js";
import { chainsOf, fabricWords } from "../../pictures/fabric-progress.js";

/** @typedef {import("../../answers").PieceAnswer} PieceAnswer */
/** @typedef {import("../../answers").StandAnswer} StandAnswer */

/** @param {import("../../answers").PieceForecast | undefined} p the forecast of one piece */
export function forecastWords(p) {
  if (!p) return "";
  const dates = finishWords(p.finish);
  const rest = [
    p.hours?.p50 != null ? text.about(hours(p.hours.p50)) : "",
    p.p_due != null ? text.onTime(chance(p.p_due, true)) : "",
  ].filter(Boolean);
  return rest.length ? `${dates} ${upper(rest.join("; "))}.` : dates;
}

export class PieceStatus {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.root = document.createElement("div");
    this.root.className = "sight";
    const paragraph = (/** @type {string} */ name) => {
      const p = document.createElement("p");
      p.className = name;
      return p;
    };
    this.forecast = paragraph("sight-forecast");
    this.loose = paragraph("sight-loose");
    this.words = paragraph("sight-words");
    this.fabric = new Fabric();
    this.next = document.createElement("button");
    this.next.type = "button";
    this.next.className = "sight-next";
    this.next.addEventListener("click", () => {
      const lane = bench.laneInHand();
      const next = lane && store.answers.standing(lane.piece)?.next;
      if (lane && next) bench.panels?.turnTo(lane.piece, next.step);
    });
    this.root.append(this.forecast, this.fabric.root, this.words, this.loose, this.next);
  }

  draw() {
    const lane = this.bench.laneInHand();
    this.root.hidden = !lane;
    if (!lane) return;
    const plan = store.answers.plan(lane.piece);
    const standing = store.answers.standing(lane.piece);
    const name = store.thing("piece", lane.piece)?.name ?? text.piece;
    const refused = store.answers.planRefused(lane.piece);
    this.forecast.textContent = refused
      ? text.noPlan(name, refused.why)
      : forecastWords(store.answers.forecast?.pieces?.find((p) => p.id === lane.piece)) ||
        text.workingOutDates;
    this.loose.textContent = spareWords(standing);
    this.#next(plan, standing, lane);
    if (!plan) return;
    const good = (/** @type {string} */ step) => {
      const { done, spoiled } = store.totals.of(lane.piece, step);
      return Math.max(0, done - spoiled);
    };
    const chains = chainsOf(standing);
    const bars = plan.steps.filter((s) => s.need > 0).map((s) => good(s.step) / s.need);
    this.words.textContent = fabricWords(name, plan, chains, good);
    this.fabric.update(chains, bars, text.fabricPicture(this.words.textContent));
  }

  /** @param {PieceAnswer | null} plan @param {StandAnswer | null} standing @param {import("../../entities").Entity<"lane">} lane */
  #next(plan, standing, lane) {
    const next = standing?.next;
    this.next.hidden = !next || next.step === lane.step;
    if (!next) return;
    const planned = plan?.steps?.find((s) => s.step === next.step);
    this.next.textContent = text.next(
      (planned?.name ?? next.step).toLowerCase(),
      amount(next.n, planned?.items ?? text.items, planned?.item),
    );
    this.next.title = next.why ?? "";
  }
}

// What stands above the pads: the piece in hand as a picture, when it will be done, what lies loose,
// and what comes next with one touch to go there.
import { store } from "../../store/store.js";
import { amount, chance, day, hours, looseWords, upper } from "../../format/words.js";
import { Fabric } from "../../pictures/fabric.js";
import { chainsOf, fabricWords } from "../../pictures/fabric-progress.js";

/** @param {any} p the forecast of one piece */
export function forecastWords(p) {
  if (!p) return "";
  const late = p.finish?.p80 ? `by ${day(p.finish.p80, true)}` : "not in sight";
  const end = p.finish?.p50
    ? `Even chance by ${day(p.finish.p50, true)}; 8 in 10 ${late}.`
    : "No end in sight at this pace.";
  const rest = [
    p.hours?.p50 != null ? `${hours(p.hours.p50)} left` : "",
    p.p_due != null
      ? `on time ${chance(p.p_due).replace("more than ", ">").replace("less than ", "<")}`
      : "",
  ].filter(Boolean);
  return end + (rest.length ? ` ${upper(rest.join("; "))}.` : "");
}

export class Sight {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.root = document.createElement("div");
    this.root.className = "sight";
    const text = (/** @type {string} */ name) => {
      const p = document.createElement("p");
      p.className = name;
      return p;
    };
    this.forecast = text("sight-forecast");
    this.loose = text("sight-loose");
    this.words = text("sight-words");
    this.fabric = new Fabric();
    this.next = document.createElement("button");
    this.next.type = "button";
    this.next.className = "sight-next";
    this.next.addEventListener("click", () => {
      const lane = bench.laneInHand();
      const next = lane && store.standing(lane.piece)?.next;
      if (lane && next) bench.around?.turnTo(lane.piece, next.step);
    });
    this.root.append(this.forecast, this.fabric.root, this.words, this.loose, this.next);
  }

  draw() {
    const lane = this.bench.laneInHand();
    this.root.hidden = !lane;
    if (!lane) return;
    const plan = store.plan(lane.piece);
    const standing = store.standing(lane.piece);
    const name = store.thing("piece", lane.piece)?.name ?? "Piece";
    const refused = store.answers.planRefused(lane.piece);
    this.forecast.textContent = refused
      ? `${name} has no plan yet: ${refused.why}`
      : forecastWords(
          store.forecast?.pieces?.find((/** @type {any} */ p) => p.id === lane.piece),
        ) || "The forecast is being worked out.";
    this.loose.textContent = looseWords(standing);
    this.#next(plan, standing, lane);
    if (!plan) return;
    const good = (/** @type {string} */ step) => {
      const { done, spoiled } = store.total(lane.piece, step);
      return Math.max(0, done - spoiled);
    };
    const chains = chainsOf(plan, good);
    const bars = plan.steps
      .filter((/** @type {any} */ s) => s.need > 0)
      .map((/** @type {any} */ s) => good(s.step) / s.need);
    this.words.textContent = fabricWords(name, plan, chains, good);
    this.fabric.update(chains, bars, `Picture of the fabric. ${this.words.textContent}`);
  }

  /** @param {any} plan @param {any} standing @param {any} lane */
  #next(plan, standing, lane) {
    const next = standing?.next;
    this.next.hidden = !next || next.step === lane.step;
    if (!next) return;
    const planned = plan?.steps?.find((/** @type {any} */ s) => s.step === next.step);
    this.next.textContent = `Next: ${(planned?.name ?? next.step).toLowerCase()}, ${amount(next.n, planned?.items ?? "items", planned?.item)}`;
    this.next.title = next.why ?? "";
  }
}

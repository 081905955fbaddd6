// The pace of each step: the maker's guess, how practised, what the record says, and the ten-minute trial.
import { html } from "../../vendor/lit-html.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { ownGuess } from "../../engine/questions.js";
import { percent } from "../../format/numbers.js";
import { choiceField, timeField } from "../../ui/form-fields.js";
import { paceOverTime } from "../../pictures/pace.js";
import { day, minutes, stepName, upper } from "../../format/words.js";

const MOST = 200,
  MOVED = 0.03; // share of a guess that shows once it is rounded
/** @type {[string, string][]} */
const PRACTISED = [
  ["", "Not said"],
  ["new", "New to it"],
  ["used", "Used to it"],
  ["old_hand", "Old hand"],
];
const FROM = {
  maker: {
    own: "from your record",
    guess: "your guess only",
    moved: "your guess, moved by what your other steps showed",
    both: "your guess and record together",
  },
  usual: {
    own: "from your record",
    guess: "a usual figure, not your guess",
    moved: "the usual figure, moved by what your other steps showed",
    both: "a usual figure and your record together",
  },
};

/** Steps of all planned open pieces, once each, in making order. */
export function plannedSteps() {
  /** @type {Map<string, any>} */
  const steps = new Map();
  for (const { id, state } of store.things("piece")) {
    if (state === "done") continue;
    for (const step of store.answers.plan(id)?.steps ?? [])
      if (!steps.has(step.step)) steps.set(step.step, step);
  }
  return [...steps.values()];
}

/** @param {any} forecast @param {(step: any) => void} openTrial @param {History} history */
export function stepsSheet(forecast, openTrial, history) {
  const steps = plannedSteps();
  if (!steps.length) return null;
  return html`<section class="sheet" aria-labelledby="pace-steps"><h2 id="pace-steps">Your pace, step by step</h2>
    <p class="soft">A guess is enough to begin; ten timed minutes are worth much more, and every counted sitting more still.</p>
    ${bestTrial(forecast, steps)}${practiceWords(forecast?.pace ?? [])}
    <div class="tiles">${steps.map((step) => stepCard(step, forecast, openTrial, history))}</div></section>`;
}

/** @param {any} planned @param {any} forecast @param {(step: any) => void} openTrial @param {History} history */
function stepCard(planned, forecast, openTrial, history) {
  const key = planned.step;
  /** @type {Record<string, any>} */
  const own = store.thing("step", key) ?? {};
  const guess = ownGuess(store, planned);
  const pace = forecast?.pace?.find((/** @type {any} */ p) => p.step === key);
  const name = upper(planned.name ?? stepName(store, key));
  return html`<article class="step" aria-label=${name}><h3>${name} <span class="soft">per ${planned.item ?? "item"}</span></h3>
    ${pace ? paceWords(pace, guess ?? planned.guess_min_per_item) : null}
    <div class="pair">
      ${timeField(
        `guess-${key}`,
        (unit) => `Your guess, ${unit}`,
        guess,
        guess != null && own.guess_min_per_item == null ? null : planned.guess_min_per_item,
        (m) => store.set("step", key, { guess_min_per_item: m }),
      )}
      ${choiceField(`hand-${key}`, "Your experience", own.practised, PRACTISED, (v) => store.set("step", key, { practised: v || null }), { hint: own.practised ? "" : narrowWords(forecast, key, "practised") })}
    </div>
    <div class="row"><button @click=${() => openTrial(planned)} aria-label=${`Time ten minutes of ${name}`}>Time ten minutes</button>
      <span class="soft">${trialWords(own.trial)}${narrowWords(forecast, key, "trial")}</span></div>
    ${history.view(key, name, pace)}
  </article>`;
}

/** @param {any} pace @param {number | null | undefined} guess minutes that it began from */
function paceWords(pace, guess) {
  const { p10, p50, p90 } = pace.min_per_item;
  return html`<p><strong>${minutes(p50)}</strong> each <span class="soft">(${minutes(p10)} to ${minutes(p90)}, ${fromWords(pace, guess)})</span></p>`;
}

/** Whose word the pace is. @param {any} pace @param {number | null | undefined} guess */
function fromWords(pace, guess) {
  const words = FROM[pace.guess_from === "usual" ? "usual" : "maker"];
  const moved =
    pace.from === "guess" && guess && Math.abs(pace.min_per_item.p50 / guess - 1) > MOVED;
  return moved
    ? words.moved
    : (words[/** @type {"own" | "guess" | "both"} */ (pace.from)] ?? FROM.maker.own);
}

/** @param {number} trend change of the time each time the items made double */
const trendWords = (trend) =>
  trend < 0 ? `▼ ${percent(-trend)} quicker` : `▲ ${percent(trend)} slower`;

/** The same for all steps is said once. @param {any[]} paces */
function practiceWords(paces) {
  const trends = paces
    .map((p) => p.trend)
    .filter((t) => typeof t === "number" && Math.abs(t) >= 0.01);
  if (!trends.length || Math.max(...trends) - Math.min(...trends) > 0.005) return null;
  return html`<p>With practice: <strong>${trendWords(trends[0])}</strong> each time the number you have made doubles.</p>`;
}

/** What would tell most. @param {any} forecast @param {any[]} steps */
function bestTrial(forecast, steps) {
  const rows = (forecast?.narrow ?? []).filter(
    (/** @type {any} */ n) => n.trial >= 0.02 && steps.some((s) => s.step === n.step),
  );
  const best = rows.sort((/** @type {any} */ a, /** @type {any} */ b) => b.trial - a.trial)[0];
  if (!best) return null;
  return html`<p>What would tell most now: ten timed minutes of <strong>${stepName(store, best.step)}</strong>; the span would be ${percent(best.trial)} shorter.</p>`;
}

/** @param {any} trial */
const trialWords = (trial) =>
  trial
    ? `Timed${trial.date ? ` on ${day(trial.date, true)}` : ""}: ${trial.items} in ${minutes(trial.minutes)}. `
    : "";

/** @param {any} forecast @param {string} step @param {"trial" | "practised"} by */
function narrowWords(forecast, step, by) {
  const share = forecast?.narrow?.find((/** @type {any} */ n) => n.step === step)?.[by] ?? 0;
  return share >= 0.01 ? `Would narrow the span by ${percent(share)}.` : "";
}

/** The sittings behind a step's pace, drawn when asked for. */
export class History {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {Map<string, import("../../pictures/pace.js").Rivet[]>} */
    this.open = new Map();
  }

  /** @param {string} step */
  async load(step) {
    const rows = (await history.sittings({ step, most: MOST }))
      .filter((s) => s.timed > 0 && s.minutes > 0)
      .reverse();
    this.open.set(
      step,
      rows.map((s) => ({ date: s.date, each: s.minutes / s.timed, items: s.items })),
    );
    this.redraw();
  }

  /** @param {string} step @param {string} name @param {any} pace */
  view(step, name, pace) {
    const toggle = (/** @type {Event} */ e) => {
      if (!(/** @type {HTMLDetailsElement} */ (e.target).open)) this.open.delete(step);
      else this.load(step).catch(() => this.open.delete(step));
    };
    const rows = this.open.get(step);
    return html`<details @toggle=${toggle}><summary>Its sittings<span class="quiet">: ${name}</span></summary>
      ${rows?.length ? paceOverTime(rows, pace?.min_per_item, today(), name) : rows ? html`<p class="soft">None is counted and timed yet.</p>` : null}</details>`;
  }
}

// The pace of each step: the maker's guess, how practised, what the record says, and the ten-minute trial.
import { html } from "../../vendor/lit-html.js";
import { forecast as text, ui } from "../../texts/texts.js";
import * as history from "../../store/history.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { ownGuess } from "../../engine/questions.js";
import { percent } from "../../format/numbers.js";
import { experienceField, timeField } from "../../ui/form-fields.js";
import { richText } from "../../ui/rich-text.js";
import { paceOverTime } from "../../pictures/pace.js";
import { day, minutes, stepName, upper } from "../../format/words.js";

/** @typedef {import("../../answers").ForecastAnswer} ForecastAnswer */
/** @typedef {import("../../answers").PlannedStep} PlannedStep */
/** @typedef {import("../../answers").StepPace} StepPace */

const MOST = 200,
  MOVED = 0.03; // share of a guess that shows once it is rounded

/** Steps of all planned open pieces, once each, in making order. */
export function plannedSteps() {
  /** @type {Map<string, PlannedStep>} */
  const steps = new Map();
  for (const { id, state } of store.things("piece")) {
    if (state === "done") continue;
    for (const step of store.answers.plan(id)?.steps ?? [])
      if (!steps.has(step.step)) steps.set(step.step, step);
  }
  return [...steps.values()];
}

/** @param {ForecastAnswer | null} forecast @param {(step: PlannedStep) => void} openTrial @param {History} history */
export function stepsSheet(forecast, openTrial, history) {
  const steps = plannedSteps();
  if (!steps.length) return null;
  return html`<section class="sheet" aria-labelledby="pace-steps"><h2 id="pace-steps">${text.paceTitle}</h2>
    <p class="soft">${text.paceAbout}</p>
    ${bestTrial(forecast, steps)}${practiceWords(forecast?.pace ?? [])}
    <div class="tiles">${steps.map((step) => stepCard(step, forecast, openTrial, history))}</div></section>`;
}

/** @param {PlannedStep} planned @param {ForecastAnswer | null} forecast @param {(step: PlannedStep) => void} openTrial @param {History} history */
function stepCard(planned, forecast, openTrial, history) {
  const key = planned.step;
  const own = store.thing("step", key);
  const guess = ownGuess(store, planned);
  const pace = forecast?.pace?.find((p) => p.step === key);
  const name = upper(planned.name ?? stepName(store, key));
  return html`<article class="step" aria-label=${name}><h3>${name} <span class="soft">${text.perItem(planned.item ?? ui.item)}</span></h3>
    ${pace ? paceWords(pace, guess ?? planned.guess_min_per_item) : null}
    <div class="pair">
      ${timeField(
        `guess-${key}`,
        text.guess,
        guess,
        guess != null && own?.guess_min_per_item == null ? null : planned.guess_min_per_item,
        (m) => store.set("step", key, { guess_min_per_item: m }),
      )}
      ${experienceField(`hand-${key}`, own?.practised, (v) => store.set("step", key, { practised: v }), own?.practised ? "" : narrowWords(forecast, key, "practised"))}
    </div>
    <div class="row"><button @click=${() => openTrial(planned)} aria-label=${ui.named(text.timeYourself, name)}>${text.timeYourself}</button>
      <span class="soft">${trialWords(own?.trial)} ${narrowWords(forecast, key, "trial")}</span></div>
    ${history.view(key, name, pace)}
  </article>`;
}

/** @param {StepPace} pace @param {number | null | undefined} guess minutes that it began from */
function paceWords(pace, guess) {
  const { p10, p50, p90 } = pace.min_per_item;
  return html`<p>${richText(text.each(minutes(p50)))} <span class="soft">${text.paceRange(minutes(p10), minutes(p90), fromWords(pace, guess))}</span></p>`;
}

/** Whose word the pace is. @param {StepPace} pace @param {number | null | undefined} guess */
function fromWords(pace, guess) {
  const words = text.paceFrom,
    usual = pace.guess_from === "usual";
  if (pace.from === "both") return usual ? words.usualAndOwn : words.both;
  if (pace.from !== "guess") return words.own;
  const moved = guess && Math.abs(pace.min_per_item.p50 / guess - 1) > MOVED;
  if (moved) return usual ? words.usualMoved : words.guessMoved;
  return usual ? words.usual : words.guess;
}

/** @param {number} trend change of the time each time the items made double */
const trendWords = (trend) =>
  trend < 0 ? text.quicker(percent(-trend)) : text.slower(percent(trend));

/** The same for all steps is said once. @param {StepPace[]} paces */
function practiceWords(paces) {
  const trends = paces
    .map((p) => p.trend)
    .filter((t) => typeof t === "number" && Math.abs(t) >= 0.01);
  if (!trends.length || Math.max(...trends) - Math.min(...trends) > 0.005) return null;
  return html`<p>${richText(text.withPractice(trendWords(trends[0])))}</p>`;
}

/** What would tell most. @param {ForecastAnswer | null} forecast @param {PlannedStep[]} steps */
function bestTrial(forecast, steps) {
  const rows = (forecast?.narrow ?? []).filter(
    (n) => n.trial >= 0.02 && steps.some((s) => s.step === n.step),
  );
  const best = rows.sort((a, b) => b.trial - a.trial)[0];
  if (!best) return null;
  return html`<p>${richText(text.bestTrial(stepName(store, best.step), percent(best.trial)))}</p>`;
}

/** @param {import("../../entities").Trial | null | undefined} trial */
function trialWords(trial) {
  if (!trial) return "";
  const { items, date } = trial,
    time = minutes(trial.minutes);
  return date ? text.timedOn(day(date, true), items, time) : text.timed(items, time);
}

/** @param {ForecastAnswer | null} forecast @param {string} step @param {"trial" | "practised"} by */
function narrowWords(forecast, step, by) {
  const share = forecast?.narrow?.find((n) => n.step === step)?.[by] ?? 0;
  return share >= 0.01 ? text.surer(percent(share)) : "";
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

  /** @param {string} step @param {string} name @param {StepPace | undefined} pace */
  view(step, name, pace) {
    const toggle = (/** @type {Event} */ e) => {
      if (!(/** @type {HTMLDetailsElement} */ (e.target).open)) this.open.delete(step);
      else this.load(step).catch(() => this.open.delete(step));
    };
    const rows = this.open.get(step);
    return html`<details @toggle=${toggle}><summary>${text.sittings}<span class="quiet">: ${name}</span></summary>
      ${rows?.length ? paceOverTime(rows, pace?.min_per_item, today(), name) : rows ? html`<p class="soft">${text.noSittings}</p>` : null}</details>`;
  }
}

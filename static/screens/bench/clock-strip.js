// The clock of the sitting: its time, pause and stop, and whether the screen stays on.
import { bench as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { Wake } from "../../device/wake-lock.js";

/** Hours and minutes as on a clock. @param {number} minutes */
export function clockTime(minutes) {
  const whole = Math.floor(minutes + 1e-6);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

export class ClockStrip {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.root = document.createElement("div");
    this.root.className = "strip";
    this.time = document.createElement("p");
    this.time.className = "strip-time figure";
    this.what = document.createElement("p");
    this.what.className = "strip-what";
    this.on = document.createElement("span");
    this.screen = document.createElement("span");
    this.what.append(this.on, this.screen);
    this.pause = this.#button("strip-pause", () => this.toggle());
    this.stop = this.#button("strip-stop", () => store.clock.stop());
    this.stop.textContent = text.stop;
    this.stop.setAttribute("aria-label", text.stopClock);
    this.wake = new Wake(() => this.draw());
    this.root.append(this.time, this.what, this.pause, this.stop);
    setInterval(() => this.tick(), 5000);
    this.draw();
  }

  /** @param {string} name @param {() => void} act */
  #button(name, act) {
    const out = document.createElement("button");
    out.type = "button";
    out.className = name;
    out.addEventListener("click", act);
    return out;
  }

  /** Pauses, resumes, or starts with the lane in hand. */
  toggle() {
    const { shown: clock } = store.clock;
    if (clock?.running) return store.clock.pause();
    if (clock?.paused) return store.clock.resume();
    const lane = this.bench.laneInHand();
    if (lane) return store.clock.start(lane.piece, lane.step);
    this.bench.panels?.prompts.note(text.clockNeedsStep);
    return Promise.resolve();
  }

  tick() {
    const text = clockTime(store.clock.shown?.minutes() ?? 0);
    if (this.time.textContent !== text) this.time.textContent = text;
  }

  draw() {
    const { shown: clock } = store.clock;
    const state = clock?.running ? "running" : clock?.paused ? "paused" : "stopped";
    this.root.dataset.clock = state;
    this.wake.want(state === "running" && store.own("awake", true));
    this.pause.textContent = { running: text.pause, paused: text.resume, stopped: text.start }[
      state
    ];
    this.pause.setAttribute(
      "aria-label",
      { running: text.pauseClock, paused: text.resumeClock, stopped: text.startClock }[state],
    );
    this.stop.hidden = state === "stopped";
    const lane = clock ? this.bench.nameOf(clock.piece, clock.step) : "";
    this.on.textContent = { running: lane, paused: text.paused(lane), stopped: text.clockStarts }[
      state
    ];
    this.screen.textContent =
      state === "running" && store.own("awake", true) ? text.screenStays[this.wake.state] : "";
    this.tick();
  }
}

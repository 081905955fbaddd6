// The clock of the sitting: its time, pause and stop by touch, and whether the screen stays on.
import { store } from "../../store/store.js";
import { Wake } from "../../device/wake-lock.js";

const STAYS = {
  on: "Screen on",
  off: "May sleep",
  refused: "May sleep: refused",
  missing: "May sleep: no lock",
};

/** Hours and minutes as a clock has them. @param {number} minutes */
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
    this.stop = this.#button("strip-stop", () => store.stopClock());
    this.stop.textContent = "Stop";
    this.stop.setAttribute("aria-label", "Stop the clock");
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

  /** Pause, go on, or start with the lane in hand. */
  toggle() {
    const { clock } = store;
    if (clock?.running) return store.pause();
    if (clock?.paused) return store.go();
    const lane = this.bench.laneInHand();
    if (lane) return store.startClock(lane.piece, lane.step);
    this.bench.around?.asking.said(
      "Put a step on the Bench first: the clock runs for one of them.",
    );
    return Promise.resolve();
  }

  tick() {
    const text = clockTime(store.clock?.minutes() ?? 0);
    if (this.time.textContent !== text) this.time.textContent = text;
  }

  draw() {
    const { clock } = store;
    const state = clock?.running ? "running" : clock?.paused ? "paused" : "stopped";
    this.root.dataset.clock = state;
    this.wake.want(state === "running" && store.own("awake", true));
    this.pause.textContent = { running: "Pause", paused: "Go on", stopped: "Start" }[state];
    this.pause.setAttribute(
      "aria-label",
      { running: "Pause the clock", paused: "Let the clock go on", stopped: "Start the clock" }[
        state
      ],
    );
    this.stop.hidden = state === "stopped";
    this.on.textContent =
      state === "stopped"
        ? "The clock starts with the first tap"
        : (state === "paused" ? "Paused: " : "") +
          (clock ? this.bench.nameOf(clock.piece, clock.step) : "");
    this.screen.textContent =
      state === "running" && store.own("awake", true) ? STAYS[this.wake.state] : "";
    this.tick();
  }
}

// Keeps the screen on while a sitting runs, and says whether it does.

/** @typedef {"on" | "off" | "refused" | "missing"} WakeState */

export class Wake {
  /** @param {(state: WakeState) => void} onState */
  constructor(onState) {
    this.onState = onState;
    this.wanted = false;
    /** @type {WakeLockSentinel | null} */
    this.lock = null;
    /** @type {WakeState} */
    this.state = "wakeLock" in navigator ? "off" : "missing";
    document.addEventListener("visibilitychange", () => this.#try());
  }

  /** @param {boolean} wanted */
  want(wanted) {
    if (wanted === this.wanted) return;
    this.wanted = wanted;
    if (wanted) this.#try();
    else this.lock?.release().catch(() => {});
  }

  async #try() {
    if (!this.wanted || document.hidden || this.lock || this.state === "missing") return;
    try {
      this.lock = await navigator.wakeLock.request("screen");
      this.lock.addEventListener("release", () => {
        this.lock = null;
        this.#setState("off");
      });
      if (!this.wanted) this.lock.release().catch(() => {});
      else this.#setState("on");
    } catch {
      this.#setState("refused"); // low battery, or a browser that says no in an installed page
    }
  }

  /** @param {WakeState} state */
  #setState(state) {
    this.state = state;
    this.onState(state);
  }
}

// The piece drawn as its fabric: a column of rings for each chain, filled where it hangs, hatched
// where it is in hand, outlined where it is to come. The drawing alone shows which is which; colour only helps.

/** @typedef {import("./fabric-progress.js").Chain} Chain */

export class Fabric {
  constructor() {
    this.root = document.createElement("div");
    this.root.className = "fabric";
    this.root.setAttribute("role", "img");
    this.canvas = document.createElement("canvas");
    this.canvas.setAttribute("aria-hidden", "true");
    this.root.append(this.canvas);
    /** @type {Chain[]} */
    this.chains = [];
    /** @type {number[]} shares of steps, for a piece without chains */
    this.bars = [];
    this.waiting = 0;
    new ResizeObserver(() => this.soon()).observe(this.root);
  }

  /** @param {Chain[]} chains @param {number[]} bars @param {string} words */
  update(chains, bars, words) {
    this.chains = chains;
    this.bars = bars;
    this.root.setAttribute("aria-label", words);
    this.soon();
  }

  soon() {
    if (!this.waiting)
      this.waiting = requestAnimationFrame(() => {
        this.waiting = 0;
        this.draw();
      });
  }

  draw() {
    const { width, height } = this.root.getBoundingClientRect();
    const dense = Math.min(3, devicePixelRatio || 1);
    this.canvas.width = Math.round(width * dense);
    this.canvas.height = Math.round(height * dense);
    const pen = this.canvas.getContext("2d");
    if (!pen || width < 8 || height < 8) return;
    const style = getComputedStyle(this.root);
    const ink = (/** @type {string} */ name) => style.getPropertyValue(name).trim();
    pen.scale(dense, dense);
    if (this.chains.length)
      this.#chains(pen, width, height, {
        done: ink("--done"),
        hand: ink("--hand"),
        ahead: ink("--line"),
      });
    else this.#bars(pen, width, height, ink("--done"), ink("--line"));
  }

  /**
   * @param {CanvasRenderingContext2D} pen
   * @param {number} width
   * @param {number} height
   * @param {Record<string, string>} ink
   */
  #chains(pen, width, height, ink) {
    const tall = Math.max(...this.chains.map((c) => c.size));
    const step = width / this.chains.length;
    const wide = Math.max(1, step - Math.min(3, step * 0.2));
    const unit = height / tall;
    this.chains.forEach((chain, k) => {
      const x = k * step,
        top = (height - chain.size * unit) / 2;
      const made = chain.units * unit,
        foot = top + chain.size * unit;
      pen.strokeStyle = pen.fillStyle = ink[chain.state];
      pen.lineWidth = 1;
      pen.strokeRect(
        x + 0.5,
        top + 0.5,
        Math.max(0.5, wide - 1),
        Math.max(0.5, chain.size * unit - 1),
      );
      if (chain.state === "done") {
        pen.fillRect(x, top, wide, chain.size * unit);
        if (wide > 12) this.#rings(pen, x, top, wide, chain.size * unit);
      } else if (chain.state === "hand") this.#hatch(pen, x, foot - made, wide, made);
    });
  }

  /**
   * Rings showing through a filled chain, row over row.
   * @param {CanvasRenderingContext2D} pen
   * @param {number} x
   * @param {number} top
   * @param {number} wide
   * @param {number} high
   */
  #rings(pen, x, top, wide, high) {
    const r = Math.max(3, Math.min(9, wide / 5));
    pen.save();
    pen.beginPath();
    pen.rect(x, top, wide, high);
    pen.clip();
    pen.globalCompositeOperation = "destination-out";
    pen.lineWidth = r / 5;
    for (let k = 0, y = top + r; y < top + high + r; y += 1.1 * r, k++) {
      for (let at = x + (k % 2 ? 0 : 1.3 * r); at < x + wide + r; at += 2.6 * r) {
        pen.beginPath();
        pen.ellipse(at, y, 0.95 * r, r, 0, 0, 2 * Math.PI);
        pen.stroke();
      }
    }
    pen.restore();
  }

  /**
   * @param {CanvasRenderingContext2D} pen
   * @param {number} x
   * @param {number} top
   * @param {number} wide
   * @param {number} high
   */
  #hatch(pen, x, top, wide, high) {
    pen.save();
    pen.beginPath();
    pen.rect(x, top, wide, high);
    pen.clip();
    pen.lineWidth = 2;
    pen.beginPath();
    for (let y = top - wide; y < top + high + wide; y += 5) {
      pen.moveTo(x, y + wide);
      pen.lineTo(x + wide, y);
    }
    pen.stroke();
    pen.restore();
  }

  /**
   * @param {CanvasRenderingContext2D} pen
   * @param {number} width
   * @param {number} height
   * @param {string} done
   * @param {string} line
   */
  #bars(pen, width, height, done, line) {
    const each = height / Math.max(1, this.bars.length);
    this.bars.forEach((share, k) => {
      pen.strokeStyle = line;
      pen.strokeRect(0.5, k * each + 1.5, width - 1, Math.max(1, each - 3));
      pen.fillStyle = done;
      pen.fillRect(0, k * each + 1, width * Math.min(1, share), Math.max(1, each - 2));
    });
  }
}

// A file of the log, taken apart as it is read: the page's own file, one object whose `changes` are a list, and
// the lines of `ringwright export`. Only ever a portion of it is held, however long the one line is.

/** @typedef {{line: number, text: string, head: boolean}} Part one JSON text; `head`: what stands before the list */

/** The file ends in the middle, or has something between its entries that is none. */
export class Broken extends Error {
  /** @param {number} line where the entry begins */
  constructor(line) {
    super();
    this.line = line;
  }
}

const LIST = /"changes"\s*:\s*$/,
  BETWEEN = /^[\s,]*$/;

export class Splitter {
  constructor() {
    this.line = 1;
    this.began = 1;
    this.depth = 0;
    /** How deep an entry begins: within the list of `changes` it stands in an object and a list. */
    this.base = 0;
    this.quoted = false;
    this.escaped = false;
    /** What was read of the present entry, or since the last one. */
    this.held = "";
  }

  /** @param {string} text what follows in the file @returns {Part[]} the entries that end in it */
  push(text) {
    const parts = /** @type {Part[]} */ ([]),
      marks = /["\\{}[\]\n]/g;
    let from = 0;
    if (this.escaped) marks.lastIndex = 1; // a backslash was the last letter of the text before
    this.escaped = false;
    for (let found = marks.exec(text); found; found = marks.exec(text)) {
      const at = found.index,
        sign = found[0];
      if (sign === "\n") {
        if (this.quoted) throw new Broken(this.began); // no JSON text runs over a line's end
        this.line++;
      } else if (this.quoted) {
        if (sign === '"') this.quoted = false;
        else if (sign === "\\") {
          marks.lastIndex = at + 2;
          this.escaped = at + 1 === text.length;
        }
      } else if (sign === '"') this.quoted = true;
      else from = this.bracket(sign, text, from, at, parts);
    }
    this.held += text.slice(from);
    return parts;
  }

  /**
   * @param {string} sign @param {string} text @param {number} from where what is not held yet begins
   * @param {number} at @param {Part[]} parts @returns {number} where it begins now
   */
  bracket(sign, text, from, at, parts) {
    const opens = sign === "{" || sign === "[";
    if (opens && this.depth === this.base) {
      this.between(this.held + text.slice(from, at));
      this.began = this.line;
      this.held = "";
      from = at;
    }
    if (sign === "[" && this.depth === 1 && LIST.test(this.held + text.slice(from, at))) {
      parts.push({ line: this.began, text: `${this.held}${text.slice(from, at)}[]}`, head: true });
      [this.depth, this.base, this.held] = [2, 2, ""];
      return at + 1;
    }
    this.depth += opens ? 1 : -1;
    if (opens) return from;
    if (this.base === 2 && this.depth === 1) {
      this.between(this.held + text.slice(from, at)); // the list ends; what follows it says nothing of changes
      [this.base, this.held] = [0, "{"];
      return at;
    }
    if (this.depth < this.base) throw new Broken(this.line);
    if (this.depth > this.base) return from;
    const whole = this.held + text.slice(from, at + 1);
    if (!whole.startsWith("{]")) parts.push({ line: this.began, text: whole, head: false });
    this.held = "";
    return at + 1;
  }

  /** @param {string} text */
  between(text) {
    if (!BETWEEN.test(text)) throw new Broken(this.line);
  }

  /** The file is at its end. */
  end() {
    if (this.depth || this.quoted) throw new Broken(this.began);
    this.between(this.held);
  }
}

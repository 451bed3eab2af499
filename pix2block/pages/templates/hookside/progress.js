// How far the piece is: a place between two steps, kept on this device, moved as a code or a file.

const LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"; // without I, L, O, U
const FILE_VERSION = 1;
const MOST_TAPS = 150;

/** @typedef {import("./piece.js").Piece} Piece */
/** @typedef {import("./piece.js").Place} Place */

export class Progress {
  /** @param {Piece} piece @param {Storage | null} storage */
  constructor(piece, storage) {
    this.piece = piece;
    this.storage = storage;
    const [row, runs] = piece.done || [0, null];
    this.place = runs === null || piece.stepsOf(row).length === 1 ? { row: row + 1, step: 0 } : { row, step: runs + 1 };
    this.byRow = false;
    /** @type {[number, number][]} seconds that a step took and minutes that were planned for it */
    this.taps = [];
    /** @type {Record<string, {amount: number, unit: "g" | "m", runs: number}>} what was left, and when */
    this.left = {};
    this.evening = { hours: 2, from: 1, minutes: 0 };
    this.kept = true;
    /** @type {Record<string, unknown>} keys that this page does not know: they are kept */
    this.more = {};
    /** @type {number[]} */ this.changedMade = [];
    /** @type {number[]} */ this.changedAhead = [];
    this.load();
  }

  get key() { return `pix2block hookside ${this.piece.key}`; }
  get finished() { return this.place.row > this.piece.last; }

  /** How many runs of the piece are made. */
  get runsMade() {
    if (this.finished) return this.piece.allRuns;
    const steps = this.piece.stepsOf(this.place.row);
    const first = this.piece.firstRun[this.place.row - 1];
    if (steps.length === 1) return first;
    return first + Math.min(Math.max(0, this.place.step - 1), steps.length - 2);
  }

  /** The last row of which anything is made, and how many of its runs; runs null: all, and its end. */
  get done() {
    const { row } = this.place, first = this.piece.firstRun[Math.min(row, this.piece.last + 1) - 1];
    const runs = this.finished ? 0 : this.runsMade - first;
    return runs ? { row, runs } : { row: row - 1, runs: null };
  }

  /** One step on, or in one go to the end of its row. */
  forward(seconds = 0) {
    if (this.finished) return false;
    const steps = this.piece.stepsOf(this.place.row), { row, step } = this.place;
    const made = this.byRow ? steps.slice(step) : [steps[step]];
    const minutes = made.filter((s) => s.kind === "run" || s.kind === "row").reduce((sum, s) => sum + this.piece.minutes(s.run), 0);
    if (seconds > 0 && minutes > 0) this.taps = [...this.taps, /** @type {[number, number]} */ ([Math.round(seconds), minutes])].slice(-MOST_TAPS);
    this.evening.minutes += seconds / 60;
    this.place = step + made.length < steps.length ? { row, step: step + made.length } : { row: row + 1, step: 0 };
    this.keep();
    return true;
  }

  /** One step back, or in one go to the begin of its row, or of the row before. */
  back() {
    const { row, step } = this.place;
    if (row === 1 && step === 0) return false;
    if (this.byRow) this.place = { row: step ? row : row - 1, step: 0 };
    else this.place = step ? { row, step: step - 1 } : { row: row - 1, step: this.piece.stepsOf(row - 1).length - 1 };
    this.keep();
    return true;
  }

  /** @param {number} row the row that comes next @param {number} runs of it that are made */
  goTo(row, runs = 0) {
    const steps = row <= this.piece.last ? this.piece.stepsOf(row).length : 1;
    this.place = { row, step: runs && steps > 1 ? Math.min(runs + 1, steps - 1) : 0 };
    this.keep();
  }

  // Kept on the device

  get written() {
    const { piece, place, byRow, taps, left, evening } = this;
    const signs = [];
    for (let row = 1; row <= piece.last; row++) signs.push(piece.signOf(row));
    return { ...this.more, pix2block: "hookside", version: FILE_VERSION, title: piece.title, piece: piece.key, ...this.done, step: place.step, next: place.row, rows: piece.last, by_row: byRow, taps, left, evening, signs };
  }

  keep() {
    try {
      if (!this.storage) throw new Error("none");
      this.storage.setItem(this.key, JSON.stringify(this.written));
      this.kept = true;
    } catch (error) { this.kept = false; }
  }

  load() {
    try {
      const text = this.storage && this.storage.getItem(this.key);
      if (text) this.take(JSON.parse(text));
    } catch (error) { this.kept = false; }
  }

  /** Takes over what was written elsewhere, or here before. @param {any} kept */
  take(kept) {
    const { piece } = this, wrong = (words) => { throw new Error(words); };
    if (!kept || kept.pix2block !== "hookside") wrong("This is no file of a hookside page.");
    if (kept.version > FILE_VERSION) wrong("This file is of a newer hookside page: make this page again.");
    if (kept.piece !== piece.key) wrong(`This file is of another piece, ${kept.title}.`);
    const row = Math.min(Math.max(1, Number(kept.next) || 1), piece.last + 1);
    const steps = row <= piece.last ? piece.stepsOf(row).length : 1;
    this.place = { row, step: Math.min(Math.max(0, Number(kept.step) || 0), steps - 1) };
    this.byRow = kept.by_row === true;
    this.taps = Array.isArray(kept.taps) ? kept.taps.slice(-MOST_TAPS) : [];
    this.left = kept.left && typeof kept.left === "object" ? kept.left : {};
    if (kept.evening && kept.evening.hours > 0) this.evening = kept.evening;
    this.more = {};
    this.more = Object.fromEntries(Object.entries(kept).filter(([key]) => !(key in this.written)));
    const signs = Array.isArray(kept.signs) ? kept.signs : [];
    const changed = [];
    signs.forEach((sign, i) => { if (i < piece.last && sign !== piece.signOf(i + 1)) changed.push(i + 1); });
    this.changedMade = changed.filter((n) => n < row);
    this.changedAhead = changed.filter((n) => n >= row);
    this.keep();
  }

  /** Every piece that this device keeps, but this one. */
  get others() {
    const found = [];
    try {
      for (let i = 0; this.storage && i < this.storage.length; i++) {
        const key = this.storage.key(i) || "";
        if (!key.startsWith("pix2block hookside ") || key === this.key) continue;
        const kept = JSON.parse(this.storage.getItem(key) || "{}");
        if (kept.title) found.push(`${kept.title}, ${kept.next > kept.rows ? "made" : `row ${kept.next} of ${kept.rows}`}`);
      }
    } catch (error) { /* another page's words */ }
    return found;
  }

  // As a code: the row, and thirty bits: ten of the run, five of the pace, a check over all

  /** @param {number} factor of the learned pace */
  code(factor = 1) {
    const { row } = this.place, first = this.piece.firstRun[Math.min(row, this.piece.last + 1) - 1];
    const pace = Math.min(31, Math.max(0, Math.round(16 + 8 * Math.log2(factor))));
    const bits = (this.finished ? 0 : this.runsMade - first) * 32 + pace;
    return `${row} ${letters(bits)} ${letters(check(this.piece.key, row, bits))}`;
  }

  /** Takes a code over, and gives the pace in it. Throws with words where it does not fit.
   * @param {string} text */
  takeCode(text) {
    const plain = text.toUpperCase().replace(/O/g, "0").replace(/[IL]/g, "1");
    const match = /^\s*(\d{1,4})\s+([0-9A-Z]{3})[\s-]*([0-9A-Z]{3})\s*$/.exec(plain);
    if (!match) throw new Error("A code is a row and twice three letters, as 57 KM4 QX7.");
    const row = Number(match[1]), bits = bitsOf(match[2]);
    if (row < 1 || row > this.piece.last + 1 || bitsOf(match[3]) !== check(this.piece.key, row, bits)) {
      throw new Error("This code is of another piece, or a letter of it is wrong.");
    }
    this.goTo(row, Math.floor(bits / 32));
    return 2 ** ((bits % 32 - 16) / 8);
  }
}

/** Fifteen bits as three letters. @param {number} bits */
function letters(bits) {
  return [10, 5, 0].map((shift) => LETTERS[(bits >> shift) & 31]).join("");
}

/** @param {string} word */
function bitsOf(word) {
  return [...word].reduce((bits, c) => bits * 32 + LETTERS.indexOf(c), 0);
}

/** Fifteen bits that tell another piece, row or run apart. @param {string} key @param {number} row @param {number} bits */
function check(key, row, bits) {
  let sum = 2166136261;
  for (const c of `${key} ${row} ${bits}`) sum = Math.imul(sum ^ c.charCodeAt(0), 16777619) >>> 0;
  return (sum ^ (sum >>> 15)) & 32767;
}

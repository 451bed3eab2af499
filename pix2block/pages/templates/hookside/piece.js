// A piece as the tool wrote it into the page: its rows, runs and strands, and the steps of a row.

/**
 * @typedef {object} Yarn
 * @property {string} name
 * @property {string} color "#rrggbb"
 * @property {number} held 1, or 2 for double
 * @property {?number} on_hand metres before the piece was begun
 * @property {?number} per_gram metres
 * @property {number} loop_cm as planned
 * @property {[number, number]} band of its lengths, as shares
 * @property {number} border metres
 */

/**
 * @typedef {object} Step
 * @property {"begin" | "run" | "end" | "row"} kind "row": a row of one yarn, which is one step
 * @property {number} run its run in the piece, from 0; of begin and end the nearest one
 */

/** @typedef {{row: number, step: number}} Place the step that comes next; row from 1 */

export const BEGINS = ["corner", "grow", "travel"];
const NONE = -1;

export class Piece {
  /** @param {any} data */
  constructor(data) {
    /** @type {string} */ this.title = data.title;
    /** @type {string} by which its progress is kept */ this.key = data.key;
    /** @type {"right" | "left"} */ this.hand = data.hand;
    /** @type {"us" | "uk"} */ this.terms = data.terms;
    /** @type {number} */ this.width = data.width;
    /** @type {number} */ this.height = data.height;
    /** @type {boolean} */ this.turned = data.turned;
    /** @type {{block: number, change: number}} minutes */ this.pace = data.pace;
    /** @type {Record<string, string>} stitches of what begins and ends a row */ this.parts = data.parts;
    /** @type {Record<string, number[]>} columns, a value a row */ this.rows = data.rows;
    /** @type {[number, number][]} */ this.groups = data.groups;
    /** @type {Record<"blocks" | "yarn" | "strand" | "behind", number[]>} */ this.runs = data.runs;
    /** @type {{yarn: number[], number: number[], metres: (?number)[]}} */ this.strands = data.strands;
    /** @type {?[number, ?number]} how far it was made when the page was written */
    this.done = data.done;
    /** @type {[number, number[]][]} rows before which strands that hang are cut */
    this.cuts = Object.entries(data.cuts).map(([row, strands]) => [Number(row), strands]);
    /** @type {any} figures of the tool's own forecast */ this.forecast = data.forecast;
    /** @type {Yarn[]} */
    this.yarns = data.yarns;
    this.last = data.rows.runs.length; // rows are counted from 1
    this.firstRun = [0];
    for (const many of data.rows.runs) this.firstRun.push(this.firstRun[this.firstRun.length - 1] + many);
    /** @type {string[]} */ this.signs = [];
    /** @type {number[]} the row of each run */ this.runRow = [];
    this.rows.runs.forEach((many, i) => { for (let k = 0; k < many; k++) this.runRow.push(i + 1); });
    /** @type {number[][]} */ this.strandRuns = this.strands.yarn.map(() => []);
    this.runs.strand.forEach((strand, run) => this.strandRuns[strand].push(run));
    this.blocksBefore = [0];
    for (const blocks of data.runs.blocks) this.blocksBefore.push(this.blocksBefore[this.blocksBefore.length - 1] + blocks);
  }

  get allRuns() { return this.runs.blocks.length; }

  /** Blocks of a row, which are min(n, W, H, W + H - n). */
  blocksOf(row) { return this.blocksBefore[this.firstRun[row]] - this.blocksBefore[this.firstRun[row - 1]]; }

  /** "RS" or "WS": odd rows show the right side. */
  isRight(row) { return row % 2 === 1; }

  begins(row) { return BEGINS[this.rows.begins[row - 1]]; }
  stops(row) { return this.rows.stops[row - 1] === 1; }
  marker(row) { return this.rows.marker[row - 1] === 1; }
  plain(row) { return this.rows.plain[row - 1] === 1; }

  /** The yarn of slip stitches or of the last loop where it is another one at this turn. */
  turnYarn(row, what) {
    const yarn = this.rows[what][row - 1];
    return yarn === NONE ? null : this.yarns[yarn];
  }

  /** The rows that are alike and are told together, first and last, or null. */
  gathered(row) { return this.groups.find(([first, last]) => first <= row && row <= last) || null; }

  /** @returns {Step[]} */
  stepsOf(row) {
    const first = this.firstRun[row - 1], end = this.firstRun[row];
    if (end - first === 1) return [{ kind: "row", run: first }];
    const steps = [{ kind: "begin", run: first }];
    for (let run = first; run < end; run++) steps.push({ kind: "run", run });
    steps.push({ kind: "end", run: end - 1 });
    return /** @type {Step[]} */ (steps);
  }

  isFirst(run) { return this.strandRuns[this.runs.strand[run]][0] === run; }
  /** Whether its strand ends after it, not hanging until it is cut. */
  isLast(run) {
    const strand = this.runs.strand[run];
    return this.strandRuns[strand].slice(-1)[0] === run && !this.cutBefore(strand);
  }

  /** The row before which a strand that hangs is cut, 0 where it is not. @param {number} strand */
  cutBefore(strand) {
    const found = this.cuts.find(([, strands]) => strands.includes(strand));
    return found ? found[0] : 0;
  }

  /** Strands that hang and are cut before a row. @param {number} row */
  cutAt(row) {
    const found = this.cuts.find(([at]) => at === row);
    return found ? found[1] : [];
  }
  number(run) { return this.strands.number[this.runs.strand[run]]; }

  /** Minutes that a run takes at the planned pace. */
  minutes(run) {
    const changes = run > 0 && this.runs.yarn[run] !== this.runs.yarn[run - 1];
    return this.runs.blocks[run] * this.pace.block + (changes ? this.pace.change : 0);
  }

  /** A short sign of what a row says, by which a changed row is noticed. */
  signOf(row) {
    if (this.signs[row]) return this.signs[row];
    let sign = 2166136261;
    for (let run = this.firstRun[row - 1]; run < this.firstRun[row]; run++) {
      for (const c of `${this.runs.blocks[run]} ${this.yarns[this.runs.yarn[run]].name} ${this.number(run)}|`) {
        sign = Math.imul(sign ^ /** @type {number} */ (c.codePointAt(0)), 16777619) >>> 0;
      }
    }
    this.signs[row] = sign.toString(36);
    return this.signs[row];
  }
}

// Yarn: what hangs, what comes before a row, what ripping back does, and whether it lasts.

import { sayMetres } from "./words.js";

/** @typedef {import("./piece.js").Piece} Piece */

/** The strands that hang after so many runs, in the order in which they are used next.
 * @param {Piece} piece @param {number} made @returns {number[]} */
export function hanging(piece, made) {
  const strands = new Map();
  for (let run = made; run < piece.allRuns; run++) {
    const strand = piece.runs.strand[run];
    if (!strands.has(strand) && piece.strandRuns[strand][0] < made) strands.set(strand, run);
  }
  const { cuts } = piece, next = piece.runRow[made] || piece.last + 1;
  const waiting = cuts.filter(([row]) => row > next || (row === next && made <= piece.firstRun[row - 1]));
  return [...strands.keys(), ...waiting.flatMap(([, cut]) => cut.filter((strand) => piece.strandRuns[strand][0] < made && !strands.has(strand)))];
}

/** "Tan 3", or "Tan" of a length for one run. @param {Piece} piece @param {number} strand */
export function bobbinName(piece, strand) {
  const number = piece.strands.number[strand], name = piece.yarns[piece.strands.yarn[strand]].name;
  return number ? `${name}\u00a0${number}` : name;
}

/** "Tan 3, 6.3 m; Moss 2, 1.2 m" @param {Piece} piece @param {number[]} strands */
export const toWind = (piece, strands) => strands.map((s) => `${bobbinName(piece, s)}, ${sayMetres(Number(piece.strands.metres[s]))}`).join("; ");

/** What a row wants before it: strands to wind, those to take up that rested, those to cut, since
 * the row before was their last. @param {Piece} piece @param {number} row */
export function before(piece, row) {
  const runs = (/** @type {number} */ n) => { const all = []; for (let run = piece.firstRun[n - 1]; run < piece.firstRun[n]; run++) all.push(run); return all; };
  const here = runs(row), wind = [], up = new Set();
  const last = row > 1 ? new Set(runs(row - 1).map((run) => piece.runs.strand[run])) : new Set();
  for (const run of here) {
    const strand = piece.runs.strand[run];
    if (piece.isFirst(run)) { if (piece.strands.metres[strand] !== null) wind.push(strand); } else if (piece.strandRuns[strand][0] < here[0] && !last.has(strand)) up.add(strand);
  }
  return { wind, up: [...up], off: piece.cutAt(row), cut: here.filter((run) => piece.isLast(run)).map((run) => piece.runs.strand[run]) };
}

/** What taking a row out again does: strands that come out whole, that hang again, and that were
 * cut in it and are to be joined again. @param {Piece} piece @param {number} row @param {number} made runs that are made */
export function ripping(piece, row, made) {
  const first = piece.firstRun[row - 1], whole = [], hang = [], join = [];
  const strands = new Set(piece.runs.strand.slice(first, Math.min(made, piece.firstRun[row])));
  for (const strand of strands) {
    const runs = piece.strandRuns[strand];
    if (runs[0] >= first) whole.push(strand);
    else if (runs[runs.length - 1] < made && !piece.cutBefore(strand)) join.push(strand);
    else hang.push(strand);
  }
  return { whole, hang, join };
}

// Whether the yarn lasts: the arithmetic of the tool's own forecast (its page says where it stands)

const LIKELY = 1.959964; // a band holds nineteen times of twenty

/**
 * @typedef {object} Lasting
 * @property {number} yarn
 * @property {number} need metres of the rest, likely
 * @property {number} error as a share
 * @property {?number} left metres
 * @property {boolean} doubtful
 * @property {?("enough" | "tight" | "short")} verdict
 * @property {?number} endsRow
 * @property {?number} chance that it is enough
 */

/** @param {Piece} piece @param {number} made runs that are made @param {Record<string, {amount: number, unit: string, runs: number}>} told
 * @returns {Lasting[]} */
export function lasting(piece, made, told) {
  const f = piece.forecast, { runs, yarns } = piece;
  const loops = yarns.map(() => 0), others = yarns.map(() => 0);
  /** The tails of cut strands of a yarn. @param {number[]} strands @param {number} i */
  const cutCm = (strands, i) => strands.filter((s) => piece.strands.yarn[s] === i).length * f.tail_cm * yarns[i].held;
  const loopCm = yarns.map((yarn) => yarn.loop_cm);
  const error = yarns.map((yarn) => (yarn.band[1] - yarn.band[0]) / 2);
  const measured = yarns.map(() => false), doubtful = yarns.map(() => false);
  /** @type {(?number)[]} */ const left = yarns.map(() => null);
  const at = yarns.map((yarn) => (told[yarn.name] ? told[yarn.name].runs : made));
  yarns.forEach((yarn, i) => {
    for (let run = 0; run < at[i]; run++) {
      if (runs.yarn[run] !== i) continue;
      loops[i] += f.loops[run];
      others[i] += f.others[run] * yarn.held;
    }
    for (const [row, strands] of piece.cuts) {
      if (row <= piece.runRow[at[i] - 1]) others[i] += cutCm(strands, i);
    }
    const one = told[yarn.name];
    if (!one) return;
    const grams = one.unit === "g";
    left[i] = grams ? one.amount * (yarn.per_gram || 0) : one.amount;
    if (yarn.on_hand === null || !loops[i]) return;
    const off = grams ? f.weighing_g * (yarn.per_gram || 0) : f.metre_m;
    const used = yarn.on_hand - /** @type {number} */ (left[i]), planned = yarn.loop_cm;
    const own = (used * 100 - others[i]) / (loops[i] * yarn.held);
    const ownError = Math.SQRT2 * off * 100 / (planned * loops[i] * yarn.held);
    const low = Math.min(yarn.band[0], f.hands[0]), high = Math.max(yarn.band[1], f.hands[1]);
    doubtful[i] = !(low - ownError <= own / planned && own / planned <= high + ownError);
    const likely = (loops[i] * planned * yarn.held + others[i]) / 100;
    const unlike = own / planned < f.unlike[0] || own / planned > f.unlike[1];
    if (unlike && Math.abs(used - likely) > f.clearly * Math.SQRT2 * off) doubtful[i] = true;
    const weights = [1 / ownError ** 2, 1 / error[i] ** 2], all = weights[0] + weights[1];
    loopCm[i] = Math.max((weights[0] * own + weights[1] * planned) / all, f.unlike[0] * planned);
    error[i] = Math.hypot(1 / Math.sqrt(all), f.hand);
    measured[i] = true;
  });
  let sum = 0, weight = 0;
  yarns.forEach((yarn, i) => {
    if (!measured[i] || doubtful[i]) return;
    sum += loopCm[i] / yarn.loop_cm * loops[i];
    weight += loops[i];
  });
  if (weight) {
    yarns.forEach((_, i) => {
      if (measured[i]) return;
      loopCm[i] *= sum / weight;
      error[i] = Math.min(error[i], Math.hypot(f.of_others, f.hand));
    });
  }
  const needOf = (/** @type {number} */ run, /** @type {number} */ i) => yarns[i].held * (f.loops[run] * loopCm[i] + f.others[run]) / 100;
  return yarns.map((yarn, i) => {
    let worked = 0, need = yarn.border * loopCm[i] / yarn.loop_cm, since = 0;
    for (const [row, strands] of piece.cuts) {
      if (row > piece.runRow[made - 1]) need += cutCm(strands, i) / 100;
    }
    for (let run = 0; run < piece.allRuns; run++) {
      if (runs.yarn[run] !== i) continue;
      if (run < at[i]) worked += needOf(run, i);
      else if (run < made) since += needOf(run, i);
      if (run >= made) need += needOf(run, i);
    }
    let stock = left[i] === null ? null : Math.max(0, /** @type {number} */ (left[i]) - since);
    if (stock === null && yarn.on_hand !== null) stock = Math.max(0, yarn.on_hand - worked - since);
    const base = { yarn: i, need, error: error[i], left: stock, doubtful: doubtful[i], verdict: null, endsRow: null, chance: null };
    if (stock === null || doubtful[i] || need <= 0) return base;
    const short = stock < need * (1 - 1e-12), enough = stock >= need * (1 + error[i]) * (1 - 1e-12);
    const chance = normal((stock / need - 1) / (error[i] / LIKELY));
    if (enough) return { ...base, verdict: "enough", chance };
    const factor = short ? 1 : 1 + error[i];
    let taken = 0, endsRow = piece.last + 1;
    for (let run = made; run < piece.allRuns; run++) {
      if (runs.yarn[run] !== i) continue;
      taken += needOf(run, i);
      if (taken * factor > stock) { endsRow = piece.runRow[run]; break; }
    }
    return { ...base, verdict: short ? "short" : "tight", endsRow, chance };
  });
}

/** How much of a normal distribution lies below. Abramowitz and Stegun 26.2.17, within 7.5e-8.
 * @param {number} x */
export function normal(x) {
  const t = 1 / (1 + 0.2316419 * Math.abs(x));
  const tail = Math.exp(-x * x / 2) / Math.sqrt(2 * Math.PI) * t * (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return x > 0 ? 1 - tail : tail;
}

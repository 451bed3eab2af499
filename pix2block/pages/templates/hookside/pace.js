// Her own pace, learned from her taps; how far this evening goes, and how long the rest takes.

/** @typedef {import("./piece.js").Piece} Piece @typedef {import("./progress.js").Progress} Progress */

const LEAST_TAPS = 8; // fewer tell nothing
const PAUSE = 3; // times the planned time: she was away
const HASTE = 0.2; // she caught up with taps

/** Her time against the planned one: the median of her taps, each counted by its minutes; pauses
 * and taps made in haste are no crochet.
 * @param {[number, number][]} taps seconds and planned minutes @param {number} known */
export function paceOf(taps, known = 1) {
  const tapped = taps.map(([seconds, minutes]) => [seconds / 60 / minutes, minutes])
    .filter(([factor]) => factor > HASTE * known && factor < PAUSE * known).sort((a, b) => a[0] - b[0]);
  if (tapped.length < LEAST_TAPS) return known;
  const half = tapped.reduce((sum, [, minutes]) => sum + minutes, 0) / 2;
  let sum = 0;
  for (const [factor, minutes] of tapped) {
    sum += minutes;
    if (sum >= half) return factor;
  }
  return known;
}

/** Minutes from so many runs on, up to others. @param {Piece} piece @param {number} from @param {number} to @param {number} factor */
export function minutesOf(piece, from, to, factor) {
  let minutes = 0;
  for (let run = from; run < to; run++) minutes += piece.minutes(run);
  return minutes * factor;
}

/** The last row that an evening of so many minutes ends with, at least the row in hand.
 * @param {Piece} piece @param {number} made @param {number} minutes @param {number} factor */
export function eveningTo(piece, made, minutes, factor) {
  let taken = 0, last = piece.runRow[Math.min(made, piece.allRuns - 1)];
  for (let row = last; row <= piece.last; row++) {
    taken += minutesOf(piece, Math.max(made, piece.firstRun[row - 1]), piece.firstRun[row], factor);
    if (taken > minutes && row > last) break;
    last = row;
    if (taken > minutes) break;
  }
  return last;
}

/** "about 9 December" @param {number} evenings from tomorrow on @param {Date} today */
export function endDate(evenings, today) {
  const day = new Date(today);
  day.setDate(day.getDate() + evenings);
  return `${day.getDate()}\u00a0${day.toLocaleDateString("en-GB", { month: "long" })}`;
}

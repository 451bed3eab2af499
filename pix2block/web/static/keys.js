// The piece by keys: walking it, working it, taking yarns up, going near.

import { NO_BLOCK, alongRow, rowEnds, rowOf } from "./blocks.js";
import { openBlock } from "./block.js";
import { blockWords, fillPatch, linesAreDrawn, takeUp, touchLine, work, workTo } from "./hand.js";
import { canvas, page, piece, say } from "./page.js";
import { openRow } from "./row.js";
import { nextView } from "./seen.js";

/** @typedef {[number, number]} Block */

const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const BEFORE_NUMBER = 1500; // milliseconds in which G's number goes on
let number = "", since = 0;

/** @param {Block} to */
function walk(to) {
  piece.cursor = to;
  piece.keepInSight(to);
  piece.draw();
  if (piece.yarnAt(...to) !== NO_BLOCK) say(blockWords(to));
}

/** @param {Block} at @param {KeyboardEvent} event @returns {Block|null} where a key leads */
function leads(at, event) {
  const { width, height } = page.state;
  const step = STEPS[/** @type {"ArrowLeft"} */ (event.key)];
  if (step && event.shiftKey) return alongRow(page.state, at, step[0] + step[1]);
  if (step) return [Math.min(width - 1, Math.max(0, at[0] + step[0])), Math.min(height - 1, Math.max(0, at[1] + step[1]))];
  const row = rowOf(page.state, ...at);
  if (event.key === "Home") return rowEnds(page.state, row)[0];
  if (event.key === "End") return rowEnds(page.state, row)[1];
  if (event.key !== "PageUp" && event.key !== "PageDown") return null;
  const next = Math.min(page.state.last_row, Math.max(1, row + (event.key === "PageUp" ? 1 : -1)));
  if (next === row) return at;
  const [one, other] = rowEnds(page.state, next);
  const along = Math.min(Math.max(at[0], Math.min(one[0], other[0])), Math.max(one[0], other[0]));
  const columns = Math.abs(other[0] - one[0]), part = columns ? Math.abs(along - one[0]) : 0;
  return [one[0] + Math.sign(other[0] - one[0]) * part, one[1] + Math.sign(other[1] - one[1]) * part];
}

/** G, then a number: that row. @param {KeyboardEvent} event */
function row(event) {
  const waits = number && event.timeStamp - since < BEFORE_NUMBER;
  if (event.key.toLowerCase() === "g") { number = "g"; since = event.timeStamp; say("Row: type its number"); return true; }
  if (!waits || !/^(\d|Enter)$/.test(event.key)) { number = ""; return false; }
  if (event.key !== "Enter") number += event.key;
  since = event.timeStamp;
  const asked = Number(number.slice(1));
  const done = event.key === "Enter" || asked * 10 > page.state.last_row;
  if (asked < 1 || asked > page.state.last_row) { say(`There is no row ${asked}`); number = ""; return true; }
  if (done) { number = ""; openRow(asked); } else setTimeout(() => { if (number === `g${asked}`) { number = ""; openRow(asked); } }, BEFORE_NUMBER);
  return true;
}

/** @param {Block} at @param {KeyboardEvent} event */
function acts(at, event) {
  const key = event.key.toLowerCase();
  if (key >= "0" && key <= "9" && key.length === 1) {
    const yarn = Number(key) - 1;
    if (yarn < page.state.yarns.length && (yarn >= 0 || page.inHand >= 0)) takeUp(yarn);
  } else if (key === "f" && page.inHand >= 0) fillPatch(at);
  else if (key === "e" && piece.yarnAt(...at) !== NO_BLOCK) takeUp(piece.yarnAt(...at));
  else if (key === "+" || key === "=" || key === "-") { piece.zoomAbout(key === "-" ? 1 / 1.5 : 1.5, at); piece.draw(); }
  else if (key === "v") nextView();
  else if (key === "enter") openBlock(at);
  else return false;
  return true;
}

canvas.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || !page.state) return;
  const at = piece.cursor ?? [0, 0], to = leads(at, event);
  if (event.key === " ") event.preventDefault();
  else if (to) { event.preventDefault(); walk(to); } else if (row(event) || acts(at, event)) event.preventDefault();
});

// Space works when it is let go: held down, it moves the piece with a drag.
canvas.addEventListener("keyup", (event) => {
  if (event.key !== " " || event.ctrlKey || piece.dragged) { piece.dragged = false; return; }
  event.preventDefault();
  const at = piece.cursor ?? [0, 0];
  if (piece.yarnAt(...at) === NO_BLOCK) return;
  if (page.inHand < 0) openBlock(at);
  else if (linesAreDrawn()) touchLine(at);
  else if (event.shiftKey) workTo(at);
  else work([at]);
});

canvas.addEventListener("focus", () => { piece.cursor ??= [0, 0]; piece.draw(); });
canvas.addEventListener("blur", () => piece.draw());

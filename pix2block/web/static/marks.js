// What is drawn over the blocks: the piece's edge, numbers of rows, the cursor, outlines.

import { rowOf } from "./blocks.js";
import { piece } from "./page.js";

/** @typedef {import("./view.js").Layout} Layout */

const APART = 26; // pixels between two numbers, at least
export const PAPER = "#fdfcf9", INK = "#22252a";

/** A line that is seen on every yarn: ink with a paper rim. @param {CanvasRenderingContext2D} context @param {number} ratio @param {number} [wide] @param {number} [rim] both its sides */
export function inkOnPaper(context, ratio, wide = 2, rim = 3) {
  for (const [color, pixels] of /** @type {[string, number][]} */ ([[PAPER, wide + rim], [INK, wide]])) {
    context.strokeStyle = color;
    context.lineWidth = pixels * ratio * piece.larger;
    context.stroke();
  }
}

/**
 * A path along the edges between blocks that are in a set and blocks that are not.
 * @param {CanvasRenderingContext2D} context @param {(x: number, y: number) => boolean} has
 * @param {[number, number, number, number]} box @param {number} side @param {boolean} [rim] also at the piece's own edge
 */
export function outline(context, has, [left, top, right, bottom], side, rim = true) {
  const { width, height } = /** @type {import("./api.js").PieceState} */ (piece.state);
  const is = (/** @type {number} */ x, /** @type {number} */ y) => x >= 0 && y >= 0 && x < width && y < height && has(x, y);
  context.beginPath();
  for (let y = Math.max(0, top - 1); y <= Math.min(height, bottom + 1); y++) {
    for (let x = Math.max(0, left - 1); x <= Math.min(width, right + 1); x++) {
      const own = is(x, y), px = Math.round(x * side), py = Math.round(y * side);
      if (own !== is(x - 1, y) && (rim || (x > 0 && x < width)) && y < height) { context.moveTo(px, py); context.lineTo(px, Math.round((y + 1) * side)); }
      if (own !== is(x, y - 1) && (rim || (y > 0 && y < height)) && x < width) { context.moveTo(px, py); context.lineTo(Math.round((x + 1) * side), py); }
    }
  }
}

/** The edge of a piece that is whole. @param {CanvasRenderingContext2D} context @param {Layout} at @param {import("./piece.js").Piece} [of] */
export function edge(context, { side, ratio }, of = piece) {
  const state = of.state;
  if (!state || state.last_row !== state.width + state.height - 1) return;
  context.lineWidth = ratio;
  context.strokeStyle = getComputedStyle(piece.canvas).color;
  context.strokeRect(0, 0, Math.round(state.width * side), Math.round(state.height * side));
}

/** @type {{row: number, x: number, y: number}[]} where numbers of rows stand, in pixels of the canvas */
let numbers = [];

/** The row whose number stands at a place on the screen, 0 for none. @param {{clientX: number, clientY: number}} at */
export function rowNumberAt(at) {
  const box = piece.canvas.getBoundingClientRect(), reach = 22 * piece.larger;
  return numbers.find(({ x, y }) => Math.abs(at.clientX - box.left - x) < reach && Math.abs(at.clientY - box.top - y) < reach)?.row ?? 0;
}

/** Every tenth row's number, where it begins. @param {CanvasRenderingContext2D} context @param {Layout} at */
function rowNumbers(context, { side, ratio, turn }) {
  const state = piece.state;
  numbers = [];
  if (!state || piece.narrow) return;
  const style = getComputedStyle(piece.canvas);
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  const { larger } = piece;
  context.font = `${16 * larger}px ${style.fontFamily}`;
  context.fillStyle = style.color;
  const step = Math.ceil((APART * larger) / ((side / ratio) * 10)) * 10;
  for (const [row, x, y, entered] of state.counted) {
    if (row % step) continue;
    const out = { left: [-1, 0], right: [1, 0], top: [0, -1], bottom: [0, 1] }[entered] ?? [0, 0];
    const beside = 0.5 + (state.border?.blocks ?? 0);
    const [px, py] = piece.onCanvas(x + 0.5 + out[0] * beside, y + 0.5 + out[1] * beside);
    const way = [out[0] * Math.cos(turn) - out[1] * Math.sin(turn), out[0] * Math.sin(turn) + out[1] * Math.cos(turn)];
    context.textAlign = way[0] < -0.5 ? "right" : way[0] > 0.5 ? "left" : "center";
    context.textBaseline = way[1] < -0.8 ? "bottom" : way[1] > 0.8 ? "top" : "middle";
    context.fillText(String(row), px + way[0] * 8 * larger, py + way[1] * 6 * larger);
    numbers.push({ row, x: px + way[0] * 20 * larger, y: py + way[1] * 16 * larger });
  }
}

/** A line behind the rows that are made. @param {CanvasRenderingContext2D} context @param {Layout} at */
function made(context, { side, ratio }) {
  const state = piece.state;
  if (!state?.made || state.made >= state.last_row) return;
  outline(context, (x, y) => rowOf(state, x, y) <= state.made, piece.inSight(), side, false);
  inkOnPaper(context, ratio, 2);
}

/** @param {CanvasRenderingContext2D} context @param {Layout} at */
function cursor(context, { side, ratio }) {
  if (!piece.cursor || document.activeElement !== piece.canvas) return;
  const [x, y] = piece.cursor;
  context.beginPath();
  context.rect(Math.round(x * side), Math.round(y * side), Math.round(side), Math.round(side));
  inkOnPaper(context, ratio, 2.5);
}

piece.marks.push((context, at) => edge(context, at), rowNumbers, made, cursor);

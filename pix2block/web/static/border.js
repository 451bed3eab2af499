// The border around the piece, its rounds in their yarn and at the piece's own scale.

import { NO_BLOCK } from "./blocks.js";
import { piece } from "./page.js";

/** @typedef {import("./api.js").PieceState} PieceState @typedef {import("./piece.js").Piece} Piece */

const HAIR = 1, STITCHES_FROM = 9; // pixels: of a line, and a block from which on stitches are told apart
const LINE = "rgba(34, 37, 42, 0.65)", LIGHT_LINE = "rgba(253, 252, 249, 0.5)", A_BLOCK = 3; // stitches

/** @type {WeakMap<Uint8Array, Path2D>} the outline of the blocks, a block wide, by the blocks */
const outlines = new WeakMap();

/** @param {PieceState} state @param {Uint8Array} blocks */
function outlineOf({ width, height, last_row: last }, blocks) {
  const known = outlines.get(blocks);
  if (known) return known;
  const made = new Path2D();
  outlines.set(blocks, made);
  if (last === width + height - 1) { // four lines alike; a rectangle's would be mitred
    for (const [x, y, right, low] of [[0, 0, width, 0], [0, height, width, height], [0, 0, 0, height], [width, 0, width, height]]) { made.moveTo(x, y); made.lineTo(right, low); }
    return made;
  }
  const is = (/** @type {number} */ x, /** @type {number} */ y) => x >= 0 && y >= 0 && x < width && y < height && blocks[y * width + x] !== NO_BLOCK;
  for (let y = 0; y <= height; y++) {
    for (let x = 0; x <= width; x++) {
      if (is(x, y) !== is(x - 1, y)) { made.moveTo(x, y); made.lineTo(x, y + 1); }
      if (is(x, y) !== is(x, y - 1)) { made.moveTo(x, y); made.lineTo(x + 1, y); }
    }
  }
  return made;
}

/** @param {CanvasRenderingContext2D} context @param {import("./view.js").Layout} at @param {Piece} [of] */
export function border(context, { side, ratio }, of = piece) {
  const { state } = of;
  if (!state?.border) return;
  const { yarn, rounds, blocks } = state.border, path = outlineOf(state, of.blocks), color = of.colors[yarn] ?? state.yarns[yarn].color;
  const line = isDark(color) ? LIGHT_LINE : LINE, hair = (HAIR * ratio) / side;
  const stroke = (/** @type {string} */ style, /** @type {number} */ wide) => { context.strokeStyle = style; context.lineWidth = 2 * wide; context.stroke(path); };
  context.scale(side, side);
  context.lineCap = "square";
  stroke(getComputedStyle(of.canvas).color, blocks + hair);
  for (let round = rounds; round > 0; round--) {
    if (round < rounds) stroke(line, (round / rounds) * blocks + hair / 2);
    stroke(color, (round / rounds) * blocks - (round < rounds ? hair / 2 : 0));
  }
  if (side < STITCHES_FROM * ratio) return;
  context.lineCap = "butt";
  context.setLineDash([hair, 1 / A_BLOCK - hair]);
  context.globalAlpha = 0.5;
  stroke(line, blocks);
}

/** @param {string} color */
function isDark(color) {
  const [red, green, blue] = [1, 3, 5].map((at) => parseInt(color.slice(at, at + 2), 16));
  return 0.3 * red + 0.6 * green + 0.1 * blue < 90;
}

piece.under.push((context, at) => border(context, at));

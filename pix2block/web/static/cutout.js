// Small pictures of choices: the whole piece, or, where they differ in one place, the same cut-out
// of each.

import { blocksOf, drawBlocks } from "./blocks.js";

/** @typedef {{width: number, height: number, blocks: string, yarns: {color: string}[]}} Seen */

export const LYING = 2.2; // times as long as wide: a piece lies on its side
const PIXELS = 260; // of the longer side
const LOCAL = 0.3; // of the blocks may differ for a cut-out
const SHARE = 0.45; // of a side that a cut-out shows
const FEWEST = 12; // blocks a side of it

/** @param {Seen|null} seen what is shown, null while it is worked out */
export function drawChoice(seen) {
  const canvas = document.createElement("canvas");
  canvas.setAttribute("aria-hidden", "true");
  if (seen?.blocks) draw(canvas, seen, { x: 0, y: 0, w: seen.width, h: seen.height });
  else canvas.className = "waiting";
  return canvas;
}

/** @param {HTMLCanvasElement} canvas @param {Seen} seen @param {{x: number, y: number, w: number, h: number}} box */
function draw(canvas, seen, box) {
  const lies = box.h > LYING * box.w, pixels = lies ? 2 * PIXELS : PIXELS;
  const side = Math.max(1, Math.floor(pixels / Math.max(box.w, box.h)));
  canvas.width = (lies ? box.h : box.w) * side;
  canvas.height = (lies ? box.w : box.h) * side;
  const context = canvas.getContext("2d");
  if (!context) return;
  if (lies) { // its bottom at the left
    context.translate(canvas.width, 0);
    context.rotate(Math.PI / 2);
  }
  context.translate(-box.x * side, -box.y * side);
  drawBlocks(context, blocksOf(seen.blocks), seen.width, seen.height, seen.yarns.map((yarn) => yarn.color), side);
}

/** Show the same part of every choice, where that tells them apart. @param {{canvas: HTMLCanvasElement|null, seen: Seen|null}[]} every */
export function drawCutOuts(every) {
  const shown = every.flatMap(({ canvas, seen }) => (canvas && seen?.blocks ? [{ canvas, seen }] : []));
  const first = shown[0]?.seen;
  if (shown.length < 2) return;
  if (shown.some(({ seen }) => seen.width !== first.width || seen.height !== first.height)) { toScale(shown); return; }
  const box = whereTheyDiffer(shown.map(({ seen }) => seen));
  if (box) for (const { canvas, seen } of shown) draw(canvas, seen, box);
}

/** Pieces of several sizes at one scale. @param {{canvas: HTMLCanvasElement, seen: Seen}[]} shown */
function toScale(shown) {
  const across = (/** @type {Seen} */ seen) => (seen.height > LYING * seen.width ? seen.height : seen.width);
  const most = Math.max(...shown.map(({ seen }) => across(seen)));
  for (const { canvas, seen } of shown) {
    canvas.style.width = `${(100 * across(seen)) / most}%`;
    canvas.style.maxHeight = "none";
  }
}

/** @param {Seen[]} every of one size @returns {{x: number, y: number, w: number, h: number}|null} */
function whereTheyDiffer(every) {
  const { width, height } = every[0];
  const blocks = every.map((seen) => ({ of: blocksOf(seen.blocks), colors: seen.yarns.map((yarn) => yarn.color) }));
  const w = Math.min(width, Math.max(FEWEST, Math.round(width * SHARE))), h = Math.min(height, Math.max(FEWEST, Math.round(height * SHARE)));
  const sums = new Float64Array((width + 1) * (height + 1));
  let differ = 0;
  for (let y = 0; y < height; y++) {
    let line = 0;
    for (let x = 0; x < width; x++) {
      const at = y * width + x;
      const kinds = new Set(blocks.map(({ of, colors }) => colors[of[at]])).size - 1;
      line += kinds;
      differ += kinds > 0 ? 1 : 0;
      sums[(y + 1) * (width + 1) + x + 1] = sums[y * (width + 1) + x + 1] + line;
    }
  }
  if (!differ || differ > LOCAL * width * height) return null;
  let best = { x: 0, y: 0, w, h }, most = -1;
  for (let y = 0; y + h <= height; y++) {
    for (let x = 0; x + w <= width; x++) {
      const at = (/** @type {number} */ cy, /** @type {number} */ cx) => sums[cy * (width + 1) + cx];
      const sum = at(y + h, x + w) - at(y, x + w) - at(y + h, x) + at(y, x);
      if (sum > most) { most = sum; best = { x, y, w, h }; }
    }
  }
  return best;
}

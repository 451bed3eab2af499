// Blocks of a chart: bytes to numbers, and where they lie.

export const NO_BLOCK = 255;

/** @param {string} text @returns {Uint8Array} yarn numbers, a line after the other from the top */
export function blocksOf(text) {
  const told = atob(text), blocks = new Uint8Array(told.length);
  for (let at = 0; at < told.length; at += 1) blocks[at] = told.charCodeAt(at); // ten times as quick as Uint8Array.from
  return blocks;
}

/**
 * The diagonal row of a block, from 1.
 * @param {{width: number, height: number, corner: string}} chart
 * @param {number} x column from 0 @param {number} y line from 0
 */
export function rowOf(chart, x, y) {
  const dx = chart.corner.endsWith("right") ? chart.width - 1 - x : x;
  const dy = chart.corner.startsWith("bottom") ? chart.height - 1 - y : y;
  return dx + dy + 1;
}

/**
 * The straight run of blocks between two, ends included.
 * @param {[number, number]} from @param {[number, number]} to @returns {[number, number][]}
 */
export function between(from, to) {
  const steps = Math.max(Math.abs(to[0] - from[0]), Math.abs(to[1] - from[1]), 1);
  /** @type {[number, number][]} */
  const found = [];
  for (let i = 0; i <= steps; i++) {
    const x = Math.round(from[0] + ((to[0] - from[0]) * i) / steps);
    const y = Math.round(from[1] + ((to[1] - from[1]) * i) / steps);
    const last = found[found.length - 1];
    if (!last || last[0] !== x || last[1] !== y) found.push([x, y]);
  }
  return found;
}

/**
 * Blocks as a mend names them: by columns, line after line.
 * @param {[number, number][]} blocks
 */
export function placesOf(blocks) {
  const sorted = [...blocks].sort((one, other) => one[1] - other[1] || one[0] - other[0]);
  /** @type {[number, number, number][]} first and last column, line */
  const runs = [];
  for (const [x, y] of sorted) {
    const last = runs[runs.length - 1];
    if (last && last[2] === y && x <= last[1] + 1) last[1] = x;
    else runs.push([x, x, y]);
  }
  return runs.map(([from, to, y]) => `${from === to ? `column ${from + 1}` : `columns ${from + 1} to ${to + 1}`}, line ${y + 1}`).join("; ");
}

/** Every block of a yarn. @param {{width: number}} chart @param {Uint8Array} blocks @param {number} yarn @returns {[number, number][]} */
export function allOf({ width }, blocks, yarn) {
  /** @type {[number, number][]} */
  const found = [];
  blocks.forEach((one, at) => { if (one === yarn) found.push([at % width, Math.floor(at / width)]); });
  return found;
}

/** The patch of one yarn that holds a block; neighbours share a side. @param {{width: number, height: number}} chart @param {Uint8Array} blocks @param {[number, number]} from @returns {[number, number][]} */
export function patchAt({ width, height }, blocks, from) {
  const yarn = blocks[from[1] * width + from[0]], seen = new Set([from[1] * width + from[0]]), found = [from];
  for (const [x, y] of found) {
    for (const [column, line] of /** @type {[number, number][]} */ ([[x - 1, y], [x + 1, y], [x, y - 1], [x, y + 1]])) {
      const at = line * width + column;
      if (column < 0 || line < 0 || column >= width || line >= height || seen.has(at) || blocks[at] !== yarn) continue;
      seen.add(at);
      found.push([column, line]);
    }
  }
  return found;
}

/** @typedef {{width: number, height: number, corner: string}} Shape */

/** A block from its steps away from the start corner. @param {Shape} chart @param {number} dx @param {number} dy @returns {[number, number]} */
const fromCorner = (chart, dx, dy) => [
  chart.corner.endsWith("right") ? chart.width - 1 - dx : dx, chart.corner.startsWith("bottom") ? chart.height - 1 - dy : dy,
];

/** The first and the last block of a row, from the left. @param {Shape} chart @param {number} row @returns {[[number, number], [number, number]]} */
export function rowEnds(chart, row) {
  const least = Math.max(0, row - chart.height), most = Math.min(chart.width, row) - 1;
  const ends = [fromCorner(chart, least, row - 1 - least), fromCorner(chart, most, row - 1 - most)];
  return ends[0][0] <= ends[1][0] ? [ends[0], ends[1]] : [ends[1], ends[0]];
}

/** The next block of a row, to the right or to the left; the same at its end. @param {Shape} chart @param {[number, number]} at @param {number} by @returns {[number, number]} */
export function alongRow(chart, [x, y], by) {
  const [one, other] = rowEnds(chart, rowOf(chart, x, y)), down = Math.sign(other[1] - one[1]);
  return x + by < one[0] || x + by > other[0] ? [x, y] : [x + by, y + by * down];
}

/**
 * Draw blocks into a context, as the picture lies, a rectangle a run of one yarn.
 * @param {CanvasRenderingContext2D} context
 * @param {Uint8Array} blocks @param {number} width @param {number} height
 * @param {string[]} colors @param {number} side pixels of a block
 */
export function drawBlocks(context, blocks, width, height, colors, side) {
  for (let y = 0; y < height; y++) {
    const top = Math.round(y * side), low = Math.round((y + 1) * side);
    for (let x = 0; x < width;) {
      const yarn = blocks[y * width + x];
      let end = x + 1;
      while (end < width && blocks[y * width + end] === yarn) end++;
      if (yarn !== NO_BLOCK) {
        context.fillStyle = colors[yarn];
        const left = Math.round(x * side);
        context.fillRect(left, top, Math.round(end * side) - left, low - top);
      }
      x = end;
    }
  }
}

// Blocks of a chart: bytes to numbers, and where they lie.

export const NO_BLOCK = 255;

/** @param {string} text @returns {Uint8Array} yarn numbers, a line after the other from the top */
export function blocksOf(text) {
  return Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
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

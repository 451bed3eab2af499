// What a stroke of the brush encloses, or cuts off: so that an outline is drawn, and not every block.

/** @typedef {{width: number, height: number}} Shape */

/**
 * Parts of one kind that hang together by their sides: each block's part, from 1, and of each part its blocks
 * and on how many sides of the piece it lies.
 * @param {Shape} shape @param {Uint8Array} blocks @param {number} kind
 */
function partsOf({ width, height }, blocks, kind) {
  const part = new Int32Array(blocks.length);
  /** @type {{blocks: number[], sides: number}[]} */
  const parts = [];
  for (let begin = 0; begin < blocks.length; begin++) {
    if (blocks[begin] !== kind || part[begin]) continue;
    const found = [begin], number = parts.length + 1;
    part[begin] = number;
    let left = 0, right = 0, top = 0, bottom = 0;
    for (const at of found) {
      const x = at % width, y = (at - x) / width;
      if (x) visit(at - 1); else left = 1;
      if (x < width - 1) visit(at + 1); else right = 1;
      if (y) visit(at - width); else top = 1;
      if (y < height - 1) visit(at + width); else bottom = 1;
    }
    parts.push({ blocks: found, sides: left + right + top + bottom });
    /** @param {number} at */
    function visit(at) {
      if (blocks[at] !== kind || part[at]) return;
      part[at] = number;
      found.push(at);
    }
  }
  return { part, parts };
}

/**
 * The blocks that follow a stroke: parts that it parted from a larger one, and that lie on no side of the piece, or on
 * one alone. (A line from side to side parts two that were both meant.)
 * @param {Shape} shape @param {Uint8Array} before the blocks, 1 inside, before the stroke @param {Uint8Array} now @param {number} added 1 where the stroke added, 0 where it took away
 * @returns {number[]}
 */
export function enclosed(shape, before, now, added) {
  const kind = 1 - added, { part } = partsOf(shape, before, kind), { parts } = partsOf(shape, now, kind);
  /** @type {Map<number, number>} the most blocks of what is left of each part */
  const most = new Map(), left = new Map();
  for (const { blocks } of parts) {
    const of = part[blocks[0]];
    most.set(of, Math.max(most.get(of) ?? 0, blocks.length));
    left.set(of, (left.get(of) ?? 0) + 1);
  }
  return parts.flatMap(({ blocks, sides }) => {
    const of = part[blocks[0]];
    return left.get(of) > 1 && blocks.length < (most.get(of) ?? 0) && sides <= 1 ? blocks : [];
  });
}

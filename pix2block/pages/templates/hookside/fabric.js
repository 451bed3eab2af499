// The piece as it lies in the hands, only what is made, and the next row in outline; and the row in
// hand as a line of blocks. Start corner down; on wrong-side rows the wrong side faces, as in her lap.

/** @typedef {import("./piece.js").Piece} Piece */

/** The row's blocks from the left end of the piece as held, right side facing, in half blocks.
 * @param {Piece} piece @param {number} row */
function leftOf(piece, row) {
  const t = 2 * Math.max(0, row - piece.height) - (row - 1), b = piece.blocksOf(row);
  return piece.turned ? -(t + 2 * (b - 1)) : t;
}

/** Whether working order goes to the right where the right side faces. @param {Piece} piece @param {number} row */
const toRight = (piece, row) => (piece.hand === "right") !== piece.isRight(row);

/** @param {HTMLCanvasElement} canvas @returns {CanvasRenderingContext2D} */
function fresh(canvas) {
  const box = canvas.getBoundingClientRect(), dense = window.devicePixelRatio || 1;
  canvas.width = Math.max(1, Math.round(box.width * dense));
  canvas.height = Math.max(1, Math.round(box.height * dense));
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  pen.scale(dense, dense);
  pen.clearRect(0, 0, box.width, box.height);
  return pen;
}

/** @param {CanvasRenderingContext2D} pen @param {number} x @param {number} y @param {number} r */
function lozenge(pen, x, y, r) {
  pen.moveTo(x - r, y);
  pen.lineTo(x, y - r);
  pen.lineTo(x + r, y);
  pen.lineTo(x, y + r);
  pen.closePath();
}

/** The piece. @param {HTMLCanvasElement} canvas @param {Piece} piece @param {number} row in hand
 * @param {number} made runs that are made @param {string} ink @param {number} below pixels kept free */
export function drawPiece(canvas, piece, row, made, ink, below) {
  const pen = fresh(canvas), box = canvas.getBoundingClientRect();
  const high = box.height - below, shown = Math.min(row, piece.last);
  let left = 0, right = 0;
  for (let n = 1; n <= shown; n++) {
    const from = leftOf(piece, n);
    left = Math.min(left, from);
    right = Math.max(right, from + 2 * (piece.blocksOf(n) - 1));
  }
  // r: half a block from tip to tip; rows are one r apart.
  const r = Math.min(9, (box.width - 32) / (right - left + 2), (high - 8) / (shown + 1));
  const facing = piece.isRight(shown) ? 1 : -1;
  const middle = box.width / 2 - facing * (left + right) / 2 * r, bottom = high - r - 2;
  /** @param {number} n @param {number} i block in working order */
  const at = (n, i) => {
    const from = leftOf(piece, n), last = piece.blocksOf(n) - 1;
    const h = toRight(piece, n) ? from + 2 * i : from + 2 * (last - i);
    return [middle + facing * h * r, bottom - (n - 1) * r];
  };
  /** @type {Map<number, [number, number][]>} */ const byYarn = new Map();
  const waiting = [];
  for (let n = 1; n <= shown; n++) {
    let i = 0;
    for (let run = piece.firstRun[n - 1]; run < piece.firstRun[n]; run++) {
      for (let k = 0; k < piece.runs.blocks[run]; k++, i++) {
        const place = /** @type {[number, number]} */ (at(n, i));
        if (run >= made) { waiting.push(place); continue; }
        const yarn = piece.runs.yarn[run];
        if (!byYarn.has(yarn)) byYarn.set(yarn, []);
        /** @type {[number, number][]} */ (byYarn.get(yarn)).push(place);
      }
    }
  }
  pen.lineJoin = "round";
  pen.strokeStyle = ink; // an edge of our own, so that a dark yarn has one on a dark ground
  pen.lineWidth = 2;
  pen.beginPath();
  for (const places of byYarn.values()) for (const [x, y] of places) lozenge(pen, x, y, r);
  pen.stroke();
  for (const [yarn, places] of byYarn) {
    pen.fillStyle = pen.strokeStyle = piece.yarns[yarn].color;
    pen.lineWidth = 0.6;
    pen.beginPath();
    for (const [x, y] of places) lozenge(pen, x, y, r);
    pen.fill();
    pen.stroke();
  }
  pen.strokeStyle = ink;
  pen.lineWidth = 1;
  pen.beginPath();
  for (const [x, y] of waiting) lozenge(pen, x, y, Math.max(1, r - 0.5));
  pen.stroke();
}

/** The row in hand: made blocks filled, those to come in outline, a wedge at the step now.
 * @param {HTMLCanvasElement} canvas @param {Piece} piece @param {number} row @param {number} made
 * @param {string} ink @param {string} now */
export function drawRow(canvas, piece, row, made, ink, now) {
  const pen = fresh(canvas), box = canvas.getBoundingClientRect(), blocks = piece.blocksOf(row);
  const done = piece.blocksBefore[made] - piece.blocksBefore[piece.firstRun[row - 1]];
  const size = Math.max(9, Math.min(20, (box.width - 8) / blocks));
  const fit = Math.min(blocks, Math.floor((box.width - 8) / size));
  const from = Math.max(0, Math.min(blocks - fit, done - Math.floor(fit / 2))); // a window of long rows
  const back = piece.hand === "right" ? -1 : 1;
  const start = back < 0 ? box.width / 2 + fit * size / 2 : box.width / 2 - fit * size / 2;
  const r = size / 2 - 0.5, y = 12;
  let i = 0;
  pen.lineWidth = 1;
  pen.strokeStyle = ink;
  for (let run = piece.firstRun[row - 1]; run < piece.firstRun[row]; run++) {
    for (let k = 0; k < piece.runs.blocks[run]; k++, i++) {
      if (i < from || i >= from + fit) continue;
      pen.beginPath();
      lozenge(pen, start + back * (i - from + 0.5) * size, y, r);
      if (i < done) {
        pen.fillStyle = piece.yarns[piece.runs.yarn[run]].color;
        pen.fill();
      }
      pen.stroke();
    }
  }
  if (done >= blocks) return;
  const x = start + back * (done - from + 0.5) * size;
  pen.fillStyle = now;
  pen.beginPath();
  pen.moveTo(x + back * 6, y + 18);
  pen.lineTo(x - back * 5, y + 13);
  pen.lineTo(x - back * 5, y + 23);
  pen.closePath();
  pen.fill();
}

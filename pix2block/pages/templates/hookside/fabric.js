// The piece as it lies in the hands, only what is made, and the next row in outline; and the row in
// hand as a line of blocks. Start corner down; on wrong-side rows the wrong side faces, as in her lap.

/** @typedef {import("./piece.js").Piece} Piece */

/** Steps away from the start corner, along the width and the height, of a row's blocks in working
 * order. As held, right side facing, dx - dy grows to the right, or to the left where it is turned;
 * the right hand works odd rows from the right. @param {Piece} piece @param {number} row */
export function stepsAway(piece, row) {
  const blocks = piece.blocksOf(row), least = Math.max(0, row - piece.height);
  const toRight = (piece.hand === "right") !== piece.isRight(row), rises = toRight !== piece.turned;
  return Array.from({ length: blocks }, (_, i) => {
    const dx = least + (rises ? i : blocks - 1 - i);
    return [dx, row - 1 - dx];
  });
}

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

/** The made blocks as a picture of a pixel each, by steps away from the start corner.
 * @param {Piece} piece @param {number} made runs that are made @param {(yarn: number) => string} colorOf */
function pixels(piece, made, colorOf) {
  const canvas = document.createElement("canvas");
  canvas.width = piece.width;
  canvas.height = piece.height;
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  const image = pen.createImageData(piece.width, piece.height);
  const rgb = piece.yarns.map((_, yarn) => [1, 3, 5].map((i) => parseInt(colorOf(yarn).slice(i, i + 2), 16)));
  for (let row = 1; row <= piece.last && piece.firstRun[row - 1] < made; row++) {
    const places = stepsAway(piece, row);
    let i = 0;
    for (let run = piece.firstRun[row - 1]; run < Math.min(made, piece.firstRun[row]); run++) {
      const color = rgb[piece.runs.yarn[run]];
      for (let k = 0; k < piece.runs.blocks[run]; k++, i++) {
        const at = 4 * (places[i][1] * piece.width + places[i][0]);
        image.data.set(color, at);
        image.data[at + 3] = 255;
      }
    }
  }
  pen.putImageData(image, 0, 0);
  return canvas;
}

/** The piece. @param {HTMLCanvasElement} canvas @param {Piece} piece @param {number} row in hand
 * @param {number} made runs that are made @param {string} ink @param {number} below pixels kept free */
export function drawPiece(canvas, piece, row, made, ink, below) {
  const pen = fresh(canvas), box = canvas.getBoundingClientRect(), dense = window.devicePixelRatio || 1;
  const way = piece.turned === piece.isRight(row) ? -1 : 1; // the piece turns over after each row
  let left = 0, right = 0;
  for (let n = 1; n <= row; n++) {
    const least = 2 * Math.max(0, n - piece.height) - (n - 1), most = least + 2 * (piece.blocksOf(n) - 1);
    left = Math.min(left, way < 0 ? -most : least);
    right = Math.max(right, way < 0 ? -least : most);
  }
  // r: half a block from tip to tip; rows are one r apart.
  const r = Math.min(9, (box.width - 32) / (right - left + 2), (box.height - below - 8) / (row + 1));
  const middle = box.width / 2 - (left + right) / 2 * r, bottom = box.height - below - r - 2;
  pen.imageSmoothingEnabled = false;
  const lay = (/** @type {HTMLCanvasElement} */ image, /** @type {number} */ x, /** @type {number} */ y) => {
    pen.setTransform(dense * way * r, -dense * r, -dense * way * r, -dense * r, dense * (middle + x), dense * (bottom + r + y));
    pen.drawImage(image, 0, 0);
  };
  const edge = pixels(piece, made, () => ink); // so that a dark yarn has one on a dark ground
  for (const [x, y] of [[-1, 0], [1, 0], [0, -1], [0, 1]]) lay(edge, x, y);
  lay(pixels(piece, made, (yarn) => piece.yarns[yarn].color), 0, 0);
  pen.setTransform(dense, 0, 0, dense, 0, 0);
  pen.strokeStyle = ink;
  pen.lineWidth = 1;
  pen.beginPath();
  const done = piece.blocksBefore[made] - piece.blocksBefore[piece.firstRun[row - 1]];
  for (const [dx, dy] of stepsAway(piece, row).slice(Math.max(0, done))) {
    lozenge(pen, middle + way * (dx - dy) * r, bottom - (row - 1) * r, Math.max(1, r - 0.5));
  }
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

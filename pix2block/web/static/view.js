// Where the piece lies on its canvas: whole or near, as the picture lies or as it is held.

const PAD = 34, NARROW_PAD = 8, NARROW = 500; // pixels around a whole piece, for the numbers of rows where there is room
const LONG = 2.2; // height : width from which on a piece lies on its side
const LARGEST = 96; // pixels a block

/** @typedef {{width: number, height: number, corner: string, striped?: object|null}} Shape */
/** @typedef {[number, number, number, number]} Box left, top, right, bottom */
/** @typedef {{ratio: number, wide: number, high: number, side: number, turn: number}} Layout */

export class View {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    this.canvas = canvas;
    /** @type {Shape|null} */
    this.shape = null;
    this.held = false;
    this.most = Infinity; // pixels of the canvas a block of the whole piece, where another lies beside it
    this.near = 1;
    this.middle = [0.5, 0.5]; // of the canvas, in parts of the piece
  }

  /** What is seen beyond the piece, in blocks: left, top, right, bottom. @returns {Box} */
  get around() { return [0, 0, 0, 0]; }

  /** The middle of the piece with what is around it, in parts of the piece. @returns {[number, number]} */
  get centre() {
    const { width, height } = this.shape ?? { width: 1, height: 1 }, [left, top, right, bottom] = this.around;
    return [0.5 + (right - left) / 2 / width, 0.5 + (bottom - top) / 2 / height];
  }

  /** Whether a long piece lies on its side. */
  get lying() {
    if (this.held || !this.shape) return false;
    const { width, height, striped } = this.shape;
    return height > LONG * width || (width > LONG * height && Boolean(striped));
  }

  /** How much larger letters and lines are than usual: on large screens all grows. */
  get larger() { return parseFloat(getComputedStyle(document.documentElement).fontSize) / 16 || 1; }

  /** Whether there is no room around it. */
  get narrow() { return this.canvas.clientWidth < NARROW; }

  /** The angle of the piece: its start corner down where it is held, at the left where it lies. */
  turn() {
    const corner = this.shape?.corner ?? "";
    const eighth = Math.PI / 4;
    if (this.held) return { "bottom-right": eighth, "bottom-left": -eighth, "top-right": 3 * eighth, "top-left": -3 * eighth }[corner] ?? 0;
    if (this.lying && this.shape && this.shape.width > this.shape.height) return corner.endsWith("right") ? Math.PI : 0;
    if (this.lying) return corner.startsWith("bottom") ? 2 * eighth : -2 * eighth;
    return 0;
  }

  /** Pixels of the canvas a block of the whole piece. @param {Shape} shape */
  fit(shape) { return Math.min(this.most, this.own(shape)); }

  /** The same where nothing lies beside it. @param {Shape} shape */
  own(shape) {
    const ratio = window.devicePixelRatio || 1, turn = this.turn();
    const pad = this.narrow ? NARROW_PAD : PAD * this.larger;
    const wide = (this.canvas.clientWidth - 2 * pad) * ratio, high = (this.canvas.clientHeight - 2 * pad) * ratio;
    const cos = Math.abs(Math.cos(turn)), sin = Math.abs(Math.sin(turn)), [left, top, right, bottom] = this.around;
    const across = shape.width + left + right, down = shape.height + top + bottom;
    return Math.max(0.5, Math.min(wide / (across * cos + down * sin), high / (across * sin + down * cos)));
  }

  /** How blocks lie on the canvas, in its own pixels. @returns {Layout} */
  layout() {
    const ratio = window.devicePixelRatio || 1;
    const side = this.shape ? this.fit(this.shape) * this.near : 1;
    return { ratio, wide: this.canvas.clientWidth * ratio, high: this.canvas.clientHeight * ratio, side, turn: this.turn() };
  }

  /** Pixels of the screen that a block is wide. */
  get blockPixels() {
    const { side, ratio } = this.layout();
    return side / ratio;
  }

  /** Turn and move a context so that a block is `side` wide. @param {CanvasRenderingContext2D} context @param {Layout} at */
  place(context, { wide, high, side, turn }) {
    const shape = /** @type {Shape} */ (this.shape);
    context.translate(Math.round(wide / 2), Math.round(high / 2));
    context.rotate(turn);
    context.translate(-Math.round(shape.width * side * this.middle[0]), -Math.round(shape.height * side * this.middle[1]));
  }

  /** Column and line, with their parts, of a place on the screen. @param {{clientX: number, clientY: number}} at @returns {[number, number]} */
  chartAt(at) {
    const shape = /** @type {Shape} */ (this.shape), { ratio, wide, high, side, turn } = this.layout();
    const box = this.canvas.getBoundingClientRect();
    const px = (at.clientX - box.left) * ratio - wide / 2, py = (at.clientY - box.top) * ratio - high / 2;
    const cos = Math.cos(turn), sin = Math.sin(turn);
    return [(px * cos + py * sin) / side + shape.width * this.middle[0], (py * cos - px * sin) / side + shape.height * this.middle[1]];
  }

  /** The place on the canvas, in pixels of the screen, of a column and line. @param {number} x @param {number} y @returns {[number, number]} */
  onCanvas(x, y) {
    const shape = /** @type {Shape} */ (this.shape), { ratio, wide, high, side, turn } = this.layout();
    const dx = (x - shape.width * this.middle[0]) * side, dy = (y - shape.height * this.middle[1]) * side;
    const cos = Math.cos(turn), sin = Math.sin(turn);
    return [(dx * cos - dy * sin + wide / 2) / ratio, (dx * sin + dy * cos + high / 2) / ratio];
  }

  /** The columns and lines that are in sight: left, top, right, bottom, the last two beyond. @returns {[number, number, number, number]} */
  inSight() {
    const shape = /** @type {Shape} */ (this.shape), box = this.canvas.getBoundingClientRect();
    const corners = [[box.left, box.top], [box.right, box.top], [box.left, box.bottom], [box.right, box.bottom]]
      .map(([clientX, clientY]) => this.chartAt({ clientX, clientY }));
    const xs = corners.map(([x]) => x), ys = corners.map(([, y]) => y);
    return [
      Math.max(0, Math.floor(Math.min(...xs))), Math.max(0, Math.floor(Math.min(...ys))),
      Math.min(shape.width, Math.ceil(Math.max(...xs))), Math.min(shape.height, Math.ceil(Math.max(...ys))),
    ];
  }

  /** Nearer or farther; what is at a place of the screen stays there. @param {number} by @param {{clientX: number, clientY: number}} at */
  zoomAt(by, at) {
    if (!this.shape) return;
    const before = this.chartAt(at);
    const most = Math.max(3, (LARGEST * (window.devicePixelRatio || 1)) / this.fit(this.shape));
    this.near = Math.min(most, Math.max(1, this.near * by));
    const after = this.chartAt(at);
    this.move(before[0] - after[0], before[1] - after[1]);
  }

  /** The same about the middle of a block. @param {number} by @param {[number, number]|null} block */
  zoomAbout(by, block) {
    const box = this.canvas.getBoundingClientRect();
    const [x, y] = block ? this.onCanvas(block[0] + 0.5, block[1] + 0.5) : [box.width / 2, box.height / 2];
    this.zoomAt(by, { clientX: box.left + x, clientY: box.top + y });
    if (block) this.keepInSight(block);
  }

  /** So near that a block is so many pixels wide. @param {number} pixels @param {[number, number]|null} block */
  goNear(pixels, block) { this.zoomAbout(pixels / this.blockPixels, block); }

  /** The whole piece. */
  whole() { this.near = 1; this.middle = this.centre; }

  /** Another part of the piece, so many columns and lines on. @param {number} columns @param {number} lines */
  move(columns, lines) {
    if (!this.shape) return;
    if (this.near <= 1) { this.middle = this.centre; return; }
    const { width, height } = this.shape;
    this.middle = [[0, columns / width], [1, lines / height]].map(([i, by]) => Math.min(1, Math.max(0, this.middle[i] + by)));
  }

  /** Move what is seen by pixels of the screen. @param {number} px @param {number} py */
  pan(px, py) {
    const { side, ratio, turn } = this.layout(), cos = Math.cos(turn), sin = Math.sin(turn);
    this.move((-(px * cos + py * sin) * ratio) / side, (-(py * cos - px * sin) * ratio) / side);
  }

  /** Move as little as needed for a block to be seen. @param {[number, number]} block */
  keepInSight([x, y]) {
    if (this.near <= 1) return;
    const [px, py] = this.onCanvas(x + 0.5, y + 0.5), room = this.blockPixels;
    const { clientWidth: wide, clientHeight: high } = this.canvas;
    const out = (/** @type {number} */ at, /** @type {number} */ most) => (at < room ? room - at : at > most - room ? most - room - at : 0);
    this.pan(out(px, wide), out(py, high));
  }
}

// The piece, large: drawn on a canvas, as the picture lies or as it is held; touched block by block.

import { NO_BLOCK, blocksOf, drawBlocks } from "./blocks.js";

/** @typedef {import("./api.js").PieceState} PieceState */

const POSTS_FROM = 18; // pixels a block from which on its posts are drawn

export class Piece {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    this.canvas = canvas;
    /** @type {PieceState|null} */
    this.state = null;
    /** @type {Uint8Array} */
    this.blocks = new Uint8Array();
    /** @type {Uint8Array|null} blocks that are only tried on */
    this.tried = null;
    /** @type {Map<number, number>} blocks that are worked and not yet answered */
    this.worked = new Map();
    this.held = false;
    this.near = 1;
    this.middle = [0.5, 0.5];
    /** @type {[number, number]|null} */
    this.cursor = null;
    new ResizeObserver(() => this.draw()).observe(canvas);
  }

  /** @param {PieceState} state */
  show(state) {
    this.state = state;
    this.blocks = blocksOf(state.blocks);
    this.tried = null;
    this.worked.clear();
    this.draw();
  }

  /** @param {string|null} blocks what is tried on, null for the piece as it is */
  tryOn(blocks) {
    this.tried = blocks === null ? null : blocksOf(blocks);
    this.draw();
  }

  /** The yarn number of a block, or NO_BLOCK. @param {number} x @param {number} y */
  yarnAt(x, y) {
    const state = this.state;
    if (!state || x < 0 || y < 0 || x >= state.width || y >= state.height) return NO_BLOCK;
    const at = y * state.width + x;
    return this.worked.get(at) ?? this.blocks[at];
  }

  /** Work a block until it is answered. @param {number} x @param {number} y @param {number} yarn */
  work(x, y, yarn) {
    if (this.state) this.worked.set(y * this.state.width + x, yarn);
    this.draw();
  }

  /** How blocks lie on the canvas, in its own pixels. */
  layout() {
    const state = /** @type {PieceState} */ (this.state);
    const ratio = window.devicePixelRatio || 1;
    const wide = this.canvas.clientWidth * ratio, high = this.canvas.clientHeight * ratio;
    const diagonal = (state.width + state.height) / Math.SQRT2;
    const fit = this.held
      ? Math.min(wide, high) / diagonal
      : Math.min(wide / state.width, high / state.height);
    const side = fit * this.near;
    const turn = this.held ? this.turn() : 0;
    return { ratio, wide, high, side, turn };
  }

  /** The angle that brings the start corner down. */
  turn() {
    const corner = /** @type {PieceState} */ (this.state).corner;
    const eighth = Math.PI / 4;
    return { "bottom-right": eighth, "bottom-left": -eighth, "top-right": 3 * eighth, "top-left": -3 * eighth }[corner] ?? 0;
  }

  draw() {
    const state = this.state, context = this.canvas.getContext("2d");
    if (!state || !context || !this.canvas.clientWidth) return;
    const { ratio, wide, high, side, turn } = this.layout();
    this.canvas.width = Math.round(wide);
    this.canvas.height = Math.round(high);
    context.translate(wide / 2, high / 2);
    context.rotate(turn);
    context.translate(-state.width * side * this.middle[0], -state.height * side * this.middle[1]);
    const shown = this.tried ?? this.withWorked();
    const colors = state.yarns.map((yarn) => yarn.color);
    drawBlocks(context, shown, state.width, state.height, colors, side);
    if (side >= POSTS_FROM * ratio) this.drawPosts(context, shown, side);
    context.lineWidth = ratio;
    context.strokeStyle = getComputedStyle(this.canvas).color;
    if (state.last_row === state.width + state.height - 1) {
      context.strokeRect(0, 0, state.width * side, state.height * side);
    }
    if (this.cursor && document.activeElement === this.canvas) this.drawCursor(context, side, ratio);
  }

  withWorked() {
    if (!this.worked.size) return this.blocks;
    const shown = this.blocks.slice();
    for (const [at, yarn] of this.worked) shown[at] = yarn;
    return shown;
  }

  /**
   * Three posts a block, standing in one row and lying in the next.
   * @param {CanvasRenderingContext2D} context @param {Uint8Array} shown @param {number} side
   */
  drawPosts(context, shown, side) {
    const state = /** @type {PieceState} */ (this.state);
    context.lineWidth = Math.max(1, side / 28);
    context.strokeStyle = "rgba(34, 37, 42, 0.35)";
    context.beginPath();
    for (let y = 0; y < state.height; y++) {
      for (let x = 0; x < state.width; x++) {
        if (shown[y * state.width + x] === NO_BLOCK) continue;
        const upright = (x + y) % 2 === 0;
        for (let i = 1; i <= 3; i++) {
          const at = (i * side) / 4, from = side * 0.14, to = side * 0.86;
          if (upright) {
            context.moveTo(x * side + at, y * side + from);
            context.lineTo(x * side + at, y * side + to);
          } else {
            context.moveTo(x * side + from, y * side + at);
            context.lineTo(x * side + to, y * side + at);
          }
        }
      }
    }
    context.stroke();
  }

  /** @param {CanvasRenderingContext2D} context @param {number} side @param {number} ratio */
  drawCursor(context, side, ratio) {
    const [x, y] = /** @type {[number, number]} */ (this.cursor);
    for (const [color, wide] of /** @type {[string, number][]} */ ([["#fdfcf9", 5], ["#22252a", 2.5]])) {
      context.strokeStyle = color;
      context.lineWidth = wide * ratio;
      context.strokeRect(x * side, y * side, side, side);
    }
  }

  /** The block under a place on the screen. @param {{clientX: number, clientY: number}} at @returns {[number, number]|null} */
  blockAt(at) {
    const state = this.state;
    if (!state) return null;
    const { ratio, wide, high, side, turn } = this.layout();
    const box = this.canvas.getBoundingClientRect();
    const px = (at.clientX - box.left) * ratio - wide / 2, py = (at.clientY - box.top) * ratio - high / 2;
    const cos = Math.cos(-turn), sin = Math.sin(-turn);
    const x = Math.floor((px * cos - py * sin) / side + state.width * this.middle[0]);
    const y = Math.floor((px * sin + py * cos) / side + state.height * this.middle[1]);
    return this.yarnAt(x, y) === NO_BLOCK ? null : [x, y];
  }

  /** Nearer or farther, about a block or the middle. @param {number} by @param {[number, number]|null} block */
  zoom(by, block) {
    const state = this.state;
    if (!state) return;
    this.near = Math.min(40, Math.max(1, this.near * by));
    if (this.near === 1) this.middle = [0.5, 0.5];
    else if (block && by > 1) this.middle = [(block[0] + 0.5) / state.width, (block[1] + 0.5) / state.height];
    this.draw();
  }
}

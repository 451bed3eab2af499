// The piece, large: drawn on a canvas from blocks, the fabric's tiles and the server's pictures.

import { NO_BLOCK, blocksOf, rowOf } from "./blocks.js";
import { Fabric, Pictures, flatPicture } from "./layers.js";
import { View } from "./view.js";

/** @typedef {import("./api.js").PieceState} PieceState @typedef {import("./view.js").Layout} Layout */
/** What is drawn over the blocks, in their place. @typedef {(context: CanvasRenderingContext2D, at: Layout) => void} Mark */

const POSTS_FROM = 9; // pixels a block from which on its posts are drawn
const LINES_FROM = 7; // and the chart's lines
const CROSSING = 150; // milliseconds in which changed blocks cross over

export class Piece extends View {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    super(canvas);
    this.foreign = false; // whether what is shown is only tried on, and not the piece on the table
    /** @type {PieceState|null} */
    this.state = null;
    /** @type {Uint8Array} */
    this.blocks = new Uint8Array();
    /** @type {Uint8Array|null} blocks that are only tried on */
    this.tried = null;
    /** @type {Map<number, number>} blocks that are worked and not yet answered */
    this.worked = new Map();
    this.seen = { what: "fabric", eyes: "normal", far: false };
    /** @type {[number, number]|null} */
    this.cursor = null;
    /** @type {Mark[]} */
    this.marks = [];
    /** @type {Mark[]} what lies under the blocks */
    this.under = [];
    /** @type {import("./view.js").Box} what is shown of the picture beyond the piece, in blocks */
    this.beyond = [0, 0, 0, 0];
    /** @type {(() => void)[]} called when what is in sight has changed */
    this.drawn = [];
    this.pictures = new Pictures(() => this.draw());
    this.fabric = new Fabric();
    this.aside = -1; // its number where it lies aside
    this.count = 0; // of states: pictures of the server are of one
    this.frame = 0;
    this.dragged = false; // by the mouse while Space is held
    /** @type {{key: string, canvas: HTMLCanvasElement}|null} */
    this.flat = null;
    /** @type {{canvas: HTMLCanvasElement, since: number}|null} blocks as they were, while they cross over */
    this.before = null;
    this.waits = false; // for a picture of the server
    new ResizeObserver(() => this.drawNow()).observe(canvas);
  }

  /** Its border, and what is shown of its picture. @returns {import("./view.js").Box} */
  get around() {
    const border = this.state?.border?.blocks ?? 0;
    return /** @type {import("./view.js").Box} */ (this.beyond.map((blocks) => Math.max(blocks, border)));
  }

  /** Show so much of the picture beyond the piece. @param {import("./view.js").Box} beyond in blocks */
  showBeyond(beyond) {
    this.beyond = beyond;
    this.whole();
    this.draw();
  }

  /** @param {PieceState} state */
  show(state) {
    this.foreign = false;
    this.crossOver(state);
    this.state = state;
    this.shape = state;
    this.move(0, 0);
    this.blocks = blocksOf(state.blocks);
    this.tried = null;
    this.worked.clear();
    this.count++;
    this.draw();
  }

  /** Let blocks that change cross over. @param {PieceState} state */
  crossOver(state) {
    const was = this.state, shown = this.shown, colors = this.colors;
    this.before = null;
    if (!was || was.width !== state.width || was.height !== state.height || matchMedia("(prefers-reduced-motion: reduce)").matches) return;
    const now = blocksOf(state.blocks), then = state.yarns.map((yarn) => yarn.seen[this.seen.eyes] ?? yarn.color);
    const changed = shown.map((yarn, at) => (colors[yarn] === then[now[at]] ? NO_BLOCK : yarn));
    if (changed.some((yarn) => yarn !== NO_BLOCK)) this.before = { canvas: flatPicture(changed, was.width, was.height, colors), since: performance.now() };
  }

  /** Another piece, which is only tried on: of other yarns or another size. @param {PieceState} state */
  showForeign(state) {
    this.show(state);
    this.foreign = true;
  }

  /** @param {string|null} blocks what is tried on, null for the piece as it is */
  tryOn(blocks) {
    this.tried = blocks === null ? null : blocksOf(blocks);
    this.count++;
    this.draw();
  }

  /** The yarn number of a block, or NO_BLOCK. @param {number} x @param {number} y */
  yarnAt(x, y) {
    const state = this.state;
    if (!state || x < 0 || y < 0 || x >= state.width || y >= state.height) return NO_BLOCK;
    const at = y * state.width + x;
    return this.worked.get(at) ?? this.blocks[at];
  }

  /** The block under a place on the screen. @param {{clientX: number, clientY: number}} at @returns {[number, number]|null} */
  blockAt(at) {
    if (!this.state) return null;
    const [x, y] = this.chartAt(at).map(Math.floor);
    return this.yarnAt(x, y) === NO_BLOCK ? null : [x, y];
  }

  /** Work a block until it is answered. @param {number} x @param {number} y @param {number} yarn */
  work(x, y, yarn) {
    if (this.state) this.worked.set(y * this.state.width + x, yarn);
    this.count++;
    this.draw();
  }

  /** Work blocks to try them on. @param {[number, number][]} blocks @param {number} yarn */
  workAll(blocks, yarn) {
    this.worked.clear();
    for (const [x, y] of blocks) if (this.yarnAt(x, y) !== NO_BLOCK) this.work(x, y, yarn);
  }

  /** Nothing that is worked holds. */
  unwork() { this.worked.clear(); this.count++; this.draw(); }

  /** Yarns' colours as they are seen. */
  get colors() {
    const eyes = this.seen.eyes;
    return (this.state?.yarns ?? []).map((yarn) => yarn.seen[eyes] ?? yarn.color);
  }

  /** What is on the piece, with what is worked and tried on. */
  get shown() {
    if (this.tried || !this.worked.size) return this.tried ?? this.blocks;
    const shown = this.blocks.slice();
    for (const [at, yarn] of this.worked) shown[at] = yarn;
    return shown;
  }

  /** Draw in the next frame. */
  draw() { this.frame ||= requestAnimationFrame(() => this.drawNow()); }

  drawNow() {
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    const state = this.state, context = this.canvas.getContext("2d");
    if (!state || !context || !this.canvas.clientWidth) return;
    const at = this.layout(), wide = Math.round(at.wide), high = Math.round(at.high);
    if (this.canvas.width !== wide || this.canvas.height !== high) { this.canvas.width = wide; this.canvas.height = high; }
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, wide, high);
    this.place(context, at);
    for (const mark of this.under) { context.save(); mark(context, at); context.restore(); }
    this.drawBlocks(context, state, at);
    if (this.before) this.drawBefore(context, state, at);
    for (const mark of this.marks) { context.save(); mark(context, at); context.restore(); }
    for (const told of this.drawn) told();
  }

  /** Blocks as they were, fainter and fainter. @param {CanvasRenderingContext2D} context @param {PieceState} state @param {Layout} at */
  drawBefore(context, state, { side }) {
    const { canvas, since } = /** @type {{canvas: HTMLCanvasElement, since: number}} */ (this.before), left = 1 - (performance.now() - since) / CROSSING;
    if (left <= 0) { this.before = null; return; }
    context.globalAlpha = left;
    context.imageSmoothingEnabled = false;
    context.drawImage(canvas, 0, 0, Math.round(state.width * side), Math.round(state.height * side));
    context.globalAlpha = 1;
    this.draw();
  }

  /** A pixel a block, kept until a block or a colour is another. */
  flatPicture() {
    const state = /** @type {PieceState} */ (this.state), colors = this.colors;
    const key = `${this.count} ${colors}`;
    if (this.flat?.key !== key) this.flat = { key, canvas: flatPicture(this.shown, state.width, state.height, colors) };
    return this.flat.canvas;
  }

  /** What the server shows of the piece as it is. @param {string} what @param {number} [pixels] */
  serverPicture(what, pixels = 0) {
    if (this.foreign || document.body.classList.contains("becoming")) return null; // the server has it not
    const state = /** @type {PieceState} */ (this.state);
    const of = what === "tiles" ? `${state.yarns.map((yarn) => yarn.color)} ${state.corner} ${state.hand}` : what === "picture" || what === "whole" ? state.pictured : state.blocks;
    return this.pictures.get(`/seen/${what}.png?eyes=${this.seen.eyes}&pixels=${pixels}&of=${printOf(of)}${this.aside >= 0 ? `&aside=${this.aside}` : ""}`);
  }

  /** @param {CanvasRenderingContext2D} context @param {PieceState} state @param {Layout} at */
  drawBlocks(context, state, at) {
    const { side, ratio } = at, width = Math.round(state.width * side), height = Math.round(state.height * side);
    const asItIs = !this.tried && !this.worked.size;
    const { what, far } = this.seen;
    const picture = !asItIs ? null : far ? this.serverPicture("far") : what === "picture" ? this.serverPicture("picture") : null;
    this.waits = asItIs && far && !picture;
    const tiles = !picture && what === "fabric" && side >= POSTS_FROM * ratio ? this.serverPicture("tiles", Fabric.pixels(side)) : null;
    if (tiles) {
      const woven = { width: state.width, blocks: this.shown, upright: state.upright, row: (/** @type {number} */ x, /** @type {number} */ y) => rowOf(state, x, y) };
      context.imageSmoothingEnabled = this.held;
      this.fabric.draw(context, tiles, woven, around(this.inSight(), state), side, String(this.count));
      return;
    }
    context.imageSmoothingEnabled = Boolean(picture && picture.naturalWidth > state.width);
    context.drawImage(picture ? this.cutOut(picture, state) : this.flatPicture(), 0, 0, width, height);
    if (!picture && what === "chart" && side >= LINES_FROM * ratio) this.drawLines(context, state, at);
  }

  /** A picture where the piece has blocks. @param {HTMLImageElement} picture @param {PieceState} state */
  cutOut(picture, state) {
    if (state.last_row === state.width + state.height - 1) return picture;
    const cut = document.createElement("canvas"), context = /** @type {CanvasRenderingContext2D} */ (cut.getContext("2d"));
    cut.width = picture.naturalWidth;
    cut.height = picture.naturalHeight;
    context.drawImage(picture, 0, 0);
    context.globalCompositeOperation = "destination-in";
    context.imageSmoothingEnabled = false;
    context.drawImage(this.flatPicture(), 0, 0, cut.width, cut.height);
    return cut;
  }

  /** The chart's lines: hairlines, every tenth heavier. @param {CanvasRenderingContext2D} context @param {PieceState} state @param {Layout} at */
  drawLines(context, state, { side, ratio }) {
    const [left, top, right, bottom] = this.inSight();
    for (const tenth of [false, true]) {
      context.beginPath();
      for (let x = left; x <= right; x++) {
        if ((x % 10 === 0) === tenth) { context.moveTo(Math.round(x * side), Math.round(top * side)); context.lineTo(Math.round(x * side), Math.round(bottom * side)); }
      }
      for (let y = top; y <= bottom; y++) {
        if ((y % 10 === 0) === tenth) { context.moveTo(Math.round(left * side), Math.round(y * side)); context.lineTo(Math.round(right * side), Math.round(y * side)); }
      }
      context.lineWidth = (tenth ? 1.5 : 0.5) * ratio;
      context.strokeStyle = "rgba(34, 37, 42, 0.75)";
      context.stroke();
    }
  }
}

/** Some more than is in sight, so that it is not drawn anew at every step. @param {[number, number, number, number]} sight @param {PieceState} state @returns {[number, number, number, number]} */
const around = ([left, top, right, bottom], { width, height }) => [
  left - (left % 4), top - (top % 4), Math.min(width, Math.ceil(right / 4) * 4), Math.min(height, Math.ceil(bottom / 4) * 4),
];

/** A short print of a text. @param {string} text */
function printOf(text) {
  let print = 2166136261;
  for (let i = 0; i < text.length; i++) print = Math.imul(print ^ text.charCodeAt(i), 16777619);
  return (print >>> 0).toString(36);
}

// What the piece is drawn of: a pixel a block, pictures that the server makes, the fabric's tiles.

import { NO_BLOCK } from "./blocks.js";

const TILES = [16, 32, 64]; // pixels of a side that the server makes
const OF_KIND = 6; // tiles of posts that lie across; as many stand

/** @param {number} width @param {number} height */
export function drawing(width, height) {
  const canvas = document.createElement("canvas");
  canvas.width = width;
  canvas.height = height;
  return { canvas, context: /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d", { willReadFrequently: false })) };
}

/**
 * Blocks as a picture, a pixel each.
 * @param {Uint8Array} blocks @param {number} width @param {number} height @param {string[]} colors
 */
export function flatPicture(blocks, width, height, colors) {
  const { canvas, context } = drawing(width, height), image = context.createImageData(width, height);
  const words = new Uint32Array(image.data.buffer);
  const of = new Uint32Array(256);
  colors.forEach((color, number) => {
    const rgb = parseInt(color.slice(1), 16);
    of[number] = 0xff000000 | ((rgb & 255) << 16) | (rgb & 0xff00) | (rgb >> 16);
  });
  of[NO_BLOCK] = 0;
  for (let i = 0; i < blocks.length; i++) words[i] = of[blocks[i]];
  context.putImageData(image, 0, 0);
  return canvas;
}

/** Pictures of the server, each asked for once. */
export class Pictures {
  /** @param {() => void} arrived */
  constructor(arrived) {
    this.arrived = arrived;
    /** @type {Map<string, HTMLImageElement>} */
    this.known = new Map();
  }

  /** A picture, null until it is there. @param {string} url */
  get(url) {
    let image = this.known.get(url);
    if (!image) {
      image = new Image();
      image.addEventListener("load", this.arrived);
      image.src = url;
      this.known.set(url, image);
      if (this.known.size > 24) this.known.delete(/** @type {string} */ (this.known.keys().next().value));
    }
    return image.complete && image.naturalWidth ? image : null;
  }
}

/** The fabric's tiles at the size they are drawn at, so that a block is a copy of pixels. */
export class Tiles {
  constructor() {
    /** @type {HTMLCanvasElement|null} */
    this.scaled = null;
    this.key = "";
  }

  /** The pixels of a tile that the server makes, for blocks so wide. @param {number} side */
  static pixels(side) { return TILES.find((pixels) => pixels >= side) ?? TILES[TILES.length - 1]; }

  /**
   * Draw the blocks that are in sight.
   * @param {CanvasRenderingContext2D} context @param {HTMLImageElement} atlas
   * @param {{width: number, blocks: Uint8Array, row: (x: number, y: number) => number, upright: string}} piece
   * @param {[number, number, number, number]} sight @param {number} side
   */
  draw(context, atlas, piece, [left, top, right, bottom], side) {
    const pixels = atlas.naturalWidth / (2 * OF_KIND), wide = Math.ceil(side), colors = Math.round(atlas.naturalHeight / pixels);
    const key = `${atlas.src} ${wide}`;
    if (this.key !== key || !this.scaled) {
      const made = drawing(2 * OF_KIND * wide, colors * wide);
      made.context.imageSmoothingQuality = "high";
      for (let tile = 0; tile < 2 * OF_KIND; tile++) {
        for (let color = 0; color < colors; color++) {
          made.context.drawImage(atlas, tile * pixels, color * pixels, pixels, pixels, tile * wide, color * wide, wide, wide);
        }
      }
      this.scaled = made.canvas;
      this.key = key;
    }
    const odd = piece.upright === "odd" ? 1 : 0;
    for (let y = top; y < bottom; y++) {
      const low = Math.round(y * side), high = Math.round((y + 1) * side) - low;
      for (let x = left; x < right; x++) {
        const yarn = piece.blocks[y * piece.width + x];
        if (yarn === NO_BLOCK || yarn >= colors) continue;
        const from = Math.round(x * side), across = Math.round((x + 1) * side) - from;
        const upright = (piece.row(x, y) & 1) === odd;
        const tile = (((x * 73856093) ^ (y * 19349663)) >>> 4) % OF_KIND + (upright ? OF_KIND : 0);
        context.drawImage(this.scaled, tile * wide, yarn * wide, across, high, from, low, across, high);
      }
    }
  }
}

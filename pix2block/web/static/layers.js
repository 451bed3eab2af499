// What the piece is drawn of: a pixel a block, pictures that the server makes, the fabric's tiles.

import { NO_BLOCK } from "./blocks.js";

const TILES = [16, 32, 64]; // pixels of a side that the server makes
const ROOM = 512; // pixels by which sheets are larger
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

/**
 * What a fabric is drawn of.
 * @typedef {{width: number, blocks: Uint8Array, upright: string, row: (x: number, y: number) => number}} Woven
 * @typedef {[number, number, number, number]} Region left, top, right, bottom, in blocks
 */

/** The fabric, pixel by pixel from its tiles: so quick that a piece moves smoothly under the hand. */
export class Fabric {
  constructor() {
    this.atlas = { key: "", side: 0, pixels: new Uint32Array() };
    /** @type {{canvas: HTMLCanvasElement, context: CanvasRenderingContext2D, image: ImageData, words: Uint32Array}|null} */
    this.sheet = null;
    this.key = "";
  }

  /** The pixels of a tile that the server makes, for blocks so wide. @param {number} side */
  static pixels(side) { return TILES.find((pixels) => pixels >= side) ?? TILES[TILES.length - 1]; }

  /** The tiles at the size that they are drawn at. @param {HTMLImageElement} image @param {number} side */
  scaled(image, side) {
    const key = `${image.src} ${side}`;
    if (this.atlas.key === key) return this.atlas;
    const pixels = image.naturalWidth / (2 * OF_KIND), colors = Math.round(image.naturalHeight / pixels);
    const { context } = drawing(2 * OF_KIND * side, colors * side);
    context.imageSmoothingQuality = "high";
    for (let tile = 0; tile < 2 * OF_KIND; tile++) {
      for (let color = 0; color < colors; color++) {
        context.drawImage(image, tile * pixels, color * pixels, pixels, pixels, tile * side, color * side, side, side);
      }
    }
    const { data } = context.getImageData(0, 0, 2 * OF_KIND * side, colors * side);
    this.atlas = { key, side, pixels: new Uint32Array(data.buffer) };
    return this.atlas;
  }

  /**
   * Draw the blocks of a region. key: tells what is drawn.
   * @param {CanvasRenderingContext2D} context @param {HTMLImageElement} image @param {Woven} piece
   * @param {Region} region @param {number} side @param {string} key
   */
  draw(context, image, piece, region, side, key) {
    const [left, top, right, bottom] = region, x0 = Math.round(left * side), y0 = Math.round(top * side);
    const wide = Math.round(right * side) - x0, high = Math.round(bottom * side) - y0;
    if (wide < 1 || high < 1) return;
    const drawn = `${key} ${image.src} ${region} ${side}`;
    const room = Math.ceil(wide / ROOM) * ROOM, deep = Math.ceil(high / ROOM) * ROOM; // so that a sheet serves again
    if (this.sheet?.canvas.width !== room || this.sheet.canvas.height !== deep) {
      const made = drawing(room, deep), data = made.context.createImageData(room, deep);
      this.sheet = { ...made, image: data, words: new Uint32Array(data.data.buffer) };
      this.key = "";
    }
    if (this.key !== drawn) {
      this.fill(this.sheet.words, room, this.scaled(image, Math.ceil(side)), piece, region, side);
      this.sheet.context.putImageData(this.sheet.image, 0, 0, 0, 0, wide, high);
      this.key = drawn;
    }
    context.drawImage(this.sheet.canvas, 0, 0, wide, high, x0, y0, wide, high);
  }

  /** @param {Uint32Array} out @param {number} room pixels of a line of it @param {{side: number, pixels: Uint32Array}} atlas @param {Woven} piece @param {Region} region @param {number} side */
  fill(out, room, { side: tile, pixels }, piece, [left, top, right, bottom], side) {
    const across = 2 * OF_KIND * tile, odd = piece.upright === "odd" ? 1 : 0, columns = right - left;
    const x0 = Math.round(left * side), wide = Math.round(right * side) - x0;
    const block = new Int32Array(wide), within = new Int32Array(wide), begins = new Int32Array(columns);
    for (let x = left; x < right; x++) {
      const from = Math.round(x * side) - x0, to = Math.round((x + 1) * side) - x0;
      for (let px = from; px < to; px++) { block[px] = x - left; within[px] = Math.min(px - from, tile - 1); }
    }
    let lines = 0;
    for (let y = top; y < bottom; y++) {
      for (let x = left; x < right; x++) {
        const yarn = piece.blocks[y * piece.width + x];
        const kind = (((x * 73856093) ^ (y * 19349663)) >>> 4) % OF_KIND + ((piece.row(x, y) & 1) === odd ? OF_KIND : 0);
        begins[x - left] = yarn === NO_BLOCK ? -1 : yarn * tile * across + kind * tile;
      }
      const high = Math.round((y + 1) * side) - Math.round(y * side);
      for (let py = 0; py < high; py++) {
        const line = Math.min(py, tile - 1) * across;
        let at = room * lines++;
        for (let px = 0; px < wide; px++) {
          const from = begins[block[px]];
          out[at++] = from < 0 ? 0 : pixels[from + line + within[px]];
        }
      }
    }
  }
}

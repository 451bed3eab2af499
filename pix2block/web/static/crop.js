// The part of the picture, as a frame on the piece: dragged at its edges and corners, moved, or typed.

import * as api from "./api.js";
import { by, deed, paragraph, wordSpan } from "./dom.js";
import { inkOnPaper, PAPER } from "./marks.js";
import { canvas, page, piece, say, whenPlaced, whenShown } from "./page.js";
import { setHand } from "./touch.js";

/** @typedef {[number, number, number, number]} Box left, top, right, bottom */

const FINGER = 24, MOUSE = 12; // pixels from an edge at which it is held
const COMES = "The frame on the piece comes …", HOW = "Drag the frame on the piece by its edges and corners, or type where it lies.";
const LEAST = 5; // per cent of the picture that a side is at least
const CURSORS = { "1000": "ew-resize", "0010": "ew-resize", "0100": "ns-resize", "0001": "ns-resize", "1100": "nwse-resize", "0011": "nwse-resize", "1001": "nesw-resize", "0110": "nesw-resize", "1111": "move" };

/**
 * picture, seen: the whole picture, and what is shown of it, in blocks; crop: the frame, in per cent of the picture;
 * was: the part that is charted now; keeps: whether the piece keeps its shape; left: what that leaves away, in words.
 * @type {{element: HTMLElement, keeps: boolean, left: HTMLElement, follows: HTMLElement, field: HTMLInputElement|null, picture: Box, seen: Box, crop: Box, was: Box}|null}
 */
let frame = null;
/** @type {[number, number, number, number]|null} which edges are held, 1 or 0 */
let held = null;
/** @type {[number, number]} */
let from = [0, 0];
/** @type {(Node|string)[]} once the frame has moved */
let deeds = [];
/** @type {import("./touch.js").Hand|null} */
let before = null;

/**
 * Show the frame, while its slip is open.
 * @param {HTMLElement} place of the slip @param {(word: string, value: string, words: string) => void} choose
 */
export async function openCrop(place, choose) {
  const element = paragraph(COMES), field = place.querySelector("input");
  (field?.closest("label") ?? place.firstChild)?.after(element);
  try {
    const told = await api.crop(), [left, top, width, height] = told.crop;
    if (isAway(element)) return;
    const was = /** @type {Box} */ ([left, top, left + width, top + height]);
    const follows = wordSpan("Let the height follow the frame", "does", () => { if (frame) choose("crop_shape", words(), "the part in the frame, the height after it"); });
    frame = { element, keeps: told.keeps, left: document.createElement("span"), follows, field: field instanceof HTMLInputElement ? field : null, picture: told.picture, seen: told.seen, crop: [...was], was };
  } catch (error) {
    if (!(error instanceof api.Fault)) throw error;
    element.textContent = error.message;
    return;
  }
  const { picture: [left, top, right, bottom] } = frame, { width, height } = page.state;
  piece.showBeyond([Math.max(0, -left), Math.max(0, -top), Math.max(0, right - width), Math.max(0, bottom - height)]);
  before ??= setHand({
    works: () => true, open: () => {}, begin: () => false, over: () => {}, end: () => {},
    cancel: () => { held = null; }, grip, drag, drop,
  });
  frame.field?.addEventListener("input", typed);
  const keeps = deed("Keep the part in the frame", () => { if (frame) choose("crop", words(), "the part in the frame"); });
  const undo = deed("As it was", () => { if (frame) { frame.crop = [...frame.was]; said(); } });
  deeds = [keeps, " ", undo];
  said();
}

function close() {
  frame = held = null;
  if (before) setHand(before);
  before = null;
  canvas.style.cursor = "";
  piece.showBeyond([0, 0, 0, 0]);
}

/** The frame as the option has it. */
function words() {
  const [left, top, right, bottom] = /** @type {NonNullable<typeof frame>} */ (frame).crop;
  return [left, top, right - left, bottom - top].map((one) => String(Math.round(one * 10) / 10)).join(",");
}

/** The frame has moved. */
function said() {
  if (!frame) return;
  const moved = frame.crop.some((one, at) => Math.abs(one - /** @type {NonNullable<typeof frame>} */ (frame).was[at]) > 0.05);
  if (!moved) frame.element.replaceChildren(HOW, frame.left);
  else if (!frame.element.querySelector("button")) frame.element.replaceChildren(...deeds, frame.left);
  const lost = leftAway(), { width, height } = page.state;
  if (lost === "") frame.left.replaceChildren();
  else if (frame.left.dataset.said !== lost || !frame.left.childElementCount) frame.left.replaceChildren(` The piece keeps its shape, ${width} by ${height} blocks: ${lost} of the frame, outside the dashed lines, is left away. `, frame.follows, ".");
  frame.left.dataset.said = lost;
  if (frame.field && document.activeElement !== frame.field) frame.field.value = moved || frame.field.value ? words() : "";
  piece.draw();
}

/** The frame follows what is typed, as far as it can be read. */
function typed() {
  const sides = (frame?.field?.value ?? "").split(/[,;]\s*|\s+/).filter(Boolean).map(Number), [left, top, width, height] = sides;
  if (!frame || sides.length !== 4 || !(left >= 0 && top >= 0 && width > 0 && height > 0 && left + width <= 100.01 && top + height <= 100.01)) return;
  frame.crop = [left, top, left + width, top + height];
  said();
}

/** The frame's edges in blocks. @returns {Box} */
function edges() {
  const { picture: [left, top, right, bottom], crop } = /** @type {NonNullable<typeof frame>} */ (frame);
  const x = (/** @type {number} */ part) => left + (part / 100) * (right - left), y = (/** @type {number} */ part) => top + (part / 100) * (bottom - top);
  return [x(crop[0]), y(crop[1]), x(crop[2]), y(crop[3])];
}

/** What of the frame the piece's shape has room for, in blocks as they are now. @returns {Box} */
function inner() {
  const [left, top, right, bottom] = edges(), { width, height } = page.state, block = Math.min((right - left) / width, (bottom - top) / height);
  const across = (right - left - block * width) / 2, down = (bottom - top - block * height) / 2;
  return [left + across, top + down, right - across, bottom - down];
}

/** How much of the frame the piece's shape leaves away, "" for next to nothing. */
function leftAway() {
  if (!frame?.keeps) return "";
  const [left, top, right, bottom] = edges(), [first, high, last, low] = inner();
  const across = Math.round(100 * (1 - (last - first) / (right - left))), down = Math.round(100 * (1 - (low - high) / (bottom - top)));
  return Math.max(across, down) < 2 ? "" : across > down ? `${across} % of the width` : `${down} % of the height`;
}

/** Which edges lie at a place of the screen; all of them within the frame. @param {PointerEvent} at @returns {[number, number, number, number]|null} */
function edgesAt(at) {
  if (!frame || isTried()) return null;
  const [x, y] = piece.chartAt(at), [left, top, right, bottom] = edges(), near = (at.pointerType === "mouse" ? MOUSE : FINGER) / piece.blockPixels;
  if (x < left - near || x > right + near || y < top - near || y > bottom + near) return null;
  const found = [x - left, y - top, right - x, bottom - y].map((far) => (Math.abs(far) <= near ? 1 : 0));
  if (found[0] && found[2]) found[x - left < right - x ? 2 : 0] = 0;
  if (found[1] && found[3]) found[y - top < bottom - y ? 3 : 1] = 0;
  return /** @type {[number, number, number, number]} */ (found.some(Boolean) ? found : [1, 1, 1, 1]);
}

/** Whether another piece is tried on, which is not what the frame is of. */
const isTried = () => piece.foreign || piece.tried !== null;

/** @param {PointerEvent} at */
function grip(at) {
  held = edgesAt(at);
  from = piece.chartAt(at);
  return held !== null;
}

/** @param {PointerEvent} at */
function drag(at) {
  if (!frame || !held) return;
  const { picture: [left, top, right, bottom], crop } = frame, to = piece.chartAt(at);
  const by = [(100 * (to[0] - from[0])) / (right - left), (100 * (to[1] - from[1])) / (bottom - top)];
  const whole = held.every(Boolean);
  for (const axis of [0, 1]) {
    const low = crop[axis], high = crop[axis + 2];
    const step = whole ? Math.min(100 - high, Math.max(-low, by[axis])) : by[axis];
    if (held[axis]) crop[axis] = whole ? low + step : Math.min(high - LEAST, Math.max(0, low + step));
    if (held[axis + 2]) crop[axis + 2] = whole ? high + step : Math.max(low + LEAST, Math.min(100, high + step));
  }
  from = to;
  said();
}

function drop() {
  held = null;
  if (frame) say(`The frame is at ${words().split(",").join(", ")} per cent: left, top, width, height`);
}

canvas.addEventListener("pointermove", (event) => {
  if (!frame) return;
  const at = held ?? edgesAt(event);
  canvas.style.cursor = at ? CURSORS[/** @type {"1000"} */ (at.join(""))] ?? "" : "";
});

/** Whether a slip's element is gone, or something else stands in the paragraph's place. @param {HTMLElement} element */
const isAway = (element) => !element.isConnected || by("paragraph").hidden;
const closeWhenGone = () => { if (frame && isAway(frame.element)) close(); };
whenShown(closeWhenGone);
whenPlaced(() => setTimeout(closeWhenGone)); // once the slip is put where it stands

// The rest of the picture lies under the blocks; what is outside the frame is pale.
piece.under.push((context, { side }) => {
  if (!frame || isTried()) return;
  const picture = piece.serverPicture("whole"), [left, top, right, bottom] = frame.seen;
  if (picture) context.drawImage(picture, left * side, top * side, (right - left) * side, (bottom - top) * side);
});
piece.marks.push((context, { side, ratio }) => {
  if (!frame || isTried()) return;
  const [left, top, right, bottom] = edges().map((one) => one * side), [x, y, to, low] = frame.picture.map((one) => one * side);
  context.beginPath();
  context.rect(x, y, to - x, low - y);
  context.rect(left, top, right - left, bottom - top);
  context.fillStyle = getComputedStyle(document.body).backgroundColor;
  context.globalAlpha = 0.7;
  context.fill("evenodd");
  context.globalAlpha = 1;
  context.beginPath();
  context.rect(left, top, right - left, bottom - top);
  inkOnPaper(context, ratio, 2);
  if (leftAway()) {
    const [a, b, c, d] = inner().map((one) => one * side);
    context.setLineDash([8 * ratio, 6 * ratio]);
    context.beginPath();
    context.rect(a, b, c - a, d - b);
    inkOnPaper(context, ratio, 2);
    context.setLineDash([]);
  }
  const size = 6 * ratio * piece.larger;
  for (const [across, down] of [[left, top], [right, top], [left, bottom], [right, bottom], [(left + right) / 2, top], [(left + right) / 2, bottom], [left, (top + bottom) / 2], [right, (top + bottom) / 2]]) {
    context.beginPath();
    context.rect(across - size, down - size, 2 * size, 2 * size);
    context.fillStyle = PAPER;
    context.fill();
    inkOnPaper(context, ratio, 2);
  }
});

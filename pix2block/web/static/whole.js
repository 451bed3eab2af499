// The whole piece, small, with a frame about what is in sight, while the piece is seen from very near.

import { by } from "./dom.js";
import { piece } from "./page.js";

const LONGEST = 108, ON_A_PHONE = 64; // pixels

const canvas = /** @type {HTMLCanvasElement} */ (by("whole"));

function show() {
  const state = piece.state, context = canvas.getContext("2d");
  canvas.hidden = piece.near <= 1;
  if (canvas.hidden || !state || !context) return;
  const ratio = window.devicePixelRatio || 1, side = ((piece.narrow ? ON_A_PHONE : LONGEST * piece.larger) * ratio) / Math.max(state.width, state.height);
  const wide = Math.round(state.width * side), high = Math.round(state.height * side);
  if (canvas.width !== wide || canvas.height !== high) {
    canvas.width = wide;
    canvas.height = high;
    canvas.style.width = `${wide / ratio}px`;
    canvas.style.height = `${high / ratio}px`;
  }
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.imageSmoothingEnabled = false;
  context.clearRect(0, 0, wide, high);
  context.drawImage(piece.flatPicture(), 0, 0, wide, high);
  const [left, top, right, bottom] = piece.inSight();
  for (const [color, width] of /** @type {[string, number][]} */ ([["#fdfcf9", 4], ["#22252a", 2]])) {
    context.strokeStyle = color;
    context.lineWidth = width * ratio;
    context.strokeRect(left * side, top * side, (right - left) * side, (bottom - top) * side);
  }
}

/** @param {PointerEvent} event */
function goThere(event) {
  if (!event.buttons || !piece.state) return;
  const box = canvas.getBoundingClientRect();
  const parts = [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
  piece.middle = parts.map((part) => Math.min(1, Math.max(0, part)));
  piece.draw();
}

canvas.addEventListener("pointerdown", (event) => { canvas.setPointerCapture(event.pointerId); goThere(event); });
canvas.addEventListener("pointermove", goThere);
piece.drawn.push(show);

// Fingers, pen and mouse on the piece: one works or opens, two move it, the wheel goes near.

import { canvas, piece } from "./page.js";

/** @typedef {[number, number]} Block */
/**
 * What touches do, as it is now.
 * @typedef {{works: () => boolean, begin: (block: Block, far: boolean) => boolean, over: (block: Block) => void,
 *   end: () => void, cancel: () => void, open: (block: Block) => void, outside?: (at: PointerEvent) => void, hover?: (block: Block|null) => void,
 *   grip?: (at: PointerEvent) => boolean, drag?: (at: PointerEvent) => void, drop?: () => void}} Hand
 * grip: whether what lies there is held, which is then dragged, wherever blocks are
 */

const STILL = 6; // pixels that a finger may slip in a touch
/** @type {Hand|null} */
let hand = null;
/** @type {Map<number, {x: number, y: number}>} */
const down = new Map();
/** @type {""|"touch"|"work"|"move"|"drag"} */
let doing = "";
/** @type {{x: number, y: number}} */
let from = { x: 0, y: 0 };
let space = false;

/** @param {Hand} given what touches do @returns {Hand|null} what they did */
export function setHand(given) {
  const was = hand;
  hand = given;
  return was;
}

/** The middle and the width of what is held by two fingers. */
function grip() {
  const [one, other] = [...down.values()];
  return { x: (one.x + other.x) / 2, y: (one.y + other.y) / 2, wide: Math.hypot(one.x - other.x, one.y - other.y) };
}

canvas.addEventListener("pointerdown", (event) => {
  down.set(event.pointerId, { x: event.clientX, y: event.clientY });
  canvas.setPointerCapture(event.pointerId);
  if (down.size > 1) {
    if (doing === "work" || doing === "drag") hand?.cancel();
    doing = "move";
    return;
  }
  from = { x: event.clientX, y: event.clientY };
  if (event.button === 1 || space) { event.preventDefault(); doing = "move"; piece.dragged = space; return; }
  if (hand?.grip?.(event)) { doing = "drag"; return; }
  const block = piece.blockAt(event);
  doing = "touch";
  if (block) { piece.cursor = block; piece.draw(); }
  if (hand?.works() && block && hand.begin(block, event.shiftKey)) doing = "work";
});

canvas.addEventListener("pointermove", (event) => {
  const was = down.get(event.pointerId);
  if (!was) { if (event.pointerType === "mouse") hand?.hover?.(piece.blockAt(event)); return; }
  if (down.size > 1) {
    const before = grip();
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
    const now = grip();
    piece.pan(now.x - before.x, now.y - before.y);
    if (before.wide > 0) piece.zoomAt(now.wide / before.wide, { clientX: now.x, clientY: now.y });
    piece.draw();
    return;
  }
  down.set(event.pointerId, { x: event.clientX, y: event.clientY });
  if (doing === "work") { const block = piece.blockAt(event); if (block) hand?.over(block); return; }
  if (doing === "drag") { hand?.drag?.(event); return; }
  if (doing === "touch" && Math.hypot(event.clientX - from.x, event.clientY - from.y) > STILL && piece.near > 1) doing = "move";
  if (doing === "move") { piece.pan(event.clientX - was.x, event.clientY - was.y); piece.draw(); }
});

canvas.addEventListener("pointerup", (event) => {
  if (!down.delete(event.pointerId) || down.size) return;
  const did = doing;
  doing = "";
  if (did === "work") { hand?.end(); return; }
  if (did === "drag") { hand?.drop?.(); return; }
  if (did !== "touch" || Math.hypot(event.clientX - from.x, event.clientY - from.y) > STILL) return;
  const block = piece.blockAt(event);
  if (!block) hand?.outside?.(event);
  else if (!hand?.works()) hand?.open(block);
});

canvas.addEventListener("pointerleave", () => hand?.hover?.(null));

canvas.addEventListener("pointercancel", (event) => {
  down.delete(event.pointerId);
  if (doing === "work" || doing === "drag") hand?.cancel();
  doing = down.size ? "move" : "";
});

canvas.addEventListener("wheel", (event) => {
  if (event.deltaY > 0 && piece.near <= 1 && !event.ctrlKey) return; // the page scrolls on
  event.preventDefault();
  const lines = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? 30 : 1;
  piece.zoomAt(Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.002)), event);
  piece.draw();
}, { passive: false });

// Space and a drag move the piece. (Space alone works a block where the piece has the focus.)
document.addEventListener("keydown", (event) => { if (event.key === " ") space = true; });
document.addEventListener("keyup", (event) => { if (event.key === " ") space = false; });
window.addEventListener("blur", () => { space = false; });

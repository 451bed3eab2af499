// The yarn in hand as a strand from its word to the block. It takes no touches and does not move by itself.

import { page, piece, whenShown } from "./page.js";

const NS = "http://www.w3.org/2000/svg";
const drawing = document.createElementNS(NS, "svg");
drawing.setAttribute("class", "strand");
drawing.setAttribute("aria-hidden", "true");
const rim = document.createElementNS(NS, "path"), yarn = document.createElementNS(NS, "path");
rim.setAttribute("class", "rim");
drawing.append(rim, yarn);
document.body.append(drawing);

function show() {
  const word = document.getElementById("in-hand"), at = piece.cursor;
  drawing.toggleAttribute("hidden", page.inHand < 0 || !word || !at);
  if (page.inHand < 0 || !word || !at) return;
  const from = word.getBoundingClientRect(), canvas = piece.canvas.getBoundingClientRect();
  const [x, y] = piece.onCanvas(at[0] + 0.5, at[1] + 0.5);
  const to = { x: canvas.left + x, y: canvas.top + y };
  const hidden = x < 0 || y < 0 || x > canvas.width || y > canvas.height;
  if (hidden) { drawing.toggleAttribute("hidden", true); return; }
  const below = from.top >= canvas.bottom; // on a phone the strand comes from below, past the finger
  const begin = below ? { x: from.left + 24, y: from.top } : { x: from.left, y: from.top + from.height / 2 };
  const sag = Math.min(140, Math.abs(begin.y - to.y) / 2 + 40);
  const path = below
    ? `M${begin.x} ${begin.y}C${begin.x} ${begin.y - 50} ${to.x + 60} ${to.y + sag + 40} ${to.x + 3} ${to.y + 3}`
    : `M${begin.x} ${begin.y}C${begin.x - 120} ${begin.y} ${to.x + (begin.x - to.x) * 0.55} ${to.y + sag * 1.6} ${to.x + 3} ${to.y + 3}`;
  rim.setAttribute("d", path);
  yarn.setAttribute("d", path);
  yarn.setAttribute("stroke", page.state.yarns[page.inHand]?.color ?? "none");
}

piece.drawn.push(show);
whenShown(() => queueMicrotask(show));
for (const event of ["scroll", "resize"]) window.addEventListener(event, show, { passive: true });

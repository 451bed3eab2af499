// Working on the piece: a yarn in hand, blocks touched, drawn over and walked by keys.

import * as api from "./api.js";
import { NO_BLOCK, between, rowOf } from "./blocks.js";
import { by, deed, paragraph } from "./dom.js";
import { canvas, keep, page, piece, refresh, say, tell, whenShown } from "./page.js";
import { seeHeld } from "./seen.js";

/** @type {[number, number]|null} the block worked last */
let lastBlock = null;

/** @param {number} number */
export function takeUp(number) {
  page.inHand = number;
  refresh();
  say(number < 0 ? "No yarn in hand" : `${page.state.yarns[number].name} in hand`);
}

/** What the block at the cursor is, and what touching does. */
function showAt() {
  const at = piece.cursor;
  const hand = page.inHand >= 0 ? ` ${page.state.yarns[page.inHand].name} is in hand.` : "";
  if (!at || piece.yarnAt(at[0], at[1]) === NO_BLOCK) { by("at").textContent = hand.trim(); return; }
  by("at").textContent = `${blockWords(at)}.${hand}`;
}

/** @param {[number, number]} at */
function blockWords(at) {
  const yarn = page.state.yarns[piece.yarnAt(at[0], at[1])];
  return `${yarn.name}, column ${at[0] + 1}, line ${at[1] + 1}, row ${rowOf(page.state, at[0], at[1])}`;
}

/** @param {[number, number]} at */
async function openBlock(at) {
  const place = by("here"), number = rowOf(page.state, at[0], at[1]), yarn = piece.yarnAt(at[0], at[1]);
  try {
    const row = await api.row(number);
    place.replaceChildren(paragraph(`This block is ${blockWords(at)}.`), deed(`Take up ${page.state.yarns[yarn].name}`, () => takeUp(yarn)));
    place.append(...row.lines.map(paragraph), deed("Back to the piece", () => { place.textContent = ""; }));
  } catch (error) { tell(error); }
}

/** @param {[number, number][]} blocks */
function work(blocks) {
  const yarn = page.state.yarns[page.inHand].name;
  /** @type {[string, string][]} */
  const mends = [];
  for (const [x, y] of blocks) {
    if (piece.blocks[y * page.state.width + x] !== page.inHand) mends.push(["paint", `column ${x + 1}, line ${y + 1}=${yarn}`]);
  }
  if (!mends.length) { piece.worked.clear(); piece.draw(); return; }
  keep(api.mend(mends), `${mends.length} ${mends.length === 1 ? "block" : "blocks"} ${yarn}`);
}

/** @type {[number, number][]|null} blocks of the stroke that is being drawn */
let stroke = null;

canvas.addEventListener("pointerdown", (event) => {
  const block = piece.blockAt(event);
  piece.cursor = block;
  showAt();
  piece.draw();
  if (!block) return;
  if (page.inHand < 0) { openBlock(block); return; }
  canvas.setPointerCapture(event.pointerId);
  stroke = [];
  extend(event.shiftKey && lastBlock ? between(lastBlock, block) : [block]);
});
canvas.addEventListener("pointermove", (event) => {
  const block = piece.blockAt(event);
  if (!stroke || !block) return;
  const last = stroke[stroke.length - 1];
  if (last[0] !== block[0] || last[1] !== block[1]) extend(between(last, block));
});
canvas.addEventListener("pointerup", () => {
  if (stroke) { work(stroke); lastBlock = stroke[stroke.length - 1]; }
  stroke = null;
});
canvas.addEventListener("pointercancel", () => { stroke = null; piece.worked.clear(); piece.draw(); });
canvas.addEventListener("wheel", (event) => {
  event.preventDefault();
  piece.zoom(event.deltaY < 0 ? 1.25 : 0.8, piece.blockAt(event));
}, { passive: false });

/** @param {[number, number][]} blocks */
function extend(blocks) {
  for (const [x, y] of blocks) {
    if (piece.yarnAt(x, y) === NO_BLOCK) continue;
    stroke?.push([x, y]);
    piece.work(x, y, page.inHand);
  }
}

canvas.addEventListener("focus", () => { piece.cursor ??= [0, 0]; piece.draw(); showAt(); });
canvas.addEventListener("blur", () => piece.draw());
canvas.addEventListener("keydown", (event) => {
  const at = piece.cursor ?? [0, 0];
  const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (step) {
    event.preventDefault();
    const x = Math.min(page.state.width - 1, Math.max(0, at[0] + step[0]));
    const y = Math.min(page.state.height - 1, Math.max(0, at[1] + step[1]));
    piece.cursor = [x, y];
    piece.draw();
    showAt();
    if (piece.yarnAt(x, y) !== NO_BLOCK) say(blockWords([x, y]));
  } else if (event.key >= "0" && event.key <= "9") {
    const number = Number(event.key) - 1;
    if (number < page.state.yarns.length) takeUp(number);
  } else if (event.key === " ") {
    event.preventDefault();
    if (page.inHand >= 0) { work(event.shiftKey && lastBlock ? between(lastBlock, at) : [at]); lastBlock = at; } else openBlock(at);
  } else if (event.key === "f" && page.inHand >= 0) {
    keep(api.mend([["fill", `column ${at[0] + 1}, line ${at[1] + 1}=${page.state.yarns[page.inHand].name}`]]), "The patch is filled");
  } else if (event.key === "e") {
    takeUp(piece.yarnAt(at[0], at[1]));
  } else if (event.key === "+" || event.key === "-") {
    piece.zoom(event.key === "+" ? 1.5 : 1 / 1.5, at);
  } else if (event.key === "v") {
    seeHeld(!piece.held);
  }
});
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && page.inHand >= 0) takeUp(-1);
});
whenShown(showAt);

// The subject's line on the piece, and the brush: draw outside to add, inside to take away.

import * as api from "./api.js";
import { between, blocksOf } from "./blocks.js";
import { deed, paragraph, wordSpan } from "./dom.js";
import { enclosed } from "./enclosed.js";
import { closeInstead, insteadOf, openInstead } from "./instead.js";
import { inkOnPaper, outline } from "./marks.js";
import { canvas, keep, page, piece, refresh, say, tell } from "./page.js";
import { closeForNow } from "./paragraph.js";
import { textOf } from "./since.js";
import { setHand } from "./touch.js";

/** @typedef {[number, number]} Block */

const BRUSHES = [1, 3, 7], WORDS = ["one block", "three blocks", "seven blocks"];
const OF = /** @type {Record<number, string>} */ (Object.fromEntries(BRUSHES.map((blocks, at) => [blocks, WORDS[at]])));

/** @type {Uint8Array|null} 1 where a block is of the subject */
let inside = null;
/** @type {{of: HTMLElement, blocks: Uint8Array}|null} the line of a slip */
let line = null;
/** @type {Uint8Array|null} as it was when it was opened */
let found = null;
/** @type {Uint8Array[]} as it was before each stroke */
let strokes = [];
/** @type {{found: string, inside: Uint8Array, strokes: Uint8Array[]}|null} what was drawn, not kept, and left for something else */
let draft = null;
/** @type {Uint8Array|null} what is kept, until the piece is made of it */
let coming = null;
let brush = 3, adds = true, drawing = false;
/** @type {Block|null} */
let last = null;
/** @type {import("./touch.js").Hand|null} */
let before = null;

/** Open the subject's sentence, and take the brush. */
export async function openSubject() {
  openInstead({ name: "subject", fill, closed: close });
  try {
    const told = await api.subject();
    if (insteadOf() !== "subject") return;
    found = blocksOf(told.blocks);
    const left = draft?.found === told.blocks ? draft : null;
    inside = left?.inside ?? found.slice();
    strokes = left?.strokes ?? [];
    draft = null;
    before = setHand({
      works: () => true, open: () => {}, cancel: () => { drawing = false; takeBack(); },
      begin(block) { drawing = true; last = block; begin(block); return true; },
      over(block) { if (last) paint(between(last, block)); last = block; },
      end() { drawing = false; follow(); refresh(); },
    });
    refresh();
    piece.draw();
  } catch (error) { closeInstead(); tell(error); }
}

/** Show the line while something is on the page: a slip about it. @param {HTMLElement} slip */
export async function showLine(slip) {
  try {
    const told = await api.subject();
    line = told.clear && slip.isConnected ? { of: slip, blocks: blocksOf(told.blocks) } : null;
    piece.draw();
  } catch (error) {
    if (!(error instanceof api.Fault)) throw error; // without a picture there is no line
  }
}

function close() {
  if (before) setHand(before);
  if (inside && found && changedBlocks()) draft = { found: textOf(found), inside, strokes };
  before = inside = found = last = null;
  strokes = [];
  piece.draw();
}

/** How many blocks are otherwise than when the brush was taken. */
const changedBlocks = () => inside?.reduce((sum, one, at) => sum + (one === found?.[at] ? 0 : 1), 0) ?? 0;

/** Begin a stroke. @param {Block} block */
function begin(block) {
  if (!inside) return;
  adds = !isInside(...block);
  strokes.push(inside.slice());
  paint([block]);
}

/** What a stroke encloses follows it. */
function follow() {
  const was = strokes[strokes.length - 1];
  if (!inside || !was) return;
  for (const at of enclosed(page.state, was, inside, adds ? 1 : 0)) inside[at] = adds ? 1 : 0;
  piece.draw();
}

/** Without the last stroke. */
function takeBack() {
  inside = strokes.pop() ?? inside;
  refresh();
  piece.draw();
}

/** @param {number} x @param {number} y */
const isInside = (x, y) => inside?.[y * page.state.width + x] === 1;

/** @param {Block[]} blocks */
function paint(blocks) {
  const { width, height } = page.state, out = (brush - 1) / 2;
  for (const [x, y] of blocks) {
    for (let line = Math.max(0, y - out); line <= Math.min(height - 1, y + out); line++) {
      for (let column = Math.max(0, x - out); column <= Math.min(width - 1, x + out); column++) {
        if (inside) inside[line * width + column] = adds ? 1 : 0;
      }
    }
  }
  piece.draw();
}

/** @param {HTMLElement} place */
function fill(place) {
  const told = paragraph("");
  told.className = "sentence";
  place.append(told);
  if (!inside || !found) { told.textContent = "What is this a picture of? …"; return; }
  const changed = changedBlocks();
  told.append("The line runs around what this is a picture of. Draw outside it to add, inside it to take away; what a stroke encloses follows. Brush: ", again("brush", wordSpan(OF[brush], "chosen", () => {
    brush = BRUSHES[(BRUSHES.indexOf(brush) + 1) % BRUSHES.length];
    refresh();
    piece.draw();
  })), ".");
  if (changed) place.append(paragraph(`${changed} ${changed === 1 ? "block is" : "blocks are"} otherwise than when you began.`));
  const keys = paragraph("By keys: arrows walk, Space brushes.");
  keys.className = "for-keys";
  place.append(keys);
  const deeds = paragraph("");
  if (changed) deeds.append(deed("Keep this outline", keepIt), " ");
  if (strokes.length) deeds.append(deed("Take back the last stroke", takeBack), " ");
  if (changed) deeds.append(deed("As it was", () => { inside = found?.slice() ?? null; strokes = []; refresh(); piece.draw(); }));
  if (deeds.childElementCount) place.append(deeds);
}

/** @param {string} name @param {HTMLElement} element */
function again(name, element) {
  element.dataset.again = name;
  return element;
}

async function keepIt() {
  if (!inside) return;
  try {
    const { value } = await api.brushed(textOf(inside));
    const opensAgain = closeForNow();
    coming = inside;
    inside = found; // nothing is left to be kept
    closeInstead();
    const made = api.choose("subject", value);
    keep(made.finally(() => { coming = null; piece.draw(); }), "The subject is as you drew it");
    made.then(opensAgain, opensAgain);
  } catch (error) { tell(error); }
}

// Space brushes at the cursor.
canvas.addEventListener("keyup", (event) => {
  if (event.key !== " " || !inside || !piece.cursor || piece.dragged) return;
  event.stopImmediatePropagation();
  begin(piece.cursor);
  follow();
  refresh();
  say(adds ? "Added" : "Taken away");
}, { capture: true });

// The line along the blocks' edges, and the brush about the cursor.
piece.marks.push((context, { side, ratio }) => {
  const told = coming ? { of: canvas, blocks: coming } : line, state = piece.state;
  if (told && !told.of.isConnected) line = null;
  else if (told && state && told.blocks.length === state.width * state.height && insteadOf() === "") {
    outline(context, (x, y) => told.blocks[y * state.width + x] === 1, piece.inSight(), side, false);
    inkOnPaper(context, ratio, 2.5);
  }
  if (!inside || insteadOf() !== "subject") return;
  outline(context, isInside, piece.inSight(), side, false);
  inkOnPaper(context, ratio, 2.5);
  if (!piece.cursor) return;
  const [x, y] = piece.cursor, out = (brush - 1) / 2;
  context.beginPath();
  context.arc((x + 0.5) * side, (y + 0.5) * side, (out + 0.75) * side, 0, 2 * Math.PI);
  inkOnPaper(context, ratio, drawing ? 3 : 1.5);
});

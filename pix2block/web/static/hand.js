// A yarn in hand: what touching and drawing work, what was changed since it was taken up.

import * as api from "./api.js";
import { NO_BLOCK, between, blocksOf, placesOf, rowOf } from "./blocks.js";
import { openBlock } from "./block.js";
import { showChanges } from "./changes.js";
import { by, lozenge, paragraph, wordSpan } from "./dom.js";
import { closeInstead, insteadOf, openInstead } from "./instead.js";
import { openSlip } from "./paragraph.js";
import { INK, PAPER, inkOnPaper, rowNumberAt } from "./marks.js";
import { keep, page, piece, refresh, say, whenShown } from "./page.js";
import { openRow } from "./row.js";
import { openStripeAt } from "./stripes.js";
import { setHand } from "./touch.js";

/** @typedef {[number, number]} Block */

const LATE = 100; // milliseconds until figures that change show …
const SMALLEST = 24, NEAR = 34; // pixels a block that a touch needs, and that it then gets

/** Mends that open in the paragraph. */
const WITHOUT_PLACE = [["exchange", "exchange a yarn"], ["text", "letters"], ["frame", "a frame"], ["mirror", "mirror"], ["repeat", "repeat"], ["shield", "keep a part as it is"]];

/** @type {Block|null} the block worked last */
let last = null;
/** @type {Block|null} the block that was worked alone, just now: touched again, its patch follows */
let alone = null;
/** @type {Block|null} where a line begins */
let start = null;
let held = ""; // the name of the yarn in hand
let line = false; // whether a touch begins or ends a line
/** @type {{state: import("./api.js").PieceState, blocks: Uint8Array}|null} the piece when the yarn was taken up */
let since = null;

/** @param {number} number of a yarn; -1 lays it down */
export function takeUp(number) {
  if (number < 0) { closeInstead(); return; }
  if (page.inHand < 0) since = { state: page.state, blocks: piece.blocks };
  page.inHand = number;
  held = page.state.yarns[number].name;
  alone = start = null;
  openInstead({ name: "hand", fill: fillHand, back: "Lay the yarn down", closed: layDown }, false);
  say(`${page.state.yarns[number].name} in hand`);
}

function layDown() {
  page.inHand = -1;
  since = alone = start = null;
  line = false;
  piece.draw();
  say("No yarn in hand");
}

/** Put a yarn into the hand that is not in it, or lay it down. @param {number} number */
export const takeUpOrDown = (number) => takeUp(number === page.inHand ? -1 : number);

/** Whether a block is another than when the yarn was taken up. @param {number} x @param {number} y */
function isChanged(x, y) {
  const state = piece.state;
  if (!since || !state || since.state.width !== state.width || since.state.height !== state.height) return false;
  const was = since.blocks[y * state.width + x], now = piece.yarnAt(x, y);
  return state.yarns[now]?.name !== since.state.yarns[was]?.name;
}

/** @type {Block|null} the block under the mouse */
let hovered = null;

/** The block under the mouse, or at the cursor, and what it was. */
function showAt() {
  const at = hovered ?? piece.cursor, place = by("at");
  if (!piece.state || !at || piece.yarnAt(at[0], at[1]) === NO_BLOCK) { place.textContent = ""; return; }
  const was = since && isChanged(at[0], at[1]) ? ` It was ${since.state.yarns[since.blocks[at[1] * piece.state.width + at[0]]]?.name}.` : "";
  place.textContent = `${blockWords(at)}.${was}`;
}

/** @param {Block} at */
export function blockWords(at) {
  const yarn = page.state.yarns[piece.yarnAt(at[0], at[1])];
  return `${yarn.name}, column ${at[0] + 1}, line ${at[1] + 1}, row ${rowOf(page.state, at[0], at[1])}`;
}

/** @type {{blocks: Block[], yarn: number}[]} strokes that are sent and not yet answered */
const sent = [];
/** @type {Promise<unknown>} */
let before = Promise.resolve();

/** @param {[string, string][]} mends @param {string} words @param {Block[]} blocks @param {number} yarn */
function send(mends, words, blocks, yarn) {
  const stroke = { blocks, yarn };
  sent.push(stroke);
  const late = setTimeout(() => document.body.classList.add("changing"), LATE);
  const made = before.then(() => api.mend(mends)).finally(() => {
    sent.splice(sent.indexOf(stroke), 1);
    clearTimeout(late);
    if (!sent.length) document.body.classList.remove("changing");
  });
  before = made.catch(() => {});
  keep(made, words);
}

/** @param {Block[]} blocks */
export function work(blocks) {
  const number = page.inHand, yarn = page.state.yarns[number].name, { width } = page.state;
  const once = new Map(blocks.map((block) => [block[1] * width + block[0], block]));
  const changed = [...once].filter(([at, [x, y]]) => piece.yarnAt(x, y) !== NO_BLOCK && piece.blocks[at] !== number).map(([, block]) => block);
  last = blocks[blocks.length - 1];
  if (!changed.length) { piece.unwork(); return; }
  send([["paint", `${placesOf(changed)}=${yarn}`]], `${changed.length} ${changed.length === 1 ? "block" : "blocks"} ${yarn}`, changed, number);
}

/** @param {Block} at */
export const fillPatch = (at) => keep(api.mend([["fill", `${placesOf([at])}=${page.state.yarns[page.inHand].name}`]]), "The patch is filled");

/** From the block worked last to this one. @param {Block} at */
export const workTo = (at) => work(last ? between(last, at) : [at]);

/** @type {Block[]|null} */
let stroke = null;

/** @param {Block[]} blocks */
function extend(blocks) {
  for (const [x, y] of blocks) {
    if (piece.yarnAt(x, y) === NO_BLOCK) continue;
    stroke?.push([x, y]);
    piece.work(x, y, page.inHand);
  }
}

/** Begin or end a line. @param {Block} block */
export function touchLine(block) {
  if (!start) { start = block; piece.draw(); refresh(); say("The line begins here; touch where it ends"); return; }
  const blocks = between(start, block);
  start = null;
  work(blocks);
}

/** Whether the next touch begins or ends a line. */
export const linesAreDrawn = () => line;

setHand({
  works: () => page.inHand >= 0,
  begin(block, far) {
    if (piece.blockPixels < SMALLEST) { piece.goNear(NEAR, block); piece.draw(); showAt(); return false; }
    if (line) { touchLine(block); return false; }
    if (alone && block[0] === alone[0] && block[1] === alone[1] && piece.yarnAt(...block) === page.inHand) {
      alone = null;
      keep(api.mend([["patch", placesOf([block])]]), `Its patch ${page.state.yarns[page.inHand].name}`);
      return false;
    }
    stroke = [];
    extend(far && last ? between(last, block) : [block]);
    return true;
  },
  over(block) {
    const at = stroke?.[stroke.length - 1];
    if (at && (at[0] !== block[0] || at[1] !== block[1])) extend(between(at, block));
  },
  end() {
    if (stroke?.length) { alone = stroke.length === 1 ? stroke[0] : null; work(stroke); }
    stroke = null;
    showAt();
  },
  cancel() { stroke = null; piece.unwork(); },
  open: (at) => { if (!openStripeAt(at)) openBlock(at); },
  outside(at) { const row = rowNumberAt(at); if (row) openRow(row); },
  hover(block) { hovered = block; showAt(); },
});

/** @param {HTMLElement} place */
function fillHand(place) {
  const yarn = page.state.yarns[page.inHand];
  if (!yarn) return;
  const first = paragraph(""), hand = document.createElement("strong");
  hand.className = "in-hand";
  hand.id = "in-hand";
  hand.append(lozenge(yarn.color), yarn.name);
  first.className = "sentence";
  const fingers = piece.narrow ? " Two fingers move the piece." : "";
  const does = line ? `Touch where a line begins, then where it ends${start ? "; it has begun" : ""}.` : `Touch a block and it is worked in ${yarn.name}; draw for more; touch it again and its whole patch follows.${fingers}`;
  first.append(hand, " ", strong("is in hand."), ` ${does}`);
  const yarns = document.createElement("div");
  yarns.className = "yarns";
  yarns.setAttribute("role", "group");
  yarns.setAttribute("aria-label", "Take up another");
  page.state.yarns.forEach((one, number) => yarns.append(yarnButton(one, number)));
  const others = paragraph("Instead of blocks: ");
  others.append(
    again("line", wordSpan(line ? "blocks again" : "a line", "chosen", () => { line = !line; start = null; refresh(); piece.draw(); })),
    "; take up ", again("there", wordSpan("what lies there", "chosen", () => { const at = piece.cursor; if (at) takeUp(piece.yarnAt(...at)); })),
    " or ", again("shelf", wordSpan("another from my shelf", "chosen", () => { closeInstead(false); openSlip("yarns"); })), "; or ",
    ...WITHOUT_PLACE.flatMap(([name, words], at) => [at ? ", " : "", again(name, wordSpan(words, "chosen", () => { closeInstead(false); openSlip(`mend:${name}`); }))]), ".",
  );
  place.append(first, paragraph("Take up another:"), yarns, sinceWords(), showChanges(), others);
}

/** @param {string} name @param {HTMLElement} element */
function again(name, element) {
  element.dataset.again = name;
  return element;
}

/** @param {string} words */
function strong(words) {
  const made = document.createElement("strong");
  made.textContent = words;
  return made;
}

/** @param {import("./api.js").Yarn} yarn @param {number} number */
function yarnButton(yarn, number) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "yarn";
  button.dataset.again = `yarn-${number}`;
  button.setAttribute("aria-pressed", String(number === page.inHand));
  if (number < 9) { const key = document.createElement("span"); key.className = "key"; key.textContent = String(number + 1); button.append(key); }
  button.append(lozenge(yarn.color), yarn.name);
  button.addEventListener("click", () => takeUp(number));
  return button;
}

/** What was changed since the yarn was taken up, and what that costs. */
function sinceWords() {
  const told = paragraph("");
  told.className = "sentence";
  if (!since) return told;
  const { state } = since, now = page.state;
  let count = 0;
  for (let y = 0; y < now.height; y++) for (let x = 0; x < now.width; x++) if (isChanged(x, y)) count++;
  if (!count) return told;
  const tails = now.tails - state.tails, minutes = Math.round(now.minutes - state.minutes), hanging = now.hanging - state.hanging;
  told.append("Since you began: ", strong(`${count} ${count === 1 ? "block" : "blocks"}.`), ` `, figure(`${now.tails} tails`), `, ${more(tails, "")}`);
  if (minutes) told.append(`; ${Math.abs(minutes)} ${Math.abs(minutes) === 1 ? "minute" : "minutes"} ${minutes > 0 ? "more" : "less"}`);
  if (hanging) told.append(`; at most ${now.hanging} hang, ${more(hanging, "")}`);
  told.append(".");
  return told;
}

/** A figure that shows … while it is worked out. @param {string} words */
function figure(words) {
  const made = document.createElement("span");
  made.className = "word follows plain";
  made.textContent = words;
  return made;
}

/** @param {number} by @param {string} what */
export const more = (by, what) => (by ? `${Math.abs(by)}${what && ` ${what}`} ${by > 0 ? "more" : "fewer"}` : "as many");

// Blocks that are other than when the yarn was taken up have a notched corner; a line's start is outlined.
piece.marks.unshift((context, { side, ratio }) => {
  if (!since || side < 8 * ratio) return;
  const [left, top, right, bottom] = piece.inSight(), deep = Math.round(side * 0.34), colors = piece.colors;
  for (let y = top; y < bottom; y++) {
    for (let x = left; x < right; x++) {
      if (!isChanged(x, y)) continue;
      const px = Math.round(x * side), py = Math.round(y * side);
      context.fillStyle = isDark(colors[piece.yarnAt(x, y)]) ? PAPER : INK;
      context.beginPath();
      context.moveTo(px, py);
      context.lineTo(px + deep, py);
      context.lineTo(px, py + deep);
      context.fill();
    }
  }
  if (start) {
    context.beginPath();
    context.rect(start[0] * side, start[1] * side, side, side);
    inkOnPaper(context, ratio);
  }
});

/** @param {string} color */
function isDark(color) {
  const [red, green, blue] = [1, 3, 5].map((at) => (parseInt(color.slice(at, at + 2), 16) / 255) ** 2.2);
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue < 0.18;
}

piece.drawn.push(showAt);
whenShown((was) => {
  document.body.classList.toggle("works", page.inHand >= 0);
  if (insteadOf() !== "hand") return;
  page.inHand = page.state.yarns.findIndex((yarn) => yarn.name === held);
  if (page.inHand < 0) { closeInstead(false); return; }
  if (was && since && (was.width !== page.state.width || was.height !== page.state.height)) since = { state: page.state, blocks: blocksOf(page.state.blocks) };
  for (const { blocks, yarn } of sent) for (const [x, y] of blocks) piece.work(x, y, yarn);
});

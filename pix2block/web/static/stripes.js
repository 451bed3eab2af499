// A striped piece: its balls shrinking along the rows, and a stripe's sentence, whose edges are dragged or typed.

import * as api from "./api.js";
import { NO_BLOCK, rowOf } from "./blocks.js";
import { by, lozenge, paragraph, wordSpan } from "./dom.js";
import { insteadOf, openInstead } from "./instead.js";
import { INK, PAPER, inkOnPaper, outline } from "./marks.js";
import { keep, page, piece, refresh, say, whenShown } from "./page.js";
import { openRow } from "./row.js";
import { setHand } from "./touch.js";
import { yarnChoices } from "./verbs.js";

/** @typedef {[number, number]} Block */

const NEAR_EDGE = 1.5; // rows from a stripe's edge at which a finger holds it
const NS = "http://www.w3.org/2000/svg";

/** @type {{at: number, first: number, last: number, opened: boolean}|null} the stripe that is open, and its rows as they are dragged */
let held = null;
/** @type {""|"first"|"last"} */
let edge = "";
/** @type {import("./touch.js").Hand|null} */
let before = null;

const stripes = () => page.state.striped?.stripes ?? [];

/** The stripe of a block, in the paragraph's place. @param {Block} block @returns {boolean} whether there is one */
export function openStripeAt(block) {
  if (!page.state.striped) return false;
  const row = rowOf(page.state, ...block);
  openStripe(stripes().findIndex(([first, last]) => row >= first && row <= last));
  return true;
}

/** @param {number} at of all stripes, from 0 */
export function openStripe(at) {
  const stripe = stripes()[at];
  if (!stripe) return;
  held = { at, first: stripe[0], last: stripe[1], opened: false };
  openInstead({ name: `stripe-${at + 1}`, fill, closed: () => { if (!insteadOf().startsWith("stripe-")) letGo(); } }, document.activeElement !== page.canvas);
  before ??= setHand({
    works: () => true, open: () => {},
    cancel: () => { edge = ""; reset(); },
    begin(block) {
      const row = rowOf(page.state, ...block);
      if (!held) return false;
      const toFirst = Math.abs(row - held.first + 0.5), toLast = Math.abs(row - held.last - 0.5);
      if (Math.min(toFirst, toLast) > NEAR_EDGE) { openStripeAt(block); return false; }
      edge = toFirst < toLast ? "first" : "last";
      return true;
    },
    over(block) { drag(rowOf(page.state, ...block)); },
    end() { edge = ""; work(); },
  });
  piece.draw();
}

/** @param {number} first @param {number} last */
function blocksOfRows(first, last) {
  /** @type {Block[]} */
  const found = [];
  for (let y = 0; y < page.state.height; y++) {
    for (let x = 0; x < page.state.width; x++) {
      const row = rowOf(page.state, x, y);
      if (row >= first && row <= last) found.push([x, y]);
    }
  }
  return found;
}

function letGo() {
  held = null;
  edge = "";
  if (before) setHand(before);
  before = null;
  piece.unwork();
}

/** As the stripe is on the piece. */
function reset() {
  const stripe = held && stripes()[held.at];
  if (held && stripe) [held.first, held.last] = stripe;
  piece.unwork();
  refresh();
}

/** Show the stripe with the held edge at a row: what follows moves on, or comes nearer. @param {number} row */
function drag(row) {
  const stripe = held && stripes()[held.at];
  if (!held || !stripe || !edge) return;
  const [first, last] = stripe, total = page.state.last_row;
  if (edge === "last") [held.first, held.last] = [first, Math.min(total, Math.max(first, row))];
  else if (held.at) {
    held.first = Math.min(total, Math.max(stripes()[held.at - 1][0] + 1, row));
    held.last = Math.min(total, held.first + last - first);
  }
  show();
  refresh();
}

/** What the rows of the piece become: rows and their yarn. @returns {[number, number, number][]} */
function changes() {
  const stripe = held && stripes()[held.at];
  if (!held || !stripe || (held.first === stripe[0] && held.last === stripe[1])) return [];
  const now = stripes().flatMap(([first, last, yarn]) => Array(last - first + 1).fill(yarn));
  const moves = held.first !== stripe[0], of = moves ? stripes()[held.at - 1] : stripe, by = moves ? held.first - stripe[0] : held.last - stripe[1];
  const then = [...now.slice(0, of[1] + Math.min(0, by)), ...Array(Math.max(0, by)).fill(of[2]), ...now.slice(of[1])].slice(0, now.length);
  while (then.length < now.length) then.push(then[then.length - 1]);
  /** @type {[number, number, number][]} */
  const made = [];
  then.forEach((yarn, at) => {
    if (yarn === now[at]) return;
    const before = made[made.length - 1];
    if (before && before[1] === at && before[2] === yarn) before[1] = at + 1;
    else made.push([at + 1, at + 1, yarn]);
  });
  return made;
}

function show() {
  piece.worked.clear();
  const { width, height } = page.state, of = new Map();
  for (const [first, last, yarn] of changes()) for (let row = first; row <= last; row++) of.set(row, yarn);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const yarn = of.get(rowOf(page.state, x, y));
      if (yarn !== undefined && piece.yarnAt(x, y) !== NO_BLOCK) piece.worked.set(y * width + x, yarn);
    }
  }
  piece.count++;
  piece.draw();
}

/** Work the stripe as it is held. */
function work() {
  const made = changes();
  if (!made.length || !held) { reset(); return; }
  const words = `${page.state.yarns[stripes()[held.at][2]].name}, rows ${held.first} to ${held.last}`;
  /** @type {Map<number, string[]>} */
  const places = new Map();
  for (const [first, last, yarn] of made) places.set(yarn, [...(places.get(yarn) ?? []), `rows ${first} to ${last}`]);
  keep(api.mend([...places].map(([yarn, rows]) => ["paint", `${rows.join("; ")}=${page.state.yarns[yarn].name}`])), words);
}

/** @param {HTMLElement} place */
function fill(place) {
  const stripe = held && stripes()[held.at];
  if (!held || !stripe) { place.append(paragraph("Its rows are no stripe any more.")); return; }
  const yarn = page.state.yarns[stripe[2]], told = paragraph("The stripe you hold: "), count = held.last - held.first + 1;
  told.className = "sentence";
  const name = wordSpan(yarn.name, "chosen", () => { if (held) { held.opened = !held.opened; refresh(); } });
  name.dataset.again = "yarn";
  name.setAttribute("aria-expanded", String(held.opened));
  name.prepend(lozenge(yarn.color));
  told.append(name, ", rows ", rowField("first", held.first), " to ", rowField("last", held.last), `, ${count} ${count === 1 ? "row" : "rows"}. `);
  const was = stripe[1] - stripe[0] + 1;
  if (changes().length) told.append(`${count === was ? "It lay elsewhere" : `It was ${was}`}; what follows moves along. Let go to keep it.`);
  place.append(told);
  if (held.opened) {
    const slip = document.createElement("div");
    slip.className = "slip";
    slip.append(yarnChoices("Another yarn for the stripe", stripe[2], (other) => [["paint", `rows ${stripe[0]} to ${stripe[1]}=${other}`]],
      () => { if (held) held.opened = false; }, () => blocksOfRows(stripe[0], stripe[1])));
    place.append(slip);
  }
  const ways = paragraph("Drag its edges on the piece, or type its rows, which are numbered along the edges. Go to ");
  ways.className = "sentence more";
  if (held.at) ways.append(go("before", "the stripe before", held.at - 1), ", ");
  if (held.at < stripes().length - 1) ways.append(go("after", "the stripe after", held.at + 1), ", ");
  ways.append(wordSpan(`row ${stripe[0]}`, "chosen", () => openRow(stripe[0])), ".");
  place.append(ways);
}

/** @param {string} name @param {string} words @param {number} at */
function go(name, words, at) {
  const word = wordSpan(words, "chosen", () => openStripe(at));
  word.dataset.again = name;
  return word;
}

/** @param {"first"|"last"} which @param {number} value */
function rowField(which, value) {
  const field = document.createElement("input");
  field.value = String(value);
  field.inputMode = "numeric";
  field.size = 3;
  field.dataset.again = which;
  field.setAttribute("aria-label", which === "first" ? "Its first row; Enter keeps" : "Its last row; Enter keeps");
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    if (!/^\d+$/.test(field.value)) { say("Type a row's number"); return; }
    edge = which;
    drag(Number(field.value));
    edge = "";
    work();
  });
  return field;
}

/** Each yarn's ball along the rows. */
function showBalls() {
  const place = by("balls"), { striped } = page.state;
  place.hidden = !striped;
  document.body.classList.toggle("lying", piece.lying);
  piece.canvas.style.height = piece.lying ? `${Math.round(lyingHeight())}px` : "";
  if (!striped) return;
  const largest = Math.min(18 * piece.larger, (piece.canvas.clientWidth - (piece.narrow ? 0 : 160)) / striped.rows.length / 2 - 1);
  place.replaceChildren(...striped.balls.flatMap((ball) => {
    const yarn = page.state.yarns[ball.yarn], svg = document.createElementNS(NS, "svg"), told = document.createElement("div"), strong = document.createElement("strong");
    svg.setAttribute("aria-hidden", "true");
    ball.left.forEach((left, at) => {
      const circle = document.createElementNS(NS, "circle"), gone = striped.rows[at] > ball.last_row || (ball.out !== null && striped.rows[at] >= ball.out);
      circle.setAttribute("cx", `${(100 * (at + 0.5)) / striped.rows.length}%`);
      circle.setAttribute("cy", "50%");
      circle.setAttribute("r", String(gone ? 0 : Math.max(2.5, largest * Math.sqrt(left))));
      circle.setAttribute("fill", yarn.color);
      svg.append(circle);
    });
    strong.textContent = yarn.name;
    told.append(strong, ball.words);
    told.className = ball.out === null ? "" : "out";
    return [svg, told];
  }));
}

/** How high the canvas is for a piece that lies on its side. */
function lyingHeight() {
  const { width, height } = page.state, share = Math.min(width, height) / Math.max(width, height), around = piece.narrow ? 16 : 68;
  return Math.min(window.innerHeight * 0.42, Math.max(120, (piece.canvas.clientWidth - around) * share + around));
}

whenShown(() => {
  showBalls();
  const stripe = held && stripes()[held.at];
  if (held && stripe && !edge) [held.first, held.last] = stripe;
});
new ResizeObserver(() => { if (page.state && !piece.foreign) showBalls(); }).observe(by("balls").parentElement ?? document.body);
// What is only tried on is drawn where the piece lies: were the page laid out anew for it, the choice would leave the pointer.
piece.drawn.push(() => { if (!piece.foreign && document.body.classList.contains("lying") !== piece.lying) showBalls(); });

// A line across the piece where a yarn ends; the held stripe's outline, with a handle on each edge.
piece.marks.push((context, { side, ratio }) => {
  const { state } = piece;
  if (!state?.striped) return;
  for (const { last_row: last, out } of state.striped.balls) {
    const row = out ?? last;
    if (row >= state.last_row) continue;
    outline(context, (x, y) => rowOf(state, x, y) <= row, piece.inSight(), side, false);
    context.setLineDash(out === null ? [] : [6 * ratio, 4 * ratio]);
    inkOnPaper(context, ratio, 1.5);
    context.setLineDash([]);
  }
  if (!held || !insteadOf().startsWith("stripe-")) return;
  const { first, last } = held;
  outline(context, (x, y) => { const row = rowOf(state, x, y); return row >= first && row <= last; }, piece.inSight(), side);
  inkOnPaper(context, ratio, 3);
  if (first > 1) drawHandle(context, first - 1, 0.35, ratio);
  if (last < state.last_row) drawHandle(context, last, 0.65, ratio);
});

/** A round handle on the edge behind a row. @param {CanvasRenderingContext2D} context @param {number} row @param {number} along a part of it @param {number} ratio */
function drawHandle(context, row, along, ratio) {
  const [px, py] = piece.onCanvas(...behind(row, along));
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.beginPath();
  const { larger } = piece;
  context.arc(px, py, 13 * larger, 0, 2 * Math.PI);
  context.fillStyle = PAPER;
  context.fill();
  context.lineWidth = 2;
  context.strokeStyle = INK;
  context.stroke();
  context.fillStyle = INK;
  context.beginPath();
  for (const way of [-1, 1]) { context.moveTo(px + way * 9 * larger, py); context.lineTo(px + way * 3 * larger, py - 5 * larger); context.lineTo(px + way * 3 * larger, py + 5 * larger); context.closePath(); }
  context.fill();
}

/** A place on the edge behind a row: column and line with their parts. @param {number} row @param {number} along @returns {[number, number]} */
function behind(row, along) {
  const { width, height, corner } = page.state, least = Math.max(0, row - height), most = Math.min(width, row), dx = least + (most - least) * along, dy = row - dx;
  return [corner.endsWith("right") ? width - dx : dx, corner.startsWith("bottom") ? height - dy : dy];
}

// A block's sentence, in the paragraph's place: what it is, and what can be done from there.

import * as api from "./api.js";
import { NO_BLOCK, allOf, patchAt, placesOf, rowOf } from "./blocks.js";
import { deed, paragraph, wordSpan } from "./dom.js";
import { takeUp } from "./hand.js";
import { insteadOf, openInstead } from "./instead.js";
import { page, piece, refresh, tell } from "./page.js";
import { blocksOfRun, openRow } from "./row.js";
import { openSubject } from "./subject.js";
import { lettersForm, mend, yarnChoices } from "./verbs.js";

/** @typedef {[number, number]} Block */

/** @type {{at: Block, row: import("./api.js").Row|null, opened: string}|null} */
let block = null;

/** @param {Block} at */
export function openBlock(at) {
  if (piece.yarnAt(...at) === NO_BLOCK) return;
  piece.cursor = at;
  block = { at, row: null, opened: "" };
  openInstead({ name: "block", fill, closed: () => { block = null; } }, document.activeElement !== page.canvas);
  ask();
}

/** Which run of its row it is in: asked anew whenever the piece has changed. */
function ask() {
  const asked = block, state = page.state;
  if (!asked) return;
  api.row(rowOf(state, ...asked.at)).then((row) => {
    if (block !== asked || page.state !== state) return;
    asked.row = row;
    refresh();
  }, tell);
}

/** @type {import("./api.js").PieceState|null} */
let asked = null;

/** @param {HTMLElement} place */
function fill(place) {
  if (!block || piece.yarnAt(...block.at) === NO_BLOCK) return;
  if (asked !== page.state) { asked = page.state; block.row = null; ask(); }
  const { at, row } = block, number = rowOf(page.state, ...at), yarn = piece.yarnAt(...at), { name } = page.state.yarns[yarn];
  const first = paragraph("This block is "), where = placesOf([at]);
  first.className = "sentence";
  first.append(word("this", name, "its yarn"), `: column ${at[0] + 1} from the left, line ${at[1] + 1} from the top. `);
  const rowWord = wordSpan(`row ${number}`, "chosen", () => openRow(number));
  if (row) {
    const own = row.blocks.findIndex(([x, y]) => x === at[0] && y === at[1]);
    const run = runOf(row, own);
    first.append(`It is block ${own + 1} of ${row.blocks.length} of `, rowWord, ", numbered along the edges, in a run of ", word("run", `${row.runs[run].count} ${name}`, "its run"), ".");
  } else first.append("It lies in ", rowWord, ".");
  place.append(first);
  if (block.opened === "this" || block.opened === "run") place.append(slip(yarn, where));
  place.append(deed(`Take up ${name}`, () => takeUp(yarn)));
  const more = paragraph("Another yarn for ");
  more.className = "sentence more";
  more.append(word("patch", "its whole patch", ""), ", ", word("row", `all ${name} of its row`, ""), ", ", word("all", `all ${name} of the piece`, ""), ".");
  const others = paragraph("");
  others.className = "sentence more";
  others.append(word("letters", "Letters", "written from here"), " from here. When tails are made fewer, keep ", wordSpan("this row", "chosen", () => mend([["shield", `row ${number}`]], `Row ${number} is kept as it is`)), " or ",
    wordSpan("this block", "chosen", () => mend([["shield", where]], "The block is kept as it is")), " as it is.");
  if (page.state.pictured) more.append(" Or draw ", wordSpan("the subject's line", "chosen", () => { openSubject(); }), ".");
  place.append(more);
  if (["patch", "row", "all"].includes(block.opened)) place.append(slip(yarn, where));
  place.append(others);
  if (block.opened === "letters") { const form = lettersForm(where, () => { if (block) block.opened = ""; }); form.classList.add("slip"); place.append(form); }
}

/** @param {import("./api.js").Row} row @param {number} own place of a block in it @returns {number} its run, from 0 */
export function runOf(row, own) {
  let run = 0;
  for (let past = row.runs[0].count; past <= own; past += row.runs[run].count) run++;
  return run;
}

/** A word that opens a slip under its sentence. @param {string} name @param {string} words @param {string} what */
function word(name, words, what) {
  const span = wordSpan(words, "chosen", () => { if (block) { block.opened = block.opened === name ? "" : name; refresh(); } });
  span.dataset.again = name;
  span.setAttribute("aria-expanded", String(block?.opened === name));
  if (what) span.setAttribute("aria-label", `${words}, ${what}`);
  return span;
}

/** Yarns to choose from for what is open. @param {number} yarn @param {string} where */
function slip(yarn, where) {
  const name = page.state.yarns[yarn].name, opened = block?.opened ?? "", at = block?.at ?? [0, 0], number = rowOf(page.state, at[0], at[1]);
  const row = block?.row, run = row ? runOf(row, row.blocks.findIndex(([x, y]) => x === at[0] && y === at[1])) : 0;
  const made = document.createElement("div");
  made.className = "slip";
  made.append(yarnChoices("Another yarn", yarn, (other) => {
    if (opened === "this") return [["paint", `${where}=${other}`]];
    if (opened === "run") return [["paint", `run ${number}.${run + 1}=${other}`]];
    if (opened === "patch") return [["fill", `${where}=${other}`]];
    return [["exchange", opened === "row" ? `${name}=${other} in row ${number}` : `${name}=${other}`]];
  }, () => { if (block) block.opened = ""; }, () => {
    if (opened === "this") return [at];
    if (opened === "run" && row) return blocksOfRun(row, run);
    if (opened === "patch") return patchAt(page.state, piece.blocks, at);
    return allOf(page.state, piece.blocks, yarn).filter((one) => opened !== "row" || rowOf(page.state, ...one) === number);
  }));
  return made;
}

// The block is outlined while its sentence stands there.
piece.marks.push((context, { side, ratio }) => {
  if (!block || insteadOf() !== "block") return;
  context.beginPath();
  context.rect(Math.round(block.at[0] * side), Math.round(block.at[1] * side), Math.round(side), Math.round(side));
  for (const [color, wide] of /** @type {[string, number][]} */ ([["#fdfcf9", 5.5], ["#22252a", 2.5]])) {
    context.strokeStyle = color;
    context.lineWidth = wide * ratio;
    context.stroke();
  }
});

// A row's sentence, in the paragraph's place: its words and drawing as on the row page, its bobbins, and where a
// run's strand leads.

import * as api from "./api.js";
import { paragraph, wordSpan } from "./dom.js";
import { closeInstead, insteadOf, openInstead } from "./instead.js";
import { inkOnPaper, outline } from "./marks.js";
import { keep, page, piece, refresh, say, tell } from "./page.js";
import { openSlip, wordsOf } from "./paragraph.js";
import { yarnChoices } from "./verbs.js";

/** @typedef {import("./api.js").Row} Row @typedef {import("./api.js").Strand} Strand */

/** @type {{number: number, row: Row|null, run: number, strand: Strand|null, of: import("./api.js").PieceState|null, another: boolean}|null} */
let open = null;

/** @param {number} number */
export function openRow(number) {
  if (number < 1 || number > page.state.last_row) return;
  open = { number, row: null, run: -1, strand: null, of: null, another: false };
  if (!insteadOf().startsWith("row-")) piece.whole();
  openInstead({ name: `row-${number}`, fill, closed: () => { if (open?.number === number) open = null; piece.draw(); } });
}

/** What the server tells of the row, anew whenever the piece has changed. */
function ask() {
  const asked = open, state = page.state;
  if (!asked) return;
  asked.of = state;
  api.row(asked.number, piece.narrow).then((row) => {
    if (open !== asked || page.state !== state) return;
    if (asked.run >= row.runs.length) { asked.run = -1; asked.strand = null; }
    asked.row = row;
    if (asked.run >= 0) askStrand();
    refresh();
    piece.draw();
  }, tell);
}

function askStrand() {
  const asked = open;
  if (!asked) return;
  const { run } = asked;
  api.strand(asked.number, run + 1).then((strand) => {
    if (open !== asked || asked.run !== run) return;
    asked.strand = strand;
    refresh();
    piece.draw();
    say(`${strand.bobbin}: one length of ${strand.metres}, rows ${strand.first_row} to ${strand.last_row}`);
  }, tell);
}

/** @param {HTMLElement} place */
function fill(place) {
  if (!open) return;
  if (open.of !== page.state) ask();
  const { row, number } = open, head = document.createElement("h2"), figure = document.createElement("span");
  head.className = "row-head";
  figure.className = "now";
  figure.textContent = String(number);
  head.append("Row ", figure);
  place.append(head);
  if (!row) return;
  const blocks = row.blocks.length, told = document.createElement("span");
  told.className = "of";
  told.textContent = ` of ${page.state.last_row}, ${row.side}, ${blocks} ${blocks === 1 ? "block" : "blocks"}, some ${row.minutes} minutes.`;
  head.append(told);
  place.append(paragraph(row.how.join(" ")), runs(row), drawing(row), paragraph(`As it lies in the hands, from ${row.way}; below the blocks, the bobbins.`));
  if (open.run >= 0) place.append(runSlip(row));
  place.append(beside(row), others());
}

/** The runs, each a word that opens its strand. @param {Row} row */
function runs(row) {
  const told = paragraph("");
  told.className = "sentence runs";
  row.runs.forEach((run, at) => {
    const name = page.state.yarns[run.yarn]?.name ?? "", mark = [run.bobbin, run.does].filter(Boolean).join(" ").replaceAll(" ", "\u00a0");
    const word = wordSpan("", `chosen${open?.run === at ? " now" : ""}`, () => chooseRun(at));
    const count = document.createElement("b"), small = document.createElement("small");
    count.textContent = String(run.count);
    small.textContent = mark;
    word.append(count, `\u00a0${name.replaceAll(" ", "\u00a0")}`, ...(mark ? ["\u00a0", small] : []));
    word.dataset.again = `run-${at}`;
    word.setAttribute("aria-expanded", String(open?.run === at));
    word.setAttribute("aria-label", `${run.count} ${name}${mark ? ` ${mark.replaceAll("\u00a0", " ")}` : ""}, run ${at + 1}`);
    word.addEventListener("keydown", (event) => {
      const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
      const next = by && word.parentElement?.querySelector(`[data-again="run-${at + by}"]`);
      if (next instanceof HTMLElement) { event.preventDefault(); next.focus(); }
    });
    told.append(word, at < row.runs.length - 1 ? ", " : ".");
  });
  return told;
}

/** @param {number} at */
function chooseRun(at) {
  if (!open) return;
  open.strand = null;
  open.another = false;
  open.run = open.run === at ? -1 : at;
  if (open.run >= 0) askStrand();
  refresh();
  piece.draw();
}

/** The row as it lies in the hands, drawn by the package. Names in it are text. @param {Row} row */
function drawing(row) {
  const place = document.createElement("div"), parsed = new DOMParser().parseFromString(row.drawing, "image/svg+xml").documentElement;
  place.className = "strip";
  if (parsed.localName === "svg") place.append(document.importNode(parsed, true));
  return place;
}

/** What a run opens: its strand, and another yarn. @param {Row} row */
function runSlip(row) {
  const slip = document.createElement("div"), run = row.runs[open?.run ?? 0], strand = open?.strand;
  slip.className = "slip";
  const name = page.state.yarns[run.yarn].name, number = open?.number ?? 0, at = (open?.run ?? 0) + 1;
  const told = paragraph("");
  const strong = document.createElement("strong");
  strong.textContent = `${run.count} ${name}${run.bobbin ? `, bobbin ${run.bobbin.replace("#", "")}` : ""}`;
  const rows = strand && (strand.first_row === strand.last_row ? `in row ${strand.first_row} alone` : `that works rows ${strand.first_row} to ${strand.last_row}`);
  told.append(strong, strand ? `: one length of ${strand.metres} ${rows}. Its way is drawn on the piece.` : ": …");
  slip.append(told, paragraph("In another yarn:"), yarnChoices(`Another yarn for ${run.count} ${name}`, run.yarn, (other) => [["paint", `run ${number}.${at}=${other}`]],
    () => { if (open) { open.run = -1; open.strand = null; } }, () => blocksOfRun(row, at - 1)), habitWords());
  return slip;
}

/** What becomes of yarn between two places holds for the whole piece: its word opens. */
function habitWords() {
  const told = paragraph("Whether a yarn is carried on or cut follows from one rule for the whole piece: it is ");
  told.append(wordSpan(wordsOf("habit"), "chosen", () => { closeInstead(false); openSlip("habit"); }), ".");
  return told;
}

/** The blocks of a run. @param {Row} row @param {number} run from 0 */
export function blocksOfRun(row, run) {
  const from = row.runs.slice(0, run).reduce((sum, one) => sum + one.count, 0);
  return row.blocks.slice(from, from + row.runs[run].count);
}

/** What to wind before it and to cut after it. @param {Row} row */
function beside(row) {
  const said = [];
  if (row.wind.length) said.push(`Wind before it: ${row.wind.join(", ")}.`);
  if (row.cut.length) said.push(`Cut after it: ${row.cut.join(", ")}.`);
  said.push(`${row.hanging} ${row.hanging === 1 ? "yarn hangs" : "yarns hang"}.`);
  return paragraph(said.join(" "));
}

/** The way to other rows. */
function others() {
  const told = paragraph("Go to "), number = open?.number ?? 1;
  told.className = "sentence more";
  if (number > 1) told.append(go("previous", `row ${number - 1}`, number - 1), ", ");
  if (number < page.state.last_row) told.append(go("next", `row ${number + 1}`, number + 1), ", ");
  const field = document.createElement("input");
  field.inputMode = "numeric";
  field.size = 4;
  field.setAttribute("aria-label", `Another row, 1 to ${page.state.last_row}; Enter goes there`);
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    if (/^\d+$/.test(field.value) && Number(field.value) >= 1 && Number(field.value) <= page.state.last_row) openRow(Number(field.value));
    else say(`There is no row ${field.value}: there are ${page.state.last_row}`);
  });
  told.append("or row ", field, ". Rows 1 to ", `${number} `, go("made", "are made", 0), "?");
  return told;
}

/** @param {string} name @param {string} words @param {number} number */
function go(name, words, number) {
  const word = wordSpan(words, "chosen", () => (number ? openRow(number) : made()));
  word.dataset.again = name;
  return word;
}

/** The rows up to this one are made. */
function made() {
  const number = open?.number ?? 0;
  keep(api.choose("done", String(number)), `Rows 1 to ${number} are made`);
}

// Page up and down lead on from row to row wherever the keyboard is in its sentence.
document.getElementById("instead")?.addEventListener("keydown", (event) => {
  const by = { PageUp: 1, PageDown: -1 }[event.key];
  if (!open || !by || !insteadOf().startsWith("row-")) return;
  event.preventDefault();
  openRow(open.number + by);
});

// Its blocks are outlined, its number stands where it begins, a strand's way is drawn.
piece.marks.push((context, { side, ratio, turn }) => {
  if (!open?.row || !piece.state) return;
  const { blocks } = open.row, inset = Math.max(1, side * 0.16);
  context.beginPath();
  for (const [x, y] of blocks) context.rect(x * side + inset, y * side + inset, side - 2 * inset, side - 2 * inset);
  inkOnPaper(context, ratio, 1.5);
  if (open.run >= 0) {
    const own = new Set(blocksOfRun(open.row, open.run).map(([x, y]) => `${x} ${y}`));
    outline(context, (x, y) => own.has(`${x} ${y}`), piece.inSight(), side);
    inkOnPaper(context, ratio, 2.5);
  }
  if (open.strand) drawWay(context, open.strand, side, ratio);
  drawNumber(context, ratio, turn);
});

/** @param {CanvasRenderingContext2D} context @param {Strand} strand @param {number} side @param {number} ratio */
function drawWay(context, strand, side, ratio) {
  context.beginPath();
  context.lineJoin = context.lineCap = "round";
  strand.way.forEach(([x, y], at) => {
    if (at) context.lineTo((x + 0.5) * side, (y + 0.5) * side);
    else context.moveTo((x + 0.5) * side, (y + 0.5) * side);
  });
  if (strand.way.length === 1) context.lineTo((strand.way[0][0] + 0.5) * side + 0.1, (strand.way[0][1] + 0.5) * side);
  inkOnPaper(context, ratio, 2.5);
}

/** The row's number with the wedge that points the way the hook goes, where it begins. @param {CanvasRenderingContext2D} context @param {number} ratio @param {number} turn */
function drawNumber(context, ratio, turn) {
  const row = open?.row;
  if (!row || !open) return;
  const [x, y] = row.blocks[0], [to] = row.blocks.length > 1 ? [row.blocks[1]] : [[x, y]], style = getComputedStyle(piece.canvas);
  const [px, py] = piece.onCanvas(x + 0.5, y + 0.5), [nx, ny] = piece.onCanvas(to[0] + 0.5, to[1] + 0.5);
  const long = Math.hypot(nx - px, ny - py) || 1, way = row.blocks.length > 1 ? [(nx - px) / long, (ny - py) / long] : [-Math.cos(turn), -Math.sin(turn)];
  const { larger } = piece, out = piece.blockPixels * 0.75 + 12 * larger, cx = px - way[0] * out, cy = py - way[1] * out;
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.fillStyle = context.strokeStyle = style.color;
  context.beginPath();
  context.moveTo(cx + way[0] * 8, cy + way[1] * 8);
  context.lineTo(cx - way[0] * 6 - way[1] * 6, cy - way[1] * 6 + way[0] * 6);
  context.lineTo(cx - way[0] * 6 + way[1] * 6, cy - way[1] * 6 - way[0] * 6);
  context.closePath();
  if (row.side === "right side") context.fill();
  context.lineWidth = 1.5;
  context.stroke();
  context.font = `bold ${18 * larger}px ${style.fontFamily}`;
  context.textBaseline = "middle";
  context.textAlign = way[0] > 0.3 ? "right" : way[0] < -0.3 ? "left" : "center";
  const tx = cx - way[0] * 12 * larger, ty = cy - way[1] * 14 * larger;
  context.lineWidth = 4;
  context.strokeStyle = style.backgroundColor === "rgba(0, 0, 0, 0)" ? getComputedStyle(document.body).backgroundColor : style.backgroundColor;
  context.strokeText(String(row.row), tx, ty);
  context.fillText(String(row.row), tx, ty);
}

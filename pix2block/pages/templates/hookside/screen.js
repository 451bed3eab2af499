// What stands on the screen: the step now always in the same place, what comes, and the large target.

import { drawPiece, drawRow } from "./fabric.js";
import { count } from "./words.js";
import { before, bobbinName, toWind } from "./yarn.js";

/** @typedef {import("./piece.js").Piece} Piece @typedef {import("./progress.js").Progress} Progress @typedef {import("./words.js").Words} Words */

/** @param {string} id @returns {HTMLElement} */
export const byId = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** @param {string} tag @param {string} text @param {string} kind @returns {HTMLElement} */
export function made(tag, text, kind = "") {
  const element = document.createElement(tag);
  element.textContent = text;
  if (kind) element.className = kind;
  return element;
}

/** @param {string} name */
const color = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();

export class Screen {
  /** @param {Piece} piece @param {Progress} progress @param {Words} words */
  constructor(piece, progress, words) {
    this.piece = piece;
    this.progress = progress;
    this.words = words;
  }

  /** @param {number} tonight the row with which this evening ends */
  show(tonight) {
    const { piece, progress, words } = this, { row, step } = progress.place;
    document.body.classList.toggle("finished", progress.finished);
    if (progress.finished) { this.showEnd(); return; }
    const steps = piece.stepsOf(row), now = steps[step], blocks = piece.blocksOf(row);
    const group = piece.gathered(row);
    const done = piece.blocksBefore[progress.runsMade] - piece.blocksBefore[piece.firstRun[row - 1]];
    byId("row").textContent = String(row);
    byId("side").textContent = `${words.side(row)}, ${words.way}`;
    const runs = steps.length > 1 && now.kind === "run" ? `run ${step} of ${steps.length - 2}, ` : "";
    byId("counted").textContent = group ? `rows ${group[0]} to ${group[1]} alike, ${count(blocks, "block")}` : `${runs}${done} of ${count(blocks, "block")}`;
    byId("strip").setAttribute("aria-label", `${done} of ${blocks} blocks of row ${row} are made`);
    byId("made").textContent = this.above(now, step, row);
    this.showNow(now, row);
    this.showAhead(steps, step, row);
    const label = words.target(now, row, progress.byRow);
    byId("does").textContent = label;
    byId("go").setAttribute("aria-label", label);
    byId("back").setAttribute("aria-disabled", String(row === 1 && step === 0));
    byId("far").textContent = `row ${row} of ${piece.last}`;
    byId("tonight").textContent = tonight >= piece.last ? "tonight to the end" : `tonight to row ${tonight}`;
    this.draw();
  }

  /** What is made just now; at a row's begin what it wants before. */
  above(now, step, row) {
    const { piece, words } = this;
    if (now.kind === "run" && step > 1) return `made: ${words.line({ kind: "run", run: now.run - 1 }, row).replace(/, (new, wind|last: cut).*$/, "")}`;
    if (now.kind === "end") return `made: all ${piece.blocksOf(row)}; count them`;
    if (now.kind === "run") return "begun; now the first run";
    const wants = before(piece, row), said = [words.cuts(row)].filter(Boolean);
    if (wants.wind.length) said.push(`Wind first: ${toWind(piece, wants.wind)}.`);
    if (wants.up.length) said.push(`Take up again: ${wants.up.map((s) => bobbinName(piece, s)).join(", ")}.`);
    if (now.kind === "row") said.unshift(words.begins(row));
    return said.join(" ");
  }

  showNow(now, row) {
    const { piece, words } = this, isRun = now.kind === "run" || now.kind === "row";
    byId("now").classList.toggle("turn", !isRun);
    byId("many").textContent = isRun ? String(piece.runs.blocks[now.run]) : "";
    byId("lozenge").style.background = isRun ? piece.yarns[piece.runs.yarn[now.run]].color : "transparent";
    const name = words.name(now, row);
    byId("name").textContent = name;
    byId("name").classList.toggle("long", name.length > 14);
    byId("bobbin").textContent = isRun ? words.bobbin(now.run) : now.kind === "begin" ? piece.parts[piece.begins(row)] : piece.parts[piece.stops(row) ? "stop" : "full"];
  }

  showAhead(steps, step, row) {
    const { piece, words } = this, ahead = steps.slice(step + 1).map((s) => words.ahead(s, row));
    if (steps.length === 1) ahead.push(words.ends(row));
    const next = row < piece.last ? piece.stepsOf(row + 1) : [];
    const first = next.find((s) => s.kind !== "begin");
    if (first) ahead.push(`row ${row + 1}: ${words.ahead(first, row + 1)}`);
    const large = byId("ahead"), small = byId("rest"), end = byId("upper").getBoundingClientRect().bottom;
    const rest = ahead.slice(2);
    large.replaceChildren(...ahead.slice(0, 2).map((text) => made("p", text)));
    small.textContent = "";
    // What has no room in large is said in small, and in small whole lines alone.
    while (large.children.length > 1 && large.getBoundingClientRect().bottom > end) {
      rest.unshift(/** @type {Element} */ (large.lastElementChild).textContent || "");
      large.lastElementChild?.remove();
    }
    small.textContent = rest.length ? `then ${rest.map((text) => text.replace(/\.$/, "")).join("; ")}` : "";
    const line = parseFloat(getComputedStyle(small).lineHeight);
    small.style.maxHeight = `${Math.max(0, Math.floor((end - small.getBoundingClientRect().top) / line)) * line}px`;
  }

  showEnd() {
    byId("row").textContent = String(this.piece.last);
    byId("side").textContent = "The piece is made.";
    byId("counted").textContent = `${count(this.piece.last, "row")}, ${this.piece.blocksBefore[this.piece.allRuns]} blocks`;
    for (const id of ["made", "many", "rest"]) byId(id).textContent = "";
    byId("ahead").replaceChildren();
    byId("name").textContent = "Fasten off";
    byId("bobbin").textContent = "Then tails and blocking, as the pattern says.";
    byId("strip").setAttribute("aria-label", "Every block of the last row is made");
    byId("does").textContent = "Every row is made";
    byId("go").setAttribute("aria-label", "Every row is made");
    byId("far").textContent = `${this.piece.last} of ${this.piece.last} rows`;
    byId("tonight").textContent = "how it stands";
    this.draw();
  }

  draw() {
    const { piece, progress } = this, ink = color("ink"), row = Math.min(progress.place.row, piece.last);
    drawRow(/** @type {HTMLCanvasElement} */ (byId("strip")), piece, row, progress.runsMade, ink, color("now"));
    drawPiece(/** @type {HTMLCanvasElement} */ (byId("piece")), piece, row, progress.runsMade, ink, 72);
    const share = Math.round(100 * piece.blocksBefore[progress.runsMade] / piece.blocksBefore[piece.allRuns]);
    byId("piece").setAttribute("aria-label", `The piece as held, ${share} per cent of it made`);
  }

  /** Said to a screen reader, once a step. @param {string} text */
  tell(text) { byId("live").textContent = text; }
}

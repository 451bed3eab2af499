// The page between rows: what is made, what comes first next time, what hangs, whether the yarn
// lasts, how long it takes; how one touch goes on, ripping back, and moving to another device.

import { endDate, eveningTo, minutesOf, paceOf } from "./pace.js";
import { byId, made } from "./screen.js";
import { count, sayMetres, sayRows, sayTime } from "./words.js";
import { before, bobbinName, hanging, lasting, ripping, toWind } from "./yarn.js";

/** @typedef {import("./piece.js").Piece} Piece @typedef {import("./progress.js").Progress} Progress @typedef {import("./words.js").Words} Words */

const HANGING_NAMED = 6;

export class Pause {
  /** @param {Piece} piece @param {Progress} progress @param {Words} words @param {() => void} changed */
  constructor(piece, progress, words, changed) {
    this.piece = piece;
    this.progress = progress;
    this.words = words;
    this.changed = changed;
    this.known = 1; // the pace that came with a code
  }

  get factor() { return paceOf(this.progress.taps, this.known); }

  /** The row with which this evening ends. */
  get tonight() {
    const { piece, progress, factor } = this;
    if (progress.finished) return piece.last;
    const rest = Math.max(0, progress.evening.hours * 60 - progress.evening.minutes);
    return eveningTo(piece, progress.runsMade, rest, factor);
  }

  show() {
    const { piece, progress, words } = this, { row } = progress.place, runs = progress.runsMade;
    const { done } = progress;
    const title = done.row < 1 ? "Nothing is made yet." : done.runs === null ? `Row ${done.row} is made.` : `Row ${done.row} is begun: ${count(done.runs, "run")} of it made.`;
    byId("stands").textContent = title;
    const { from, minutes } = progress.evening, rows = Math.max(0, row - from);
    byId("evening").textContent = minutes >= 1 && rows ? `${rows === 1 ? `Row ${from}` : `Rows ${from} to ${row - 1}`} this evening, ${sayTime(minutes)}.` : "";
    this.showNext(row);
    this.showPlan(row, runs);
    this.showHanging(runs);
    this.showYarns(runs);
    this.showTime(row, runs);
    this.showRipping();
    byId("code").textContent = progress.code(this.factor);
    byId("kept").textContent = progress.kept ? "Kept on this device. To another one with the code" : "This browser keeps nothing here: note the code before you close the page:";
    /** @type {HTMLInputElement} */ (byId(progress.byRow ? "by-row" : "by-run")).checked = true;
    /** @type {HTMLInputElement} */ (byId("hours")).value = String(progress.evening.hours);
    const told = [];
    if (progress.changedMade.length) told.push(`The pattern was changed in rows that are made, ${sayRows(progress.changedMade)}: yours stay as you made them.`);
    if (progress.changedAhead.length) told.push(`Changed since you were here last: row${progress.changedAhead.length > 1 ? "s" : ""} ${sayRows(progress.changedAhead)}.`);
    byId("changes").textContent = told.join(" ");
    const { others } = progress;
    byId("others").textContent = others.length ? `Also on this device: ${others.join("; ")}.` : "";
    byId("on").textContent = progress.finished ? "Back to the piece" : `Go on with row ${row}`;
  }

  showNext(row) {
    const { piece, words } = this;
    byId("next").hidden = row > piece.last;
    if (row > piece.last) return;
    const run = piece.firstRun[row - 1], wants = before(piece, row), bobbin = words.bobbin(run);
    const said = [`Row ${row}, ${words.side(row)}, ${count(piece.blocksOf(row), "block")}; it begins with ${words.run(run)}${bobbin ? `, ${bobbin}` : ""}.`];
    if (wants.off.length) said.push(words.cuts(row));
    if (wants.wind.length) said.push(`Wind first: ${toWind(piece, wants.wind)}.`);
    if (wants.cut.length) said.push(`Cut in this row: ${wants.cut.map((s) => bobbinName(piece, s)).join(", ")}.`);
    byId("first").textContent = said.join(" ");
  }

  /** "Rows 41 to 45, about 2 h", and what to wind for them, row by row. */
  showPlan(row, runs) {
    const { piece, tonight, factor } = this;
    byId("plan").hidden = row > piece.last;
    if (row > piece.last) return;
    const rows = row === tonight ? `Row ${row}` : `Rows ${row} to ${tonight}`;
    byId("rows-tonight").textContent = `${rows}, about ${sayTime(minutesOf(piece, runs, piece.firstRun[tonight], factor))}.`;
    const items = [];
    let many = 0;
    for (let n = row; n <= tonight; n++) {
      const { wind } = before(piece, n);
      many += wind.length;
      if (wind.length) items.push(made("li", `before row ${n}: ${toWind(piece, wind)}`));
    }
    byId("to-wind").hidden = !many;
    byId("how-many-wind").textContent = `${count(many, "bobbin")} to wind for them`;
    byId("wind").replaceChildren(...items);
  }

  showHanging(runs) {
    const { piece } = this, strands = hanging(piece, runs), names = strands.map((s) => bobbinName(piece, s));
    byId("hangs").textContent = strands.length ? `${count(strands.length, "yarn")}.${strands.length > 1 ? " Park them in this order, from the hook:" : ""} ${names.slice(0, HANGING_NAMED).join(", ")}${names.length > HANGING_NAMED ? "" : "."}` : "nothing.";
    byId("more-hang").hidden = names.length <= HANGING_NAMED;
    byId("how-many-more").textContent = `and ${names.length - HANGING_NAMED} more`;
    byId("all-hang").textContent = `${names.slice(HANGING_NAMED).join(", ")}.`;
  }

  showYarns(runs) {
    const { piece, progress } = this, order = { short: 0, tight: 1, enough: 3 };
    const all = lasting(piece, runs, progress.left).filter((one) => one.need > 0.005);
    all.sort((a, b) => (order[a.verdict || ""] ?? 2) - (order[b.verdict || ""] ?? 2) || a.yarn - b.yarn);
    const items = (/** @type {any[]} */ some) => some.map((one) => {
      const yarn = piece.yarns[one.yarn], item = made("li", "");
      item.append(made("b", yarn.name), this.verdict(one), this.field(yarn));
      return item;
    });
    const pressing = all.filter((one) => one.doubtful || one.verdict === "short" || one.verdict === "tight");
    const others = all.filter((one) => !pressing.includes(one));
    byId("yarns").replaceChildren(...items(pressing));
    byId("yarns-too").replaceChildren(...items(others));
    byId("other-yarns").hidden = !others.length;
    const told = others.every((one) => one.verdict === "enough");
    byId("how-many-yarns").textContent = `${count(others.length, "yarn")}${pressing.length ? " more" : ""}${told ? ": enough" : ": what is left can be told"}`;
  }

  /** "is tight: 2 chances in 3 that it lasts, else it ends in row 80." */
  verdict(one) {
    const { piece } = this, rest = `the rest takes ${sayMetres(one.need)}`;
    if (one.doubtful) return " weighs otherwise than it can: weigh it again, ball and bobbins together.";
    if (one.verdict === null) return one.left === null ? `: ${rest}; what you have is not told.` : `: ${rest}.`;
    const where = one.endsRow === null ? "" : one.endsRow > piece.last ? "in the border" : `in row ${one.endsRow}`;
    const chance = one.chance === null ? "" : one.chance > 0.975 ? "it lasts" : one.chance < 0.025 ? "it does not last" : `${Math.round(100 * one.chance)} of 100 that it lasts`;
    const left = `${sayMetres(/** @type {number} */ (one.left))} left, ${rest}`;
    return ` is ${one.verdict}: ${chance}${where ? `; it ${one.verdict === "short" ? "ends" : "may end"} ${where}` : ""} (${left}).`;
  }

  field(yarn) {
    const { progress } = this, unit = yarn.per_gram ? "g" : "m", label = made("label", "");
    const input = document.createElement("input");
    input.inputMode = "decimal";
    input.size = 5;
    input.setAttribute("aria-label", `${yarn.name}: how many ${unit === "g" ? "grams" : "metres"} are left, ball and bobbins together`);
    const told = progress.left[yarn.name];
    if (told && told.runs === progress.runsMade) input.value = String(told.amount);
    input.addEventListener("change", () => {
      const amount = Number(input.value.replace(",", "."));
      if (!input.value.trim()) delete progress.left[yarn.name];
      else if (amount >= 0) progress.left[yarn.name] = { amount, unit, runs: progress.runsMade };
      progress.keep();
      this.showYarns(progress.runsMade);
    });
    label.append(unit === "g" ? "weigh it: " : "left: ", input, ` ${unit}`);
    return label;
  }

  showTime(row, runs) {
    const { piece, progress, factor } = this, minutes = minutesOf(piece, runs, piece.allRuns, factor);
    const evenings = Math.max(1, Math.ceil(minutes / 60 / progress.evening.hours));
    const mine = factor === 1 ? "the planned pace" : "your pace";
    byId("to-go").textContent = progress.finished ? "Nothing is left to crochet." : `${count(piece.last - row + 1, "row")} to go: ${sayTime(minutes)} at ${mine}, some ${count(evenings, "evening")}, about ${endDate(evenings, new Date())}.`;
  }

  /** The row that would be taken out: the one in hand where it is begun, else the one before. */
  get ripped() { return this.progress.place.step ? this.progress.place.row : this.progress.place.row - 1; }

  showRipping() {
    const { piece, progress } = this, row = this.ripped;
    byId("rip").hidden = row < 1;
    if (row < 1) return;
    byId("rip-row").textContent = `Rip back row ${row}`;
    const { whole, hang, join } = ripping(piece, row, progress.runsMade), names = (all) => all.map((s) => bobbinName(piece, s)).join(", ");
    const said = [`Take out row ${row} from its end to its begin.`];
    if (piece.stops(row)) said.push("Put the marker back where the row ended.");
    if (hang.length) said.push(`These unravel and hang again: ${names(hang)}.`);
    if (whole.length) said.push(`These come out whole, wind them up: ${names(whole)}.`);
    if (join.length) said.push(`These were cut: join them again when you come there: ${names(join)}.`);
    byId("rip-words").textContent = said.join(" ");
  }

  ripOne() {
    const row = this.ripped;
    if (row < 1) return;
    this.progress.goTo(row);
    this.changed();
  }

  /** @param {string} text how many blocks she counts in the row in hand */
  counted(text) {
    const { piece, progress } = this, { row } = progress.place, blocks = Number(text);
    if (progress.finished || !text.trim() || !(blocks >= 0)) return "";
    const done = piece.blocksBefore[progress.runsMade] - piece.blocksBefore[piece.firstRun[row - 1]], all = piece.blocksOf(row);
    if (blocks === done) return `${count(blocks, "block")} now, as told here; the row has ${all}.`;
    const off = Math.abs(blocks - done);
    return `${count(blocks, "block")} now; ${done} are told here, and the row has ${all}: ${off} ${blocks > done ? "too many" : "too few"}, or a step was not touched.`;
  }
}

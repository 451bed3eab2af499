// What a step says, to be read and to be heard. Terms are the pattern's; numbers stay whole.

/** @typedef {import("./piece.js").Piece} Piece @typedef {import("./piece.js").Step} Step */

/** @param {number} number @param {string} one */
export const count = (number, one) => `${number} ${one}${number === 1 ? "" : "s"}`;

/** Metres as the pattern says them. @param {number} metres */
export const sayMetres = (metres) => `${metres >= 10 ? metres.toFixed(0) : metres.toFixed(1)}\u00a0m`;

/** @param {number} minutes */
export function sayTime(minutes) {
  if (minutes < 60) return `${Math.max(1, Math.round(minutes))}\u00a0min`;
  const hours = minutes / 60;
  if (hours >= 10) return `${Math.round(hours)}\u00a0h`;
  const whole = Math.floor(hours), rest = Math.round((hours - whole) * 60 / 5) * 5;
  if (rest === 60) return `${whole + 1}\u00a0h`;
  return rest ? `${whole}\u00a0h\u00a0${rest}` : `${whole}\u00a0h`;
}

/** "3, 5 and 9 to 12" @param {number[]} rows */
export function sayRows(rows) {
  /** @type {[number, number][]} */ const parts = [];
  for (const row of rows) {
    const last = parts[parts.length - 1];
    if (last && row === last[1] + 1) last[1] = row; else parts.push([row, row]);
  }
  const said = parts.map(([a, b]) => (a === b ? `${a}` : `${a} to ${b}`));
  return said.length > 1 ? `${said.slice(0, -1).join(", ")} and ${said[said.length - 1]}` : said[0] || "";
}

export class Words {
  /** @param {Piece} piece */
  constructor(piece) { this.piece = piece; }

  side(row) { return this.piece.isRight(row) ? "right side" : "wrong side"; }
  get way() { return this.piece.hand === "right" ? "right to left" : "left to right"; }

  /** How a row begins. */
  begins(row) {
    const { piece } = this, begins = piece.begins(row), travel = piece.turnYarn(row, "travel_in");
    const said = { corner: "The corner block", grow: "Add a block at the start", travel: "Climb the edge" }[begins];
    return `${said}${travel ? ` in ${travel.name}` : ""}${piece.marker(row) ? "; marker into block 1" : ""}.`;
  }

  /** How a row ends. */
  ends(row) {
    const { piece } = this, stop = piece.turnYarn(row, "stop_in"), next = piece.turnYarn(row, "last_loop_in");
    const said = piece.stops(row)
      ? `End at the marker${stop ? ` with a slip stitch in ${stop.name}` : ""}; take the marker out` : "End in the last space";
    return `${said}${next ? `; last loop in ${next.name}` : ""}.`;
  }

  /** "4 Marmalade", the count never torn off */
  run(run) { return `${this.piece.runs.blocks[run]}\u00a0${this.piece.yarns[this.piece.runs.yarn[run]].name}`; }

  /** What is done with a run's bobbin, in words; empty where the pattern names none. */
  bobbin(run) {
    const { piece } = this, row = piece.runRow[run], number = piece.number(run), said = [];
    if (piece.plain(row)) return piece.isFirst(run) ? "" : "the yarn that hangs";
    const metres = piece.strands.metres[piece.runs.strand[run]];
    if (!number) return metres === null ? "only here" : `only here, ${sayMetres(metres)}`;
    said.push(`bobbin\u00a0${number}`);
    if (piece.isFirst(run)) said.push(metres === null ? "new" : `new, wind ${sayMetres(metres)}`);
    const behind = piece.runs.behind[run];
    if (behind) said.push(`carried behind ${behind.toFixed(1)} block sides`);
    if (piece.isLast(run)) said.push("last: cut it after these");
    return said.join(", ");
  }

  /** The large word of a step, beside its count. @param {Step} step @param {number} row */
  name(step, row) {
    if (step.kind === "begin") return this.begins(row);
    if (step.kind === "end") return this.ends(row);
    return this.piece.yarns[this.piece.runs.yarn[step.run]].name;
  }

  /** A step in a line, for what comes. @param {Step} step @param {number} row */
  line(step, row) {
    if (step.kind === "begin") return this.begins(row);
    if (step.kind === "end") return this.ends(row);
    const bobbin = this.bobbin(step.run);
    return bobbin && bobbin !== "the yarn that hangs" ? `${this.run(step.run)}, ${bobbin}` : this.run(step.run);
  }

  /** The same, shorter, for the two steps ahead. @param {Step} step @param {number} row */
  ahead(step, row) {
    if (step.kind === "begin" || step.kind === "end") return this.line(step, row);
    const { piece } = this, number = piece.plain(row) ? 0 : piece.number(step.run);
    const does = !piece.plain(row) && !number ? ", only here" : number && piece.isFirst(step.run) ? ", new" : "";
    return `${this.run(step.run)}${number ? `, bobbin\u00a0${number}` : ""}${does}`;
  }

  /** What the large target says that it will do. @param {Step} step @param {number} row @param {boolean} byRow */
  target(step, row, byRow) {
    if (byRow || step.kind === "row" || step.kind === "end") return `Row ${row} is made`;
    if (step.kind === "begin") return `Row ${row} is begun`;
    const blocks = this.piece.runs.blocks[step.run];
    return blocks === 1 ? "This 1 is made" : `These ${blocks} are made`;
  }

  // To be heard: no signs, no abbreviations

  /** @param {Step} step @param {number} row */
  heard(step, row) {
    if (step.kind === "begin" || step.kind === "end") return spoken(this.line(step, row));
    const bobbin = this.bobbin(step.run), run = `${this.run(step.run)}${bobbin ? `, ${bobbin}` : ""}.`;
    return spoken(step.kind === "row" ? `${this.begins(row)} ${run} ${this.ends(row)}` : run);
  }

  /** "Cut: Moss, bobbin 2." before a row, of strands that hang; empty where there are none. @param {number} row */
  cuts(row) {
    const { piece } = this, said = piece.cutAt(row).map((s) => `${piece.yarns[piece.strands.yarn[s]].name}, bobbin ${piece.strands.number[s]}`);
    return said.length ? `Cut: ${said.join("; ")}.` : "";
  }

  /** A whole row, in sentences between which a voice rests. @param {number} row @returns {string[]} */
  heardRow(row) {
    const { piece } = this;
    const steps = piece.stepsOf(row), blocks = count(piece.blocksOf(row), "block");
    return [`Row ${row}, ${this.side(row)}, ${blocks}.`, ...[this.cuts(row)].filter(Boolean), ...steps.map((step) => this.heard(step, row))];
  }
}

/** @param {string} text */
function spoken(text) {
  return text.replace(/(\d)\u00a0m\b/g, "$1 metres").replace(/\b1\.0 metres/g, "1 metre").replace(/\u00a0/g, " ").replace(/\bdc\b/g, "double crochet");
}

// What opens under words that are no row of choices.

import * as api from "./api.js";
import { backWord } from "./changes.js";
import { openCrop } from "./crop.js";
import { deed, lozenge, paragraph, wordSpan } from "./dom.js";
import { takeUp } from "./hand.js";
import { page, START, tell } from "./page.js";
import { fillPrefs } from "./prefs.js";
import { fillShelf } from "./shelf.js";
import { openSubject, showLine } from "./subject.js";

/** @typedef {import("./api.js").Slip} Slip @typedef {import("./api.js").ShelfYarn} ShelfYarn */

const SHOWN = 6, NARROWED = 12; // yarns of the shelf: at first, and from which on they can be narrowed

/**
 * What a slip shows besides its choices.
 * @param {Slip} slip @param {HTMLElement} place
 * @param {{open: (word: string) => void, choose: (word: string, value: string, words: string) => void}} way
 */
export function ownPart(slip, place, way) {
  if (slip.own === "yarns") fillYarns(place, way.open);
  else if (slip.own === "journal") fillJournal(place);
  else if (slip.own === "shelf") fillShelf(place, way.choose);
  else if (slip.own === "subject") fillSubject(place);
  else if (slip.own === "crop") openCrop(place, way.choose).catch(tell);
  if (slip.word === "rest") fillPrefs(place);
  if (slip.word === "title") {
    const another = paragraph("");
    another.append(deed("Begin another piece", () => { location.hash = START; }));
    place.append(another);
  }
}

/** @param {HTMLElement} slip */
function fillSubject(slip) {
  showLine(slip);
  slip.append(deed("Draw its line on the piece", openSubject));
}

/** @param {HTMLElement} place @param {(word: string) => void} open */
function fillYarns(place, open) {
  const table = document.createElement("table"), more = document.createElement("div");
  table.className = "stock";
  place.append(table, more);
  fillTable(table, page.state.yarns.flatMap((yarn, number) => (yarn.metres ? [{ ...yarn, number, takes: `${Math.round(yarn.metres)} m`, have: "", enough: "", locked: false, banned: false }] : [])), open);
  api.shelf().then(({ inside, spare }) => {
    fillTable(table, inside, open);
    if (spare.length) fillSpare(more, spare, open);
  }).catch(tell);
}

/** @param {HTMLTableElement} table @param {ShelfYarn[]} yarns @param {(word: string) => void} open */
function fillTable(table, yarns, open) {
  table.replaceChildren();
  const skeins = yarns.some((yarn) => yarn.have || !yarn.takes.endsWith("m"));
  const head = table.createTHead().insertRow();
  for (const words of ["touch one to take it up", skeins ? "skeins" : "it takes", ...(skeins ? ["I have", ""] : []), ""]) {
    const cell = document.createElement(words ? "th" : "td");
    if (cell instanceof HTMLTableCellElement && words) cell.scope = "col";
    cell.textContent = words;
    head.append(cell);
  }
  const body = table.createTBody();
  for (const yarn of yarns) {
    const row = body.insertRow(), button = document.createElement("button");
    button.type = "button";
    button.className = "yarn";
    button.setAttribute("aria-pressed", String(yarn.number === page.inHand));
    button.append(lozenge(yarn.color), yarn.name);
    button.addEventListener("click", () => takeUp(yarn.number === page.inHand ? -1 : yarn.number));
    row.insertCell().append(button);
    row.insertCell().textContent = yarn.takes;
    if (skeins) { row.insertCell().textContent = yarn.have; row.insertCell().textContent = yarn.enough; }
    const other = wordSpan(yarn.locked ? "must be in" : "change it", "chosen", () => open(`yarn:${yarn.name}`));
    other.setAttribute("aria-label", `${other.textContent}: ${yarn.name}`);
    row.insertCell().append(other);
  }
}

/** @param {HTMLElement} place @param {ShelfYarn[]} spare @param {(word: string) => void} open */
function fillSpare(place, spare, open) {
  const list = document.createElement("p");
  list.className = "spare";
  /** @param {ShelfYarn[]} yarns @param {number} most */
  const show = (yarns, most) => {
    list.replaceChildren("Also on my shelf: ");
    yarns.slice(0, most).forEach((yarn, i) => {
      const word = wordSpan(yarn.name, "chosen", () => open(`yarn:${yarn.name}`));
      word.prepend(lozenge(yarn.color));
      list.append(i ? " " : "", word, yarn.banned ? " (left out)" : "");
    });
    const more = yarns.length - most;
    if (more > 0) list.append("; ", wordSpan(`${more} more`, "chosen", () => show(yarns, yarns.length)));
    list.append(".");
  };
  show(spare, SHOWN);
  if (spare.length >= NARROWED) {
    const label = document.createElement("label"), field = document.createElement("input");
    label.className = "field";
    field.addEventListener("input", () => {
      const words = field.value.trim().toLowerCase();
      show(spare.filter((yarn) => yarn.name.toLowerCase().includes(words)), words ? spare.length : SHOWN);
    });
    label.append(field, " narrow by name");
    place.append(label);
  }
  place.append(list);
}

/** @param {HTMLElement} place */
function fillJournal(place) {
  const list = document.createElement("ol"), lines = page.state.journal.slice(-20);
  list.start = page.state.journal.length - lines.length + 1;
  for (const [at, line] of lines.entries()) {
    const item = document.createElement("li");
    item.textContent = `${line.words} `;
    if (line.group !== lines[at + 1]?.group) item.append(backWord(line)); // what was done at once goes at once
    list.append(item);
  }
  place.append(page.state.journal.length ? list : paragraph("Take up a yarn and touch the piece: every change stands here, and can be taken back."));
}

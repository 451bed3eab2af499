// The first sentence, with its blanks: what kind, how large, which picture, which yarns, which hand.
// Only the picture is needed, and of stripes none; a picture can be dropped anywhere, at any time.

import * as api from "./api.js";
import { by, deed, paragraph, wordSpan } from "./dom.js";
import { say } from "./page.js";

/** @typedef {import("./api.js").PieceState} PieceState */
/** @typedef {(name: string, made: (onPart: (stage: any) => void) => Promise<PieceState>, file: File|null) => void} Begin */

const ONLY_PICTURE = "Only the picture is needed. ", NO_PICTURE = "Stripes need no picture. ";
const PICTURES = "image/*,.heic,.heif";
const PIECES = 6; // to go on with, named at once

/** What a piece may be: its kind, words, and its usual size (common practice); none of stripes, which have no picture. */
const KINDS = [
  ["", "A piece", ""], ["blanket", "A blanket", "100 x 120 cm"], ["scarf", "A scarf", "25 x 180 cm"], ["cushion", "A cushion", "45 x 45 cm"],
  ["striped scarf", "A scarf in stripes", ""], ["striped blanket", "A blanket in stripes", ""], ["shawl", "A shawl in stripes", ""],
];
/** @type {Record<string, string>} the kinds of stripes as the worktable knows them */
const STRIPED = { "striped scarf": "scarf", "striped blanket": "lap blanket", shawl: "shawl" };

/** @type {Record<string, any>} fields of what is asked, as they were last filled in */
const blanks = {};
/** What begins the piece: choosing its picture, or of stripes that they are laid out. */
let goes = deed("", () => {});

/** @param {string} name @param {string} asks @param {string} what @param {number} size */
function blank(name, asks, what, size) {
  const made = document.createElement("input");
  made.name = name;
  made.placeholder = asks;
  made.setAttribute("aria-label", what);
  made.size = size;
  made.autocomplete = "off";
  made.className = "blank";
  made.addEventListener("keydown", (event) => { if (event.key === "Enter") goes.click(); });
  blanks[name] = made;
  return made;
}

const picture = fileField(PICTURES, "which picture?");
const photo = fileField("image/*", "take a photo");
photo.setAttribute("capture", "environment");
const yarnList = fileField(".csv,.tsv,.xlsx,.ods,.txt,.gpl,.ase,.aco", "a list of yarns");
const other = fileField(".json,.csv,.xlsx,.toml", "a chart or a grid");

/**
 * What kind of piece: it fills in its usual size, and of stripes takes the picture out of the sentence.
 * @param {() => void} changed
 */
function kindField(changed) {
  const made = document.createElement("select");
  made.className = "blank filled kind";
  made.setAttribute("aria-label", "what kind of piece");
  for (const [value, words] of KINDS) made.append(new Option(words, value));
  made.addEventListener("change", () => {
    const { size } = blanks, usual = KINDS.find(([value]) => value === made.value)?.[2] ?? "";
    if (!size.value || KINDS.some(([, , one]) => one === size.value)) size.value = usual;
    changed();
  });
  blanks.kind = made;
  return made;
}

/** What the sentence says of a piece that needs no picture of hers. */
function filledIn() {
  const { size, yarns, hand, shelf } = blanks;
  return { size: size.value, yarns: yarns.value, hand: hand.value, shelf: shelf ? "yes" : "" };
}

/** Stripes need no picture. @param {Begin} begin */
function makeStripes(begin) {
  const asked = { kind: STRIPED[blanks.kind.value], ...filledIn() };
  begin(blanks.kind.selectedOptions[0].text, (onPart) => api.stripes(asked, onPart), null);
}

/** A chooser of files that is opened by words. @param {string} accepts @param {string} what */
function fileField(accepts, what) {
  const made = document.createElement("input");
  made.type = "file";
  made.accept = accepts;
  made.className = "unseen";
  made.tabIndex = -1;
  made.setAttribute("aria-label", what);
  return made;
}

/**
 * Ask for a picture, or a piece to go on with.
 * @param {HTMLElement} place @param {{name: string, title: string, row: number}[]} pieces @param {Begin} begin
 */
export function askForPiece(place, pieces, begin) {
  place.textContent = "";
  const sentence = document.createElement("p");
  sentence.className = "sentence first";
  const hand = document.createElement("select");
  hand.className = "blank";
  hand.setAttribute("aria-label", "which hand holds the hook");
  for (const [value, words] of [["", "which hand?"], ["right", "right hand"], ["left", "left hand"]]) hand.append(new Option(words, value));
  hand.addEventListener("change", () => hand.classList.toggle("filled", hand.value !== ""));
  blanks.hand = hand;
  const which = wordSpan("which picture?", "blank", () => picture.click());
  which.id = "which";
  goes = deed("Choose a picture", () => (blanks.kind.value in STRIPED ? makeStripes(begin) : picture.click()));
  const from = clause("from ", which);
  const kind = kindField(() => {
    const striped = blanks.kind.value in STRIPED;
    from.hidden = take.hidden = striped;
    goes.textContent = striped ? "Lay out the stripes" : "Choose a picture";
    quiet.firstChild?.replaceWith(striped ? NO_PICTURE : ONLY_PICTURE);
  });
  sentence.append(
    clause(kind, " of ", blank("size", "what size?", "what size: as 110 x 90 cm, 43 in, or 60 blocks", 12)), " ", from, " ",
    clause("in ", blank("yarns", "which yarns?", "how many yarns at most", 10)), " ", clause("by my ", hand),
  );
  const quiet = document.createElement("p");
  quiet.className = "quiet";
  const listed = wordSpan("a list of yarns that you have", "chosen", () => yarnList.click());
  quiet.append(ONLY_PICTURE, "What you leave open is guessed, and every word can be changed later. Yarns are how many at most, or ", listed, ".");
  yarnList.onchange = () => bringYarns(yarnList.files?.[0], listed);
  const deeds = document.createElement("p");
  deeds.className = "deeds";
  const take = deed("Take a photo", () => photo.click());
  take.classList.add("for-touch");
  deeds.append(goes, take);
  for (const field of [picture, photo, other]) field.onchange = () => { makeOf(field.files?.[0], begin); field.value = ""; };
  place.append(sentence, quiet, deeds, goOn(pieces, begin), picture, photo, yarnList, other);
  which.focus();
}

/** Words that stay together with their blank. @param {(string|Node)[]} parts */
function clause(...parts) {
  const made = document.createElement("span");
  made.className = "clause";
  made.append(...parts);
  return made;
}

/** @param {File|undefined} file @param {Begin} begin */
export function makeOf(file, begin) {
  if (!file) return;
  const asked = Object.fromEntries(Object.entries(blanks).flatMap(([name, field]) => (name === "kind" ? [] : [[name, field.value]])));
  const isPicture = !/\.(json|csv|xlsx|toml)$/i.test(file.name);
  begin(file.name, (onPart) => api.make(file, asked, onPart), isPicture ? file : null);
}

/** @param {File|undefined} file @param {HTMLElement} listed */
function bringYarns(file, listed) {
  if (!file) return;
  api.yarnsOf(file).then(({ name, yarns }) => {
    listed.textContent = `the ${yarns} yarns of ${name}`;
    blanks.shelf = yarnList;
    say(`${yarns} yarns of ${name}`);
    by("fault").textContent = "";
  }, (error) => { by("fault").textContent = error.message; });
}

/** @param {{name: string, title: string, row: number}[]} pieces @param {Begin} begin */
function goOn(pieces, begin) {
  const told = paragraph("");
  told.className = "quiet";
  /** @param {{name: string, title: string, row: number}} one */
  const word = (one) => wordSpan(one.title, "chosen", () => begin(one.title, () => api.lay(one.name), null));
  const [first, more] = [pieces.slice(0, PIECES), pieces.slice(PIECES)];
  if (first.length) told.append("Or go on with ", ...listed(first, word));
  if (more.length) {
    const open = wordSpan(`${more.length} more`, "chosen", () => open.replaceWith(...listed(more, word)));
    told.append(", ", open);
  }
  told.append(first.length ? "; or begin from " : "Or begin from ",
    wordSpan("a chart, a grid or a stripe plan", "chosen", () => other.click()), ", or ",
    wordSpan("our sample cat", "chosen", () => begin("Tallow cat", (onPart) => api.sample(false, filledIn(), onPart), null)), ", or ",
    wordSpan("our striped scarf", "chosen", () => begin("Ferry scarf", (onPart) => api.sample(true, filledIn(), onPart), null)), ".");
  return told;
}

/** @template T @param {(T & {row: number})[]} pieces @param {(one: T) => Node} word */
const listed = (pieces, word) => pieces.flatMap((one, i) => [i ? ", " : "", word(one), one.row ? `, row ${one.row}` : ""]);

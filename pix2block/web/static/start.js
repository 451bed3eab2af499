// The first sentence, with what it needs to be whole: a picture, how large, how many yarns, which hand.

import * as api from "./api.js";

/** @typedef {import("./api.js").PieceState} PieceState */

/**
 * Ask for a picture, or a piece to go on with.
 * @param {HTMLElement} place @param {string[]} pieces
 * @param {(made: Promise<PieceState>, file: File|null) => void} begin
 */
export function askForPiece(place, pieces, begin) {
  place.textContent = "";
  const sentence = document.createElement("p");
  sentence.className = "sentence first";
  const size = field("width", "40", "blocks across", "numeric"), colors = field("colors", "8", "yarns at most", "numeric");
  const hand = document.createElement("select");
  hand.setAttribute("aria-label", "the hand");
  for (const one of ["right", "left"]) hand.append(new Option(`my ${one} hand`, one));
  const picture = document.createElement("input");
  picture.type = "file";
  picture.accept = "image/*,.heic,.heif";
  picture.setAttribute("aria-label", "the picture");
  sentence.append("A piece ", size, " blocks across, in at most ", colors, " yarns, made by ", hand, ", from the picture ", picture, ".");
  const make = document.createElement("button");
  make.type = "button";
  make.className = "deed";
  make.textContent = "Make it";
  /** @param {File|undefined} file */
  const start = (file) => {
    if (!file) { picture.focus(); return; }
    begin(api.make(file, { width: size.value, colors: colors.value, hand: hand.value }), file);
  };
  make.addEventListener("click", () => start(picture.files?.[0]));
  document.addEventListener("dragover", (event) => event.preventDefault());
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    if (place.contains(sentence)) start(event.dataTransfer?.files[0]);
  });
  place.append(sentence, make);
  if (pieces.length) place.append(goOn(pieces, begin));
  picture.focus();
}

/** @param {string[]} pieces @param {(made: Promise<PieceState>, file: File|null) => void} begin */
function goOn(pieces, begin) {
  const told = document.createElement("p");
  told.className = "sentence";
  told.append("Or go on with ");
  pieces.forEach((name, i) => {
    const word = document.createElement("button");
    word.type = "button";
    word.className = "deed";
    word.textContent = name;
    word.addEventListener("click", () => begin(api.lay(name), null));
    told.append(i ? " " : "", word);
  });
  return told;
}

/** @param {string} name @param {string} value @param {string} what @param {string} mode */
function field(name, value, what, mode) {
  const made = document.createElement("input");
  made.name = name;
  made.value = value;
  made.inputMode = mode;
  made.size = 4;
  made.setAttribute("aria-label", what);
  return made;
}

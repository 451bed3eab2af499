// What the whole page shares: the piece as it stands, what is open, what is in hand.

import * as api from "./api.js";
import { by } from "./dom.js";
import { Piece } from "./piece.js";

/** @typedef {import("./api.js").PieceState} PieceState */

export const canvas = /** @type {HTMLCanvasElement} */ (by("piece"));
export const piece = new Piece(canvas);

export const page = {
  canvas,
  /** @type {PieceState} */
  state: /** @type {any} */ (undefined),
  open: "", // the word that is open
  inHand: -1, // the yarn in hand, -1 for none
};

/** The address of the first sentence while a piece is on the table. */
export const START = "start";

/** @type {((before: PieceState|undefined) => void)[]} */
const shown = [];

/** What is drawn anew whenever the piece has changed. @param {(before: PieceState|undefined) => void} draws */
export const whenShown = (draws) => { shown.push(draws); };

/** @type {(() => void)[]} */
const placed = [];

/** What stands at words, and is put there again whenever the paragraph is written. @param {() => void} puts */
export const whenPlaced = (puts) => { placed.push(puts); };

/** The paragraph is written. */
export const paragraphPlaced = () => { for (const puts of placed) puts(); };

/** What is said once it is taken back: what it was is not now. @param {string} back */
export const takenBack = (back) => `Taken back: ${back.replace(", now ", ", was ")}`;

/**
 * Put something under the sentence that holds a word, or where there is none at the paragraph's end.
 * @param {string} word @param {HTMLElement} element
 */
export function putAt(word, element) {
  if (document.body.classList.contains("becoming")) { by("here").append(element); return; }
  const place = by("paragraph"), held = word && place.querySelector(`[data-word="${CSS.escape(word)}"]`);
  const sentence = held && held.closest("p"), slip = document.getElementById("slip");
  if (slip && word === page.open) slip.prepend(element);
  else if (sentence) sentence.after(element);
  else place.append(element);
}

/** Draw anew what depends on what is open or in hand. */
export const refresh = () => { for (const draws of shown) draws(page.state); };

const SAY_EVERY = 1000; // milliseconds
let saidLast = -SAY_EVERY, saying = 0;

/** Say something to who cannot see it; at most once a second, the latest wins. @param {string} words */
export function say(words) {
  if (!words) return;
  clearTimeout(saying);
  saying = setTimeout(() => {
    saidLast = performance.now();
    by("said").textContent = words;
  }, Math.max(0, saidLast + SAY_EVERY - performance.now()));
}

/** @type {(fault: api.Fault) => boolean} */
let tellsAtWord = () => false;

/** What tells a fault at its word. @param {(fault: api.Fault) => boolean} tells */
export const whenTold = (tells) => { tellsAtWord = tells; };

/** @param {unknown} error */
export function tell(error) {
  if (error instanceof api.Stopped) return;
  if (!(error instanceof api.Fault)) throw error;
  if (error instanceof api.Gone) by("fault").textContent = error.message;
  else if (!tellsAtWord(error)) by("fault").textContent = `${error.message}${page.state ? " The piece is as it was." : ""}`;
  piece.unwork();
}

/** @param {PieceState} now @param {string} [words] what was done */
export function show(now, words) {
  const before = page.state;
  page.state = now;
  by("fault").textContent = "";
  document.title = `${now.title}: worktable`;
  by("name").textContent = now.title;
  canvas.setAttribute("aria-label", `${now.title}, ${now.width} by ${now.height} blocks, ${now.yarns.length} yarns`);
  if (page.inHand >= now.yarns.length) page.inHand = -1;
  piece.show(now);
  for (const draws of shown) draws(before);
  const more = before ? now.tails - before.tails : 0;
  if (words) say(`${words}; ${now.tails} tails${more ? `, ${Math.abs(more)} ${more > 0 ? "more" : "fewer"}` : ""}${now.told ? `. ${now.told}` : ""}`);
}

/** Show what is answered, and say what was done. @param {Promise<PieceState>} made @param {string} words */
export function keep(made, words) {
  made.then((now) => show(now, words)).catch(tell);
}

// Sentences that come only when they matter: asked for once nothing else is, two at most, each taken
// by its word or left for good.

import * as api from "./api.js";
import { deed } from "./dom.js";
import { page, tell, whenShown } from "./page.js";

/** @typedef {(string|import("./api.js").Word)[]} Sentence */

const PAUSE = 900; // milliseconds in which nothing is changed
const LEFT = "worktable left: "; // before a piece's title, in the browser's keeping

let of = -1, asked = -1; // versions of the piece
/** @type {Sentence[]} */
let sentences = [];
/** @type {() => void} */
let hears = () => {};

/** @param {() => void} does what is called when sentences have come, or one was left */
export const whenAdvised = (does) => { hears = does; };

/** @returns {Sentence[]} */
export function adviceNow() {
  const left = leftNow();
  return of === page.state.version ? sentences.filter((one) => !left.includes(textOf(one))) : [];
}

/** @param {Sentence} sentence */
const textOf = (sentence) => sentence.map((part) => (typeof part === "string" ? part : part.text)).join("");

/** @returns {string[]} */
function leftNow() {
  try {
    const kept = JSON.parse(localStorage.getItem(LEFT + page.state.title) ?? "[]");
    return Array.isArray(kept) ? kept : [];
  } catch { return []; }
}

/** @param {Sentence} sentence */
export function leaveIt(sentence) {
  const made = deed("Leave it", () => {
    try { localStorage.setItem(LEFT + page.state.title, JSON.stringify([...leftNow(), textOf(sentence)])); } catch { sentences = sentences.filter((one) => one !== sentence); }
    hears();
  });
  made.classList.add("small");
  return made;
}

whenShown(() => {
  const { version } = page.state;
  if (version === undefined || asked === version) return;
  setTimeout(() => {
    if (page.state.version !== version || asked === version || document.body.classList.contains("becoming")) return;
    asked = version;
    api.advice().then((told) => {
      if (told.version !== page.state.version) return;
      of = told.version;
      sentences = told.sentences;
      if (sentences.length) hears();
    }).catch((error) => { if (!(error instanceof api.Fault)) tell(error); });
  }, PAUSE);
});

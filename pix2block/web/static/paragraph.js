// The paragraph: sentences whose words open, and what opens under them.

import { by, deed, wordSpan } from "./dom.js";
import { keep, page, paragraphPlaced, piece, say, tell, whenShown } from "./page.js";
import { openChoices } from "./slip.js";
import { fillJournal, fillTitle, fillYarns } from "./slips.js";

/** @typedef {import("./api.js").PieceState} PieceState @typedef {import("./api.js").Word} Word */

/** What opens under a word, for words that are no row of choices. @type {Record<string, (slip: HTMLElement) => void>} */
const OWN = { title: fillTitle, yarns: fillYarns, journal: fillJournal };

/** @param {PieceState|undefined} before */
export function showParagraph(before) {
  const was = new Map(before?.paragraph.flat().flatMap((part) => (typeof part === "string" ? [] : [[part.word, part.text]])));
  const place = by("paragraph");
  place.textContent = "";
  for (const sentence of page.state.paragraph) {
    const line = document.createElement("p");
    line.className = "sentence";
    for (const part of sentence) {
      line.append(typeof part === "string" ? part : wordOf(part, was.get(part.word)));
    }
    place.append(line);
    const opened = sentence.find((part) => typeof part !== "string" && part.word === page.open);
    if (opened && typeof opened !== "string") place.append(slipOf(opened));
  }
  paragraphPlaced();
}

/** @param {Word} word @param {string|undefined} was what it said before */
function wordOf(word, was) {
  const kind = `${word.kind}${was !== undefined && was !== word.text ? " changed" : ""}`;
  const element = wordSpan(word.text, kind, () => (page.open === word.word ? closeSlip() : openSlip(word.word)));
  element.dataset.word = word.word;
  element.setAttribute("aria-expanded", String(page.open === word.word));
  element.setAttribute("aria-label", `${word.text}, ${word.what}`);
  element.addEventListener("keydown", (event) => {
    if (event.key !== "ArrowRight" && event.key !== "ArrowLeft") return;
    event.preventDefault();
    const words = [...by("paragraph").querySelectorAll(".word")];
    const next = words[words.indexOf(element) + (event.key === "ArrowRight" ? 1 : -1)];
    if (next instanceof HTMLElement) next.focus();
  });
  return element;
}

/** @param {string} name */
export function openSlip(name) {
  page.open = name;
  piece.tryOn(null);
  showParagraph(page.state);
}

export function closeSlip() {
  const was = page.open;
  page.open = "";
  piece.tryOn(null);
  showParagraph(page.state);
  focusWord(was);
}

/** @param {string} name */
export function focusWord(name) {
  const element = by("paragraph").querySelector(`[data-word="${CSS.escape(name)}"]`);
  if (element instanceof HTMLElement) element.focus();
}

/** What opens under the sentence of a word. @param {Word} word */
function slipOf(word) {
  const slip = document.createElement("div");
  slip.className = "slip";
  slip.setAttribute("role", "region");
  slip.setAttribute("aria-label", word.what);
  const own = OWN[word.word];
  if (own) own(slip);
  else {
    openChoices(slip, word.word, word.what, {
      state: () => page.state,
      tryOn: (blocks, words) => { piece.tryOn(blocks); say(words); },
      keep: (made, words) => keep(made, `Kept: ${words}`),
      close: closeSlip,
    }).catch(tell);
  }
  slip.addEventListener("keydown", (event) => { if (event.key === "Escape") { event.stopPropagation(); closeSlip(); } });
  const foot = document.createElement("p");
  foot.className = "slip-foot";
  foot.append(deed("Close", closeSlip));
  queueMicrotask(() => slip.after(foot));
  return slip;
}

whenShown((before) => {
  showParagraph(before);
  if (page.open && before !== page.state) focusWord(page.open);
});

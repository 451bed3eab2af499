// The paragraph: sentences whose words open, and what opens under them.

import { adviceNow, leaveIt, whenAdvised } from "./advice.js";
import { by, wordSpan } from "./dom.js";
import { page, paragraphPlaced, tell, whenShown } from "./page.js";
import { OpenSlip, endFilling } from "./slip.js";
import { ownPart } from "./slips.js";
import { forget, tryOn } from "./tried.js";

/** @typedef {import("./api.js").PieceState} PieceState @typedef {import("./api.js").Word} Word */

/** @type {OpenSlip|null} */
let slip = null;
/** @type {string[]} the words that led to the one that is open, the paragraph's own first */
let path = [];

/** @param {PieceState|undefined} before */
export function showParagraph(before) {
  const was = new Map(before?.paragraph.flat().flatMap((part) => (typeof part === "string" ? [] : [[part.word, part.text]])));
  const place = by("paragraph"), shown = slip?.element, held = document.activeElement;
  const focused = shown && shown.contains(held) ? held : null;
  place.textContent = "";
  const advice = adviceNow(), sentences = [...page.state.paragraph.slice(0, -1), ...advice, ...page.state.paragraph.slice(-1)];
  sentences.forEach((sentence, i) => {
    const line = document.createElement("p");
    line.className = `sentence${i === sentences.length - 1 ? " last" : ""}`;
    for (const part of sentence) {
      line.append(typeof part === "string" ? part : wordOf(part, was.get(part.word)));
    }
    if (advice.includes(sentence)) line.append(" ", leaveIt(sentence));
    place.append(line);
    if (shown && !shown.isConnected && sentence.some((part) => typeof part !== "string" && part.word === path[0])) place.append(shown);
  });
  if (shown && !shown.isConnected) place.append(shown);
  if (focused instanceof HTMLElement) focused.focus({ preventScroll: true });
  paragraphPlaced();
}

/** @param {Word} word @param {string|undefined} was what it said before */
function wordOf(word, was) {
  const isOpen = path[0] === word.word;
  const kind = `${word.kind}${isOpen ? " open" : ""}${was !== undefined && was !== word.text ? " changed" : ""}`;
  const element = wordSpan(word.text, kind, () => (path[0] === word.word ? closeSlip() : openSlip(word.word)));
  element.dataset.word = word.word;
  element.setAttribute("aria-expanded", String(isOpen));
  if (isOpen) element.setAttribute("aria-controls", "slip");
  element.setAttribute("aria-label", `${word.text}, ${word.what}`);
  element.addEventListener("keydown", (event) => {
    if (/^[0-9]$/.test(event.key) && /[0-9]/.test(word.text)) { event.preventDefault(); typeInto(word.word, event.key); return; }
    if (event.key !== "ArrowRight" && event.key !== "ArrowLeft") return;
    event.preventDefault();
    const words = [...by("paragraph").querySelectorAll(".sentence .word")];
    const next = words[words.indexOf(element) + (event.key === "ArrowRight" ? 1 : -1)];
    if (next instanceof HTMLElement) next.focus();
  });
  return element;
}

/** A figure is typed: its word opens with that digit in its field. @param {string} word @param {string} digit */
async function typeInto(word, digit) {
  await openSlip(word);
  const field = slip?.body.querySelector("input:not([type=file])");
  if (field instanceof HTMLInputElement) { field.value = digit; field.focus(); }
}

/** @param {string} word */
export function openSlip(word) { return openPath([word]); }

/** @param {string[]} words */
async function openPath(words) {
  const word = words[words.length - 1], before = words[words.length - 2];
  tryOn(null);
  path = words;
  page.open = word;
  const opened = new OpenSlip(word, ownPart, {
    open: (next) => { openPath([...words, next]); },
    close: closeSlip,
    back: before === undefined ? null : () => { openPath(words.slice(0, -1)); },
    backWords: before === undefined ? "" : wordsOf(before),
  });
  slip?.element.remove();
  slip = opened;
  opened.element.classList.add("opening"); // once, not whenever the paragraph is written
  opened.element.addEventListener("animationend", () => opened.element.classList.remove("opening"), { once: true });
  showParagraph(page.state);
  try {
    await opened.load(true);
  } catch (error) {
    if (slip === opened) closeSlip();
    tell(error);
  }
}

/** What a word says now. @param {string} name */
export function wordsOf(name) {
  const part = page.state.paragraph.flat().find((one) => typeof one !== "string" && one.word === name);
  return part && typeof part !== "string" ? part.text : name.replaceAll("_", " ");
}

export function closeSlip() {
  const was = path[0];
  tryOn(null);
  slip?.element.remove();
  slip = null;
  endFilling();
  path = [];
  page.open = "";
  showParagraph(page.state);
  if (was) focusWord(was);
}

/** Close what is open while the piece is made otherwise. @returns {() => void} what opens it again, where nothing else is open then */
export function closeForNow() {
  const words = path;
  closeSlip();
  return () => { if (words.length && !slip && !by("paragraph").hidden) openPath(words); };
}

/** @param {string} name */
export function focusWord(name) {
  const element = by("paragraph").querySelector(`[data-word="${CSS.escape(name)}"]`);
  if (element instanceof HTMLElement) element.focus();
}

whenAdvised(() => showParagraph(page.state));
whenShown((before) => {
  forget();
  showParagraph(before);
  slip?.load(false).catch(tell);
});

document.addEventListener("keydown", (event) => { // wherever the focus is
  if (event.key !== "Escape" || event.defaultPrevented || !slip || by("paragraph").hidden) return;
  event.preventDefault();
  closeSlip();
});

// What could not be done, told under the sentence of its word, with what would do.

import * as api from "./api.js";
import { by, paragraph, wordSpan } from "./dom.js";
import { focusWord, openSlip } from "./paragraph.js";
import { keep, page, putAt, whenPlaced, whenShown, whenTold } from "./page.js";

/** Which word of the paragraph says what an option asks. @type {Record<string, string>} */
const WORDS = { colors: "yarns", width: "blocks", height: "blocks", lock: "yarns", ban: "yarns", shelf: "yarns", tails: "ending", look: "picture", subject: "subject", most_hanging: "hanging" };

/** field: in which it was typed, where it was @type {{word: string, element: HTMLElement, field: Element|null}|null} */
let told = null;

/** @param {api.Fault} fault @returns {boolean} whether it stands at a word */
function tellAt(fault) {
  clear();
  const said = [page.open, WORDS[page.open], fault.about, WORDS[fault.about]].filter(Boolean);
  const word = said.find((one) => by("paragraph").querySelector(`[data-word="${CSS.escape(one)}"]`));
  if (!page.state || by("paragraph").hidden || !word) return false;
  const element = document.createElement("div");
  element.className = "error";
  element.id = "error";
  element.setAttribute("role", "alert");
  const [first, ...rest] = fault.message.split("\n");
  const lines = paragraph(""), strong = document.createElement("strong");
  strong.textContent = "This is not done: ";
  lines.append(strong, `${first.replace(/[.]?$/, ".")} The piece is as it was.`);
  element.append(lines, ...rest.map((line) => paragraph(line)), instead(fault, word));
  told = { word, element, field: document.activeElement?.closest(".slip .field") ?? null };
  place();
  element.scrollIntoView({ block: "nearest" });
  return true;
}

/** Two or three things that would do. @param {api.Fault} fault @param {string} word */
function instead(fault, word) {
  const line = paragraph("Instead ");
  for (const { words, word: of, value } of fault.instead) {
    line.append(wordSpan(words, "chosen", () => (value === undefined ? openSlip(of) : keep(api.choose(of, value), `Kept: ${words}`))), "; ");
  }
  if (page.open !== word) line.append(wordSpan("another choice", "chosen", () => openSlip(word)), "; ");
  line.append(line.childNodes.length > 1 ? "or " : "", wordSpan("as it was", "chosen", () => { clear(); focusWord(word); }), ".");
  return line;
}

function place() {
  if (!told) return;
  if (told.field?.isConnected) told.field.after(told.element);
  else putAt(told.word, told.element);
  const word = by("paragraph").querySelector(`[data-word="${CSS.escape(told.word)}"]`);
  word?.classList.add("wrong");
  word?.setAttribute("aria-describedby", "error");
}

export function clear() {
  told?.element.remove();
  told = null;
  for (const word of by("paragraph").querySelectorAll(".wrong")) { word.classList.remove("wrong"); word.removeAttribute("aria-describedby"); }
}

let version = 0, open = "";
whenTold(tellAt);
whenShown(() => { if (page.state.version !== version) clear(); version = page.state.version; });
whenPlaced(() => {
  if (page.open && page.open !== open) clear(); // a word is opened again
  open = page.open;
  place();
});

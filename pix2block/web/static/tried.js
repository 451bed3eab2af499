// A choice that is tried on: the piece and the figures in the paragraph show it, until it is left.

import { by } from "./dom.js";
import { page, piece } from "./page.js";

/** @typedef {import("./api.js").Filled} Filled */

let tried = false, another = false; // another: another size, or other yarns

let x = NaN, y = NaN, moved = false;
document.addEventListener("pointermove", ({ screenX, screenY }) => {
  moved = screenX !== x || screenY !== y;
  x = screenX;
  y = screenY;
}, true);

/** Whether the pointer itself came where it is, and not the page under it. */
export const pointerMoved = () => moved;

/** @param {Filled|null} choice null for the piece as it is */
export function tryOn(choice) {
  if (!choice || choice.faults) { leave(); return; }
  if (another) piece.show(page.state);
  const now = page.state;
  another = choice.width !== now.width || choice.height !== now.height || choice.corner !== now.corner
    || choice.yarns.length !== now.yarns.length || choice.yarns.some((yarn, i) => yarn.color !== now.yarns[i].color);
  if (another) piece.showForeign({ ...now, ...choice });
  else piece.tryOn(choice.blocks);
  tried = true;
  sayFigures(choice.paragraph);
}

function leave() {
  if (!tried) return;
  if (another) piece.show(page.state);
  else piece.tryOn(null);
  tried = another = false;
  sayFigures(page.state.paragraph);
}

/** What is tried is kept, or gone: nothing is to be put back. */
export const forget = () => { tried = another = false; };

/** @param {(string|import("./api.js").Word)[][]} paragraph */
function sayFigures(paragraph) {
  const now = new Map(page.state.paragraph.flat().flatMap((part) => (typeof part === "string" ? [] : [[part.word, part.text]])));
  /** @type {Map<string, number>} a word may stand more than once, as two yarns that are short */
  const times = new Map();
  for (const part of paragraph.flat()) {
    if (typeof part === "string") continue;
    const nth = times.get(part.word) ?? 0;
    times.set(part.word, nth + 1);
    const element = by("paragraph").querySelectorAll(`.sentence [data-word="${CSS.escape(part.word)}"]`)[nth];
    if (!(element instanceof HTMLElement) || element.textContent === part.text) continue;
    element.textContent = part.text;
    element.classList.toggle("tried", now.get(part.word) !== part.text);
  }
}

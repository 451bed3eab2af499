// A word that is open: its choices as small pictures of this very piece, with what they cost.

import { choices, choose } from "./api.js";
import { blocksOf, drawBlocks } from "./blocks.js";

/** @typedef {import("./api.js").PieceState} PieceState @typedef {import("./api.js").Choice} Choice */

/**
 * Fill a slip with the choices of a word.
 * @param {HTMLElement} slip @param {string} word @param {string} what
 * @param {{state: () => PieceState, tryOn: (blocks: string|null, words: string) => void,
 *   keep: (made: Promise<PieceState>, words: string) => void, close: () => void}} table
 */
export async function openChoices(slip, word, what, table) {
  slip.textContent = "…";
  const every = await choices(word);
  slip.textContent = "";
  const list = document.createElement("div");
  list.className = "choices";
  list.setAttribute("role", "radiogroup");
  list.setAttribute("aria-label", what);
  const made = every.map((choice) => button(choice, table));
  made.forEach(({ element, choice }, i) => {
    element.tabIndex = choice.now ? 0 : -1;
    element.addEventListener("click", () => table.keep(choose(word, choice.value), choice.words));
    element.addEventListener("focus", () => table.tryOn(choice.now ? null : choice.blocks, told(choice)));
    element.addEventListener("pointerenter", () => table.tryOn(choice.now ? null : choice.blocks, ""));
    element.addEventListener("pointerleave", () => table.tryOn(null, ""));
    element.addEventListener("keydown", (event) => {
      const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
      if (!step) return;
      event.preventDefault();
      made[(i + step + made.length) % made.length].element.focus();
    });
    list.append(element);
  });
  slip.append(list);
  (made.find(({ choice }) => choice.now) ?? made[0]).element.focus();
}

/** @param {Choice} choice */
const told = (choice) => (choice.now ? `${choice.words}, as it is` : `${choice.words}: ${choice.cost}; Enter keeps`);

/** @param {Choice} choice @param {{state: () => PieceState}} table */
function button(choice, table) {
  const element = document.createElement("button");
  element.type = "button";
  element.className = "choice";
  element.setAttribute("role", "radio");
  element.setAttribute("aria-checked", String(choice.now));
  element.append(picture(choice, table.state()), choice.words);
  const cost = document.createElement("span");
  cost.className = "cost";
  cost.textContent = choice.now ? "now" : choice.cost;
  element.append(cost);
  return { element, choice };
}

/** @param {Choice} choice @param {PieceState} state */
function picture(choice, state) {
  const canvas = document.createElement("canvas");
  const side = Math.max(1, Math.floor(240 / Math.max(state.width, state.height)));
  canvas.width = state.width * side;
  canvas.height = state.height * side;
  canvas.style.objectFit = "contain";
  canvas.style.objectPosition = "left top";
  canvas.setAttribute("aria-hidden", "true");
  const context = canvas.getContext("2d");
  const colors = state.yarns.map((yarn) => yarn.color);
  if (context) drawBlocks(context, blocksOf(choice.blocks ?? state.blocks), state.width, state.height, colors, side);
  return canvas;
}

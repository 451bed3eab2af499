// What can be done to a block's surroundings: another yarn for a place, letters from it, what calming leaves.

import * as api from "./api.js";
import { deed, lozenge, paragraph } from "./dom.js";
import { keep, page, piece, say, tell } from "./page.js";

/** @typedef {[number, number]} Block */

/**
 * The yarns to choose from, in place of one; each is tried on where the pointer or the keyboard is.
 * @param {string} label @param {number} now @param {(yarn: string) => [string, string][]} mendsOf what is done then
 * @param {(yarn: string) => void} done @param {() => Block[]} blocks that are tried on
 */
export function yarnChoices(label, now, mendsOf, done, blocks) {
  const list = document.createElement("div");
  list.className = "yarns";
  list.setAttribute("role", "group");
  list.setAttribute("aria-label", label);
  /** @type {[[string, string][], HTMLElement][]} */
  const costs = [];
  page.state.yarns.forEach((yarn, number) => {
    if (number === now) return;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "yarn";
    const told = document.createElement("span"), cost = document.createElement("span");
    cost.className = "cost";
    cost.textContent = "…";
    told.append(yarn.name, cost);
    button.append(lozenge(yarn.color), told);
    button.addEventListener("click", () => { done(yarn.name); mend(mendsOf(yarn.name), `${label}: ${yarn.name}`); });
    const tries = () => { piece.workAll(blocks(), number); };
    button.addEventListener("pointerenter", tries);
    button.addEventListener("focus", () => { tries(); say(`${yarn.name}: ${cost.textContent}; Enter keeps`); });
    for (const leaves of ["pointerleave", "blur"]) button.addEventListener(leaves, () => piece.unwork());
    list.append(button);
    costs.push([mendsOf(yarn.name), cost]);
  });
  api.costs(costs.map(([mends]) => mends)).then((words) => words.forEach((one, at) => { costs[at][1].textContent = one; }), tell);
  return list;
}

/** @param {[string, string][]} mends @param {string} words */
export const mend = (mends, words) => keep(api.mend(mends), words);

/** Letters, whose first capital has its top left block at a place. @param {string} place @param {() => void} done */
export function lettersForm(place, done) {
  const form = document.createElement("form"), words = document.createElement("input"), told = paragraph("");
  words.setAttribute("aria-label", "The words");
  words.maxLength = 100;
  const height = select("Blocks of a capital", [["5", "5 blocks tall"], ["7", "7 blocks tall"], ["9", "9 blocks tall"]]);
  const yarn = select("The yarn of the letters", [["", "the yarn that stands out most there"], ...page.state.yarns.map((one) => [one.name, one.name])]);
  const write = deed("Write them", () => {});
  write.type = "submit";
  form.className = "letters";
  told.append("Write ", words, ", ", height, ", in ", yarn, ".");
  form.append(told, write);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (!words.value.trim()) { words.focus(); return; }
    done();
    keep(api.choose("mend:text", `${words.value} at ${place} height ${height.value} in ${yarn.value}`), `${words.value} written`);
  });
  queueMicrotask(() => words.focus());
  return form;
}

/** @param {string} label @param {string[][]} options */
function select(label, options) {
  const made = document.createElement("select");
  made.setAttribute("aria-label", label);
  for (const [value, words] of options) made.append(new Option(words, value));
  return made;
}

// Any word is found: what the page says, its everyday names, and the option's name.

import * as api from "./api.js";
import { paragraph, wordSpan } from "./dom.js";
import { closeInstead, openInstead } from "./instead.js";
import { isKey } from "./keytable.js";
import { page, say, tell } from "./page.js";
import { openSlip } from "./paragraph.js";
import { placeNamed } from "./places.js";
import { fillPrefs } from "./prefs.js";

/** @typedef {import("./api.js").Findable} Findable */

const MOST = 12;

/** @type {Findable[]} */
let every = [];
let asked = "";

function openFind() {
  asked = "";
  api.words().then((words) => { every = words; openInstead({ name: "find", fill }); }, tell);
}

/** How well a word is named by what is typed: 0 best, -1 not at all. @param {Findable} one @param {string} typed */
function fit(one, typed) {
  const names = [one.text, ...one.names].map((name) => name.toLowerCase());
  if (names.some((name) => name === typed)) return 0;
  if (names.some((name) => name.startsWith(typed))) return 1;
  if (names.some((name) => name.split(/[^a-z0-9]+/).some((part) => part.startsWith(typed)))) return 2;
  if (names.some((name) => name.includes(typed))) return 3;
  return typed.length > 2 && one.what.toLowerCase().includes(typed) ? 4 : -1;
}

/** @param {HTMLElement} place */
function fill(place) {
  const field = document.createElement("input"), list = document.createElement("ul");
  field.className = "find";
  field.setAttribute("aria-label", "Find a word: what the page says, an everyday name, or an option");
  field.placeholder = "which word?";
  field.value = asked;
  field.dataset.again = "find";
  list.className = "found";
  const show = () => {
    asked = field.value;
    const typed = asked.trim().toLowerCase().replace(/^-+/, "");
    const found = every.map((one) => ({ one, fits: typed ? fit(one, typed) : one.said ? 0 : -1 })).filter(({ fits }) => fits >= 0)
      .sort((a, b) => a.fits - b.fits).map(({ one }) => one);
    list.replaceChildren(...found.slice(0, MOST).map(line));
    if (!found.length) list.append(Object.assign(document.createElement("li"), { textContent: "No word is called so." }));
    if (typed) say(found.length ? `${found.length} found; ${found[0].text}; Enter opens it` : "No word is called so");
    return found;
  };
  field.addEventListener("input", show);
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter") { event.preventDefault(); const [first] = show(); if (first) open(first); }
    if (event.key === "ArrowDown") { event.preventDefault(); const word = list.querySelector(".word"); if (word instanceof HTMLElement) word.focus(); }
  });
  list.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key], words = /** @type {HTMLElement[]} */ ([...list.querySelectorAll(".word")]);
    if (!step) return;
    event.preventDefault();
    (words[words.indexOf(/** @type {HTMLElement} */ (event.target)) + step] ?? field).focus();
  });
  place.append(paragraph("Any word of the paragraph, said or not said, by its everyday name or an option's:"), field, list);
  show();
  fillPrefs(place);
  queueMicrotask(() => field.focus());
}

/** @param {Findable} one */
function line(one) {
  const item = document.createElement("li"), what = document.createElement("span");
  what.className = "quiet";
  what.textContent = ` ${one.what}`;
  item.append(wordSpan(one.text, "chosen", () => open(one)), what);
  return item;
}

/** @param {Findable} one */
function open(one) {
  closeInstead(false);
  if (page.state) openSlip(one.word);
}

document.addEventListener("keydown", (event) => {
  if (!isKey(event, "/") || !page.state || document.body.classList.contains("becoming")) return;
  event.preventDefault();
  openFind();
});
placeNamed("find", openFind);

// The keys as a table, in the paragraph's place: what ? opens.

import { openInstead } from "./instead.js";
import { placeNamed } from "./places.js";
import { fillPrefs, prefs } from "./prefs.js";

const KEYS = [
  ["anywhere", [
    ["Tab", "through words in reading order; the first three stops jump to piece, paragraph and foot"],
    ["/", "find a word: ours, its everyday names and the option's"], ["?", "this table"],
    ["Ctrl+Z", "take back"], ["Ctrl+Shift+Z", "put again"], ["Esc", "closes, then leaves"],
  ]],
  ["paragraph", [["Enter, Space", "open a word"], ["← →", "the next word"], ["a digit", "types into a figure"]]],
  ["what a word opens", [["arrows", "try on"], ["Enter", "keeps"], ["Esc", "leaves what was tried, then closes"], ["Tab", "to its words"]]],
  ["piece", [
    ["arrows", "a block"], ["Shift+arrows", "along the diagonal row"], ["Page up, Page down", "a row"], ["Home, End", "a row's ends"],
    ["1 to 9", "take up a yarn"], ["0", "lay it down"], ["Space", "work a block"], ["Shift+Space", "to here from the last one"],
    ["F", "work its patch"], ["E", "take up what lies here"], ["Enter", "the block's sentence"], ["+ −", "near and far"], ["V", "the next view"],
    ["G, then a number", "a row"],
  ]],
];

function openKeys() { openInstead({ name: "keys", fill }); }

/** @param {HTMLElement} place */
function fill(place) {
  const table = document.createElement("table"), caption = document.createElement("caption");
  table.className = "keys";
  caption.className = "unseen";
  caption.textContent = "Keys";
  table.append(caption);
  for (const [where, keys] of /** @type {[string, string[][]][]} */ (KEYS)) {
    const body = document.createElement("tbody"), head = document.createElement("tr"), of = document.createElement("th");
    of.colSpan = 2;
    of.scope = "rowgroup";
    of.textContent = where;
    head.append(of);
    body.append(head);
    for (const [key, does] of keys) {
      const row = body.insertRow();
      const name = document.createElement("th");
      name.scope = "row";
      name.textContent = key;
      row.append(name);
      row.insertCell().textContent = does;
    }
    table.append(body);
  }
  place.append(table);
  fillPrefs(place);
}

/** Whether a key is one of the two that work anywhere. @param {KeyboardEvent} event @param {string} key */
export function isKey(event, key) {
  const { target } = event;
  const types = target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement;
  return prefs.keys && event.key === key && !types && !event.ctrlKey && !event.metaKey && !event.altKey && !event.defaultPrevented;
}

document.addEventListener("keydown", (event) => {
  if (!isKey(event, "?") || document.body.classList.contains("starting")) return;
  event.preventDefault();
  openKeys();
});
placeNamed("keys", openKeys);

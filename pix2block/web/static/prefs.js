// What this browser keeps for the page: whether / and ? are keys, light or dark.

import { paragraph, wordSpan } from "./dom.js";
import { say } from "./page.js";

const THEMES = { system: "as the system has it", light: "always light", dark: "always dark" };

/** @param {string} name @param {string} usual */
function kept(name, usual) {
  try { return localStorage.getItem(`worktable-${name}`) ?? usual; } catch { return usual; }
}

export const prefs = { keys: kept("keys", "on") === "on", theme: kept("theme", "system") };

/** @param {string} name @param {string} value */
function keep(name, value) {
  try { localStorage.setItem(`worktable-${name}`, value); } catch { /* it holds until the page is closed */ }
}

function applyTheme() {
  document.documentElement.dataset.theme = prefs.theme;
  dispatchEvent(new Event("resize")); // what is drawn takes its colours anew
}

/** The sentence of what this page keeps for itself. @param {HTMLElement} place */
export function fillPrefs(place) {
  const line = paragraph("");
  const keys = wordSpan("", "chosen", () => { prefs.keys = !prefs.keys; keep("keys", prefs.keys ? "on" : "off"); told(); say(line.textContent ?? ""); });
  const theme = wordSpan("", "chosen", () => {
    const names = Object.keys(THEMES);
    prefs.theme = names[(names.indexOf(prefs.theme) + 1) % names.length];
    keep("theme", prefs.theme);
    applyTheme();
    told();
    say(line.textContent ?? "");
  });
  const told = () => {
    keys.textContent = prefs.keys ? "work" : "do nothing";
    theme.textContent = THEMES[/** @type {"system"} */ (prefs.theme)] ?? THEMES.system;
  };
  told();
  line.append("On this page the keys / and ? ", keys, "; its paper is ", theme, ".");
  place.append(line);
}

applyTheme();

// The last changes by hand with what they cost: each shows its place, and can be taken back.

import * as api from "./api.js";
import { wordSpan } from "./dom.js";
import { closeInstead } from "./instead.js";
import { inkOnPaper, outline } from "./marks.js";
import { keep, page, piece, say, tell } from "./page.js";
import { openSlip } from "./paragraph.js";

/** @typedef {import("./api.js").Change} Change */

/** @type {Change|null} whose place is shown */
let shown = null;
/** @type {number} a change that cannot be taken back alone */
let rested = -1;

/** @param {Change|null} change */
function show(change) {
  shown = change;
  piece.draw();
}

/** @param {{group: number, words: string}} change */
function takeBack(change) {
  api.without(change.group, true).then((now) => { rested = -1; keep(Promise.resolve(now), `Taken back: ${change.words}`); }, (error) => {
    if (!(error instanceof api.Fault)) { tell(error); return; }
    rested = change.group;
    tell(error);
    keep(api.piece(), "");
    say("Later changes rest on it: choose back to here to take them back too");
  });
}

/** The word that takes a change back alone, or what came after it too where that rests on it. @param {{group: number, words: string}} change */
export function backWord(change) {
  const { group, words } = change, made = group === rested
    ? wordSpan("back to here", "does", () => keep(api.without(group, false), "Taken back to there"))
    : wordSpan("take back", "does", () => takeBack(change));
  made.setAttribute("aria-label", `${made.textContent}: ${words}`);
  return made;
}

/** The list of them. */
export function showChanges() {
  const list = document.createElement("ul");
  list.className = "changes";
  [...page.state.changes].reverse().forEach((change, at) => {
    const line = document.createElement("li"), when = document.createElement("span"), cost = document.createElement("span");
    when.className = "when";
    when.textContent = at ? "before" : "just now";
    cost.className = "cost";
    cost.textContent = change.cost;
    const what = wordSpan(change.words, "follows", () => { show(shown === change ? null : change); if (change.blocks[0]) piece.keepInSight(change.blocks[0]); });
    what.setAttribute("aria-label", `${change.words}, ${change.cost}, show its place`);
    what.dataset.again = `change-${change.group}`;
    for (const [event, does] of /** @type {[string, boolean][]} */ ([["pointerenter", true], ["focus", true], ["pointerleave", false], ["blur", false]])) {
      what.addEventListener(event, () => show(does ? change : null));
    }
    line.append(when, what, cost, backWord(change));
    list.append(line);
  });
  if (page.state.earlier) {
    const line = document.createElement("li");
    line.className = "earlier";
    line.append(wordSpan(`${page.state.earlier} earlier ${page.state.earlier === 1 ? "change" : "changes"}`, "chosen", () => { closeInstead(false); openSlip("journal"); }));
    list.append(line);
  }
  list.hidden = !page.state.changes.length;
  return list;
}

piece.marks.push((context, { side, ratio }) => {
  if (!shown || !piece.state) return;
  const { width } = piece.state, has = new Set(shown.blocks.map(([x, y]) => y * width + x));
  outline(context, (x, y) => has.has(y * width + x), piece.inSight(), side);
  inkOnPaper(context, ratio);
});

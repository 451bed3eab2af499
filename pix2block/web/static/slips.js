// What opens under words that are no row of choices.

import { paragraph } from "./dom.js";
import { takeUp } from "./hand.js";
import { page } from "./page.js";

/** @param {HTMLElement} slip */
function fillYarns(slip) {
  slip.append(paragraph("Take up a yarn, then touch the piece: a touch works a block, drawing works more."));
  page.state.yarns.forEach((yarn, number) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "yarn";
    button.setAttribute("aria-pressed", String(number === page.inHand));
    const lozenge = document.createElement("span");
    lozenge.className = "lozenge";
    lozenge.style.background = yarn.color;
    const lack = yarn.lack > 0 ? `, ${Math.ceil(yarn.lack)} m short` : "";
    button.append(lozenge, `${yarn.name}: ${yarn.blocks} blocks, ${yarn.tails} tails, ${Math.round(yarn.metres)} m${lack}`);
    button.addEventListener("click", () => takeUp(number === page.inHand ? -1 : number));
    slip.append(button);
  });
}

/** @param {HTMLElement} slip */
function fillJournal(slip) {
  const list = document.createElement("ol");
  for (const line of page.state.journal.slice(-20)) {
    const item = document.createElement("li");
    item.textContent = line.words;
    list.append(item);
  }
  slip.append(page.state.journal.length ? list : "Take up a yarn and touch the piece: every change stands here, and can be taken back.");
}

/** What a slip shows besides its choices. @param {import("./api.js").Slip} slip @param {HTMLElement} place */
export function ownPart(slip, place) {
  if (slip.own === "yarns") fillYarns(place);
  else if (slip.own === "journal") fillJournal(place);
}

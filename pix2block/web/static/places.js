// States have addresses: #row-57, #yarns. Back closes what was opened, reload returns to it.

import { openBeside } from "./beside.js";
import { openBlock } from "./block.js";
import { closeInstead, insteadOf } from "./instead.js";
import { page, piece, START, whenPlaced } from "./page.js";
import { closeSlip, openSlip } from "./paragraph.js";
import { openRow } from "./row.js";
import { openStripe } from "./stripes.js";
import { openSubject } from "./subject.js";

/** @type {Map<string, () => void>} what opens the places that have a name of their own */
const named = new Map([["subject", openSubject], ["beside", openBeside], ["hand", () => closeInstead(false)]]);

/** @param {string} name @param {() => void} opens */
export const placeNamed = (name, opens) => { named.set(name, opens); };

let now = "", waits = false;
let returns = false; // on the way back from what was closed

/** What is open, as an address has it. */
function here() {
  if (document.body.classList.contains("starting")) return page.state ? START : "";
  const instead = insteadOf();
  if (instead === "block") return piece.cursor ? `block-${piece.cursor[0] + 1}-${piece.cursor[1] + 1}` : "";
  return instead || page.open;
}

/** The address of what is open; several changes at once are one. */
function follow() {
  if (waits || returns) return;
  waits = true;
  setTimeout(() => {
    waits = false;
    const place = here();
    if (place === now) return;
    const was = now, address = place ? `#${encodeURIComponent(place)}` : location.pathname;
    now = place;
    if (place && !was) history.pushState({ opened: true }, "", address);
    else if (!place && history.state?.opened) { returns = true; history.back(); }
    else history.replaceState(history.state, "", address);
  });
}

/** Open what the address says. */
export function goToAddress() {
  const place = decodeURIComponent(location.hash.slice(1));
  now = place;
  if (place === here() || !page.state) return;
  const row = /^row-(\d+)$/.exec(place), stripe = /^stripe-(\d+)$/.exec(place), block = /^block-(\d+)-(\d+)$/.exec(place), opens = named.get(place);
  if (!place || !(row || block || stripe || opens)) closeInstead(!place);
  if (!place) { if (page.open) closeSlip(); return; }
  if (row) openRow(Number(row[1]));
  else if (block) openBlock([Number(block[1]) - 1, Number(block[2]) - 1]);
  else if (stripe) openStripe(Number(stripe[1]) - 1);
  else if (opens) opens();
  else if (/^[\w:]+$/.test(place)) openSlip(place);
}

whenPlaced(follow);
addEventListener("popstate", () => {
  const own = returns && !location.hash; // nobody asked for it: what was opened meanwhile stays
  returns = false;
  if (own) follow();
  else goToAddress();
});
// The first three stops jump without an address.
for (const jump of document.querySelectorAll(".jump a")) {
  jump.addEventListener("click", (event) => {
    event.preventDefault();
    const name = jump.getAttribute("href")?.slice(1) ?? "", instead = insteadOf() && name === "paragraph" ? "instead" : name;
    document.getElementById(instead)?.focus();
  });
}

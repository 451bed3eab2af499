// The line under the piece: what is seen of it, from where, which way up, with whose eyes.

import { by, wordSpan } from "./dom.js";
import { piece, say, whenShown } from "./page.js";
import { openRow } from "./row.js";

const EYES = [
  ["normal", "in full colour", "as most eyes see it"], ["grey", "in grey", "light and dark alone"],
  ["protan", "with eyes that miss red", "protan"], ["deutan", "with eyes that miss green", "deutan"], ["tritan", "with eyes that miss blue", "tritan"],
];
const VERY_NEAR = 34; // pixels a block

const WHAT = { fabric: "the fabric", chart: "the chart", picture: "the picture" };
/** The views that V goes through. */
const VIEWS = [
  { what: "fabric", far: false, held: false }, { what: "chart", far: false, held: false }, { what: "picture", far: false, held: false },
  { what: "fabric", far: true, held: false }, { what: "fabric", far: false, held: true },
];

/** What there is to be seen: a piece without a picture has none. */
const things = () => Object.keys(WHAT).filter((what) => what !== "picture" || piece.state?.pictured);
const near = () => (piece.seen.far ? `at 3\u00a0m${piece.waits ? " …" : ""}` : piece.near > 1 ? "very near" : "from near");
const eyes = () => EYES.find(([name]) => name === piece.seen.eyes) ?? EYES[0];
const way = () => (piece.held ? "as held, start corner down" : piece.lying ? "lying on its side" : "as the picture lies");

/** @param {Partial<{what: string, eyes: string, far: boolean}>} seen */
function see(seen) {
  piece.seen = { ...piece.seen, ...seen };
  if (piece.seen.far) piece.whole();
  changed();
}

function changed() {
  piece.draw();
  showSeen();
  say(by("seen").textContent ?? "");
}

/** @param {boolean} held */
export function seeHeld(held) {
  piece.held = held;
  piece.whole();
  changed();
}

function nextThing() {
  const all = things();
  see({ what: all[(all.indexOf(piece.seen.what) + 1) % all.length], far: false });
}

function nextNear() {
  if (piece.seen.far) { see({ far: false }); return; }
  if (piece.near > 1) { piece.whole(); see({ far: true }); return; }
  piece.goNear(VERY_NEAR, piece.cursor);
  changed();
}

function nextEyes() {
  const at = EYES.findIndex(([name]) => name === piece.seen.eyes);
  see({ eyes: EYES[(at + 1) % EYES.length][0] });
}

/** The next of the views that are looked at most. */
export function nextView() {
  const all = VIEWS.filter(({ what }) => things().includes(what));
  const at = all.findIndex((view) => view.what === piece.seen.what && view.far === piece.seen.far && view.held === piece.held);
  const { what, far, held } = all[(at + 1) % all.length];
  piece.held = held;
  piece.whole();
  see({ what, far });
}

/** @param {string} words @param {string} name @param {string} what @param {() => void} does */
function word(words, name, what, does) {
  const span = wordSpan(words, "chosen", () => {
    does();
    if (name === "rows") return;
    const again = by("seen").querySelector(`[data-seen="${name}"]`);
    if (again instanceof HTMLElement) again.focus();
  });
  span.dataset.seen = name;
  span.setAttribute("aria-label", `${words}, ${what}`);
  return span;
}

let told = "";

/** Say anew what is seen, where it is another. */
export function showSeen() {
  if (!piece.state) return;
  const [, asSeen, whose] = eyes(), now = [WHAT[/** @type {"fabric"} */ (piece.seen.what)], near(), way(), asSeen];
  if (now.join() === told) return;
  told = now.join();
  by("seen").replaceChildren(
    "You see ", word(now[0], "what", "what is seen", nextThing), ", ", word(now[1], "near", "from where", nextNear), ", ",
    word(now[2], "way", "which way up", () => seeHeld(!piece.held)), ", ", word(now[3], "eyes", whose, nextEyes), ". Go through it ",
    word("row by row", "rows", "the sentence of each row", () => openRow(1)), ".",
  );
}

piece.drawn.push(showSeen);
whenShown(() => {
  if (!things().includes(piece.seen.what)) piece.seen = { ...piece.seen, what: "fabric" };
});

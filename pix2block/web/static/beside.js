// Two of a piece beside one another at one scale: as one was laid aside, and as it is now.

import * as api from "./api.js";
import { NO_BLOCK, blocksOf } from "./blocks.js";
import { border } from "./border.js";
import { by, deed, paragraph, wordSpan } from "./dom.js";
import { closeInstead, insteadOf, openInstead } from "./instead.js";
import { flatPicture } from "./layers.js";
import { edge, inkOnPaper, outline } from "./marks.js";
import { keep, page, piece, refresh, say, tell } from "./page.js";
import { Piece } from "./piece.js";

/** @typedef {import("./api.js").Aside} Aside @typedef {import("./api.js").PieceState} PieceState */

const other = new Piece(/** @type {HTMLCanvasElement} */ (by("laid-piece")));
other.marks.push((context, at) => edge(context, at, other));
other.under.push((context, at) => border(context, at, other));

/** @type {Aside[]} */
let laid = [];
/** @type {Aside|null} the one that is shown beside the piece */
let shown = null;
let outlined = true; // what differs

/** Keep the piece as it is as a picture, and show both. */
export async function layBeside() {
  try {
    laid = await api.layAside();
    const others = laid.filter((aside) => !isNow(aside));
    open(others[others.length - 1] ?? laid[laid.length - 1]);
    say(others.length ? "Two beside one another" : "Laid aside as it is: change something, and see both");
  } catch (error) { tell(error); }
}

/** Show what was laid aside last beside the piece. */
export async function openBeside() {
  try {
    laid = await api.aside();
    if (laid.length) open(laid[laid.length - 1]);
    else closeInstead(false);
  } catch (error) { tell(error); }
}

/** @param {Aside} aside */
const isNow = (aside) => aside.piece.blocks === page.state.blocks && wordsOf(aside.piece).join() === wordsOf(page.state).join();

/** How one is called that is seen beside the piece. @param {Aside} aside */
function nameOf(aside) {
  const { number, at } = aside;
  if (!number) return isNow(aside) ? "The same" : "Before the last change";
  return `Laid aside at ${new Date(at * 1000).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false })}`;
}

/** @param {PieceState} state what its words say */
const wordsOf = (state) => state.paragraph.flat().flatMap((part) => (typeof part === "string" ? [] : [part.text]));

/** @param {Aside} aside */
function open(aside) {
  shown = aside;
  piece.whole();
  openInstead({ name: "beside", fill, back: "Only this piece again", closed: close });
  document.body.classList.add("beside");
  by("laid").hidden = false;
  other.aside = aside.number;
  other.show(aside.piece);
  other.canvas.setAttribute("aria-label", `${aside.piece.title} as it was laid aside`);
  fitBoth();
  by("laid").scrollIntoView({ block: "nearest" });
}

function close() {
  document.body.classList.remove("beside");
  by("laid").hidden = true;
  by("laid-words").textContent = by("now-words").textContent = "";
  piece.most = other.most = Infinity;
  shown = null;
  piece.draw();
}

/** At one scale. */
function fitBoth() {
  if (!shown || !piece.state || !other.state) return;
  other.held = piece.held;
  piece.most = other.most = Math.min(piece.own(piece.state), other.own(other.state));
  piece.draw();
}

new ResizeObserver(fitBoth).observe(other.canvas);

/** How both differ: the words of the first that are otherwise in the second. @param {PieceState} was @param {PieceState} now */
function differences(was, now) {
  const of = (/** @type {PieceState} */ state) => new Map(state.paragraph.flat().flatMap((part) => (typeof part === "string" ? [] : [[part.word, part.word === "most_hanging" ? hang(part.text) : part.text]])));
  const before = of(was), after = of(now), names = [...new Set([...before.keys(), ...after.keys()])];
  return {
    other: names.filter((name) => before.get(name) !== after.get(name)).map((name) => [before.get(name) ?? "", after.get(name) ?? ""]),
    alike: names.filter((name) => before.get(name) === after.get(name) && name !== "title").map((name) => before.get(name) ?? ""),
  };
}

/** Yarns that hang, told apart from the piece's own. @param {string} yarns */
const hang = (yarns) => `${yarns} ${/^1\D/.test(yarns) ? "hangs" : "hang"} at once`;

/** Blocks that differ; null where the shapes do. @returns {Set<number>|null} */
function otherBlocks() {
  if (!shown || shown.piece.width !== page.state.width || shown.piece.height !== page.state.height) return null;
  const was = blocksOf(shown.piece.blocks), before = shown.piece.yarns, now = page.state.yarns, found = new Set();
  piece.blocks.forEach((yarn, at) => {
    if (yarn !== NO_BLOCK && (before[was[at]]?.name !== now[yarn]?.name || before[was[at]]?.color !== now[yarn]?.color)) found.add(at);
  });
  return found;
}

/** @param {HTMLElement} place */
function fill(place) {
  if (!shown) return;
  const { other: words, alike } = differences(shown.piece, page.state), blocks = otherBlocks();
  const first = paragraph(`Two of ${page.state.title}. `);
  first.className = "sentence";
  if (blocks === null) first.append("They are of another shape.");
  else if (blocks.size) first.append(`They differ in ${blocks.size} ${blocks.size === 1 ? "block" : "blocks"}, `, outlineWord(), " in the second.");
  else first.append(words.length ? "Their blocks are the same." : "Nothing differs: both are as the piece is now.");
  place.append(first);
  if (words.length || blocks?.size !== 0) place.append(paragraph(cost(shown.piece, page.state)));
  if (alike.length && words.length) place.append(paragraph(`Alike in both: ${alike.slice(0, 12).join(", ")}.`));
  caption(by("laid-words"), `${nameOf(shown)}: `, words.map(([was]) => was), shown.piece, false);
  if (shown.number) by("laid-words").append(deed("Go on with this one", () => { const { number } = shown ?? { number: 0 }; closeInstead(); keep(api.goOnWith(number), "Gone on with what lay aside"); }));
  caption(by("now-words"), "Now: ", words.map(([, now]) => now), page.state, true);
  const more = laid.filter((aside) => aside !== shown && !isNow(aside));
  if (more.length) place.append(paragraph("See beside it instead:"), also(more));
}

/** Whether what differs is outlined; touched, the other. */
function outlineWord() {
  const word = wordSpan(outlined ? "outlined" : "not outlined", "chosen", () => { outlined = !outlined; refresh(); piece.draw(); });
  word.dataset.again = "outlined";
  return word;
}

/** @param {HTMLElement} place @param {string} lead @param {string[]} words @param {PieceState} state @param {boolean} marked */
function caption(place, lead, words, state, marked) {
  const told = paragraph(""), strong = document.createElement("strong");
  strong.textContent = lead;
  told.append(strong);
  const said = words.filter(Boolean);
  (said.length ? said : [`${state.tails} tails`]).forEach((one, at) => {
    const word = document.createElement(marked && said.length ? "mark" : "span");
    word.textContent = one;
    told.append(at ? "; " : "", word);
  });
  told.append(".");
  place.replaceChildren(told);
}

/** What the second takes beside the first. @param {PieceState} was @param {PieceState} now */
function cost(was, now) {
  const said = [], tails = now.tails - was.tails, minutes = Math.round(now.minutes - was.minutes), hanging = now.hanging - was.hanging;
  const yarns = used(now) - used(was);
  said.push(tails ? `${Math.abs(tails)} ${Math.abs(tails) === 1 ? "tail" : "tails"} ${tails > 0 ? "more" : "fewer"}` : "As many tails");
  if (minutes) said.push(`${time(Math.abs(minutes))} ${minutes > 0 ? "more" : "less"} work`);
  if (yarns) said.push(`${Math.abs(yarns)} ${Math.abs(yarns) === 1 ? "yarn" : "yarns"} ${yarns > 0 ? "more" : "fewer"}`);
  if (hanging) said.push(`${Math.abs(hanging)} ${hanging > 0 ? "more" : "fewer"} that hang`);
  return `The second takes: ${said.join("; ").replace(/^As/, "as")}.`;
}

/** @param {PieceState} state */
const used = (state) => state.yarns.filter((yarn) => yarn.blocks).length;

/** @param {number} minutes */
const time = (minutes) => (minutes < 90 ? `${minutes} ${minutes === 1 ? "minute" : "minutes"}` : `${(minutes / 60).toFixed(1)} hours`);

/** Others that lie aside, small. @param {Aside[]} more */
function also(more) {
  const list = document.createElement("div");
  list.className = "also";
  for (const aside of more) {
    const button = document.createElement("button"), { piece: of } = aside;
    button.type = "button";
    button.className = "choice";
    button.append(flatPicture(blocksOf(of.blocks), of.width, of.height, of.yarns.map((yarn) => yarn.color)), `${nameOf(aside)}: ${of.tails} tails, ${used(of)} yarns`);
    button.addEventListener("click", () => open(aside));
    list.append(button);
  }
  return list;
}

// What is seen of one is seen of the other; blocks that differ are outlined in the second.
piece.drawn.push(() => {
  if (!shown || insteadOf() !== "beside") return;
  other.seen = piece.seen;
  other.held = piece.held;
  other.near = piece.near;
  other.middle = piece.middle;
  other.draw();
});
piece.marks.push((context, { side, ratio }) => {
  if (!shown || !outlined || insteadOf() !== "beside") return;
  const blocks = otherBlocks(), { width } = page.state;
  if (!blocks?.size) return;
  outline(context, (x, y) => blocks.has(y * width + x), piece.inSight(), side);
  inkOnPaper(context, ratio, 2, 1);
});

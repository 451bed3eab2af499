// The worktable: a piece, and a paragraph that describes it.

import * as api from "./api.js";
import "./away.js";
import { by, deed, paragraph } from "./dom.js";
import "./faults.js";
import "./find.js";
import "./hand.js";
import { closeInstead } from "./instead.js";
import "./jobs.js";
import "./keys.js";
import "./keytable.js";
import { keep, page, piece, show, START, takenBack, tell } from "./page.js";
import { followNews } from "./news.js";
import { closeSlip } from "./paragraph.js";
import { goToAddress, placeNamed } from "./places.js";
import { seeHeld } from "./seen.js";
import { askForPiece, makeOf } from "./start.js";
import "./strand.js";
import "./stripes.js";
import "./whole.js";

/** @typedef {import("./api.js").PieceState} PieceState */

document.addEventListener("keydown", (event) => {
  const field = event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement;
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || field || !page.state) return;
  event.preventDefault();
  if (event.shiftKey) { if (page.state.again) keep(api.again(), `Put again: ${page.state.again}`); return; }
  if (page.state.back) keep(api.back(), takenBack(page.state.back));
});

/**
 * Begin with a piece that is made or laid on the table.
 * @param {string} name @param {(onPart: (stage: PieceState) => void) => Promise<PieceState>} made @param {File|null} file
 */
function begin(name, made, file) {
  const starting = document.body.classList.contains("starting");
  by("fault").textContent = "";
  by("here").textContent = "";
  const before = page.state;
  closeInstead(false);
  if (page.open) closeSlip();
  document.body.classList.remove("starting");
  document.body.classList.add("becoming");
  const asked = [...by("paragraph").childNodes]; // what was asked stays filled in, should it fail
  by("paragraph").replaceChildren(paragraph(`${name} is being made ready.`));
  by("paragraph").inert = true;
  const picture = document.createElement("img");
  if (file) {
    picture.src = URL.createObjectURL(file);
    picture.alt = "The picture";
    picture.className = "picture";
    by("piece").before(picture);
  }
  const over = () => {
    document.body.classList.remove("becoming");
    by("paragraph").inert = false;
    picture.remove();
    URL.revokeObjectURL(picture.src);
  };
  made((stage) => { picture.remove(); show(stage); seeHeld(piece.held); }).then((now) => {
    over();
    page.open = "";
    show(now, `${now.title} is on the table`);
    seeHeld(piece.held);
  }).catch((error) => {
    over();
    if (starting) {
      document.body.classList.add("starting");
      by("paragraph").replaceChildren(...asked);
      by("which").focus();
    } else if (before) show(before);
    tell(error);
  });
}

/** A picture that is dropped on a piece: in this one's place, or a new piece. @param {File} file */
function askWhere(file) {
  const place = by("here"), told = paragraph(`${file.name}: `);
  told.append(
    deed("A new piece from it", () => makeOf(file, begin)), " ",
    deed("In this one's place", () => {
      place.textContent = "";
      const brought = api.ask(`/api/bring?${new URLSearchParams({ name: file.name })}`, file);
      keep(brought.then(({ name }) => api.choose("picture", name)), `${file.name} is the picture now`);
    }), " ", deed("Leave it", () => { place.textContent = ""; }),
  );
  place.replaceChildren(told);
  place.querySelector("button")?.focus();
}

document.addEventListener("dragover", (event) => event.preventDefault());
document.addEventListener("drop", (event) => {
  event.preventDefault();
  const file = event.dataTransfer?.files[0];
  if (!file || document.body.classList.contains("becoming")) return;
  if (page.state) askWhere(file);
  else makeOf(file, begin);
});

async function start() {
  const { pieces, open: laid } = await api.pieces();
  followNews();
  if (laid) { seeHeld(false); show(await api.piece()); goToAddress(); return; }
  ask(pieces);
}

/** @param {{name: string, title: string, row: number}[]} pieces */
function ask(pieces) {
  document.body.classList.add("starting");
  askForPiece(by("paragraph"), pieces, begin);
}

/** The first sentence again; the piece on the table is among those to go on with, and Back leads to it. */
placeNamed(START, () => {
  api.pieces().then(({ pieces }) => {
    closeInstead(false);
    if (page.open) closeSlip();
    ask(pieces);
  }).catch(tell);
});
addEventListener("popstate", () => {
  if (!page.state || location.hash === `#${START}` || !document.body.classList.contains("starting")) return;
  document.body.classList.remove("starting");
  show(page.state);
});

start().catch(tell);

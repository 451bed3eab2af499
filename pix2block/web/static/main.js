// The worktable: a piece, and a paragraph that describes it.

import * as api from "./api.js";
import "./away.js";
import { by, paragraph } from "./dom.js";
import "./hand.js";
import "./jobs.js";
import "./keys.js";
import { keep, page, piece, show, tell } from "./page.js";
import "./paragraph.js";
import { seeHeld } from "./seen.js";
import { askForPiece } from "./start.js";
import "./strand.js";
import "./whole.js";

/** @typedef {import("./api.js").PieceState} PieceState */

document.addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key === "z" && page.state?.back && !(event.target instanceof HTMLInputElement)) {
    event.preventDefault();
    keep(api.back(), "Taken back");
  }
});

/** Begin with a piece that is made or laid on the table. @param {Promise<PieceState>} made @param {File|null} file */
function begin(made, file) {
  by("fault").textContent = "";
  by("here").replaceChildren(paragraph(file ? "The picture becomes blocks, then yarns are chosen, then tails made fewer …" : "…"));
  if (file) {
    const picture = document.createElement("img");
    picture.src = URL.createObjectURL(file);
    picture.alt = "The picture";
    picture.className = "picture";
    by("here").append(picture);
  }
  made.then((now) => {
    by("here").textContent = "";
    document.body.classList.remove("starting");
    show(now);
    seeHeld(piece.held);
  }, (error) => {
    by("here").textContent = "";
    tell(error);
  });
}

async function start() {
  const { pieces, open: laid } = await api.pieces();
  if (laid) { seeHeld(false); show(await api.piece()); return; }
  document.body.classList.add("starting");
  askForPiece(by("paragraph"), pieces, begin);
}

start().catch(tell);

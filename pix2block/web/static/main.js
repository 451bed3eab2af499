// The worktable: a piece, and a paragraph that describes it.

import * as api from "./api.js";
import { NO_BLOCK, between, rowOf } from "./blocks.js";
import { Piece } from "./piece.js";
import { openChoices } from "./slip.js";
import { askForPiece } from "./start.js";

/** @typedef {import("./api.js").PieceState} PieceState @typedef {import("./api.js").Word} Word */

/** @param {string} id @returns {HTMLElement} */
const by = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
const canvas = /** @type {HTMLCanvasElement} */ (by("piece"));
const piece = new Piece(canvas);
/** @type {PieceState} */
let state;
let inHand = -1; // the yarn in hand, -1 for none
/** @type {[number, number]|null} the block worked last */
let lastBlock = null;
let open = ""; // the word that is open

/** Say something to who cannot see it. @param {string} words */
const say = (words) => { if (words) by("said").textContent = words; };

/** @param {unknown} error */
function tell(error) {
  if (!(error instanceof api.Fault)) throw error;
  by("fault").textContent = `${error.message} The piece is as it was.`;
  piece.worked.clear();
  piece.draw();
}

/** @param {PieceState} now @param {string} [words] what was done */
function show(now, words) {
  const before = state;
  state = now;
  by("fault").textContent = "";
  document.title = `${now.title}: worktable`;
  by("name").textContent = now.title;
  canvas.setAttribute("aria-label", `${now.title}, ${now.width} by ${now.height} blocks, ${now.yarns.length} yarns`);
  if (inHand >= now.yarns.length) inHand = -1;
  piece.show(now);
  showParagraph(before);
  showFoot();
  showAt();
  if (words) say(`${words}; ${now.tails} tails`);
}

/** @param {PieceState|undefined} before */
function showParagraph(before) {
  const was = new Map(before?.paragraph.flat().flatMap((part) => (typeof part === "string" ? [] : [[part.word, part.text]])));
  const place = by("paragraph");
  place.textContent = "";
  for (const sentence of state.paragraph) {
    const line = document.createElement("p");
    line.className = "sentence";
    for (const part of sentence) {
      line.append(typeof part === "string" ? part : wordOf(part, was.get(part.word)));
    }
    place.append(line);
    const opened = sentence.find((part) => typeof part !== "string" && part.word === open);
    if (opened && typeof opened !== "string") place.append(slipOf(opened));
  }
}

/** @param {Word} word @param {string|undefined} was what it said before */
function wordOf(word, was) {
  const element = document.createElement("span");
  element.className = `word ${word.kind}${was !== undefined && was !== word.text ? " changed" : ""}`;
  element.setAttribute("role", "button");
  element.tabIndex = 0;
  element.dataset.word = word.word;
  element.setAttribute("aria-expanded", String(open === word.word));
  element.setAttribute("aria-label", `${word.text}, ${word.what}`);
  element.textContent = word.text;
  const toggle = () => {
    open = open === word.word ? "" : word.word;
    piece.tryOn(null);
    showParagraph(state);
    if (!open) focusWord(word.word);
  };
  element.addEventListener("click", toggle);
  element.addEventListener("keydown", (event) => {
    if (event.key === "Enter" || event.key === " ") { event.preventDefault(); toggle(); }
    if (event.key === "ArrowRight" || event.key === "ArrowLeft") {
      event.preventDefault();
      const words = [...by("paragraph").querySelectorAll(".word")];
      const next = words[words.indexOf(element) + (event.key === "ArrowRight" ? 1 : -1)];
      if (next instanceof HTMLElement) next.focus();
    }
  });
  return element;
}

/** @param {string} name */
function focusWord(name) {
  const element = by("paragraph").querySelector(`[data-word="${CSS.escape(name)}"]`);
  if (element instanceof HTMLElement) element.focus();
}

/** What opens under the sentence of a word. @param {Word} word */
function slipOf(word) {
  const slip = document.createElement("div");
  slip.className = "slip";
  slip.setAttribute("role", "region");
  slip.setAttribute("aria-label", word.what);
  if (word.word === "title") fillTitle(slip);
  else if (word.word === "yarns") fillYarns(slip);
  else if (word.word === "journal") fillJournal(slip);
  else {
    openChoices(slip, word.word, word.what, {
      state: () => state,
      tryOn: (blocks, words) => { piece.tryOn(blocks); say(words); },
      keep: (made, words) => keep(made, `Kept: ${words}`),
      close: closeSlip,
    }).catch(tell);
  }
  const close = deed("Close", closeSlip);
  slip.addEventListener("keydown", (event) => { if (event.key === "Escape") { event.stopPropagation(); closeSlip(); } });
  const foot = document.createElement("p");
  foot.append(close);
  queueMicrotask(() => slip.after(foot));
  foot.className = "slip-foot";
  return slip;
}

function closeSlip() {
  const was = open;
  open = "";
  piece.tryOn(null);
  showParagraph(state);
  focusWord(was);
}

/** @param {Promise<PieceState>} made @param {string} words */
function keep(made, words) {
  made.then((now) => { show(now, words); if (open) focusWord(open); }).catch(tell);
}

/** @param {HTMLElement} slip */
function fillTitle(slip) {
  const field = document.createElement("input");
  field.value = state.title;
  field.setAttribute("aria-label", "The name of the piece");
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter") { const words = field.value; open = ""; keep(api.choose("title", words), `Named ${words}`); }
  });
  slip.classList.add("here");
  slip.append(field, " Enter keeps it.");
  queueMicrotask(() => field.focus());
}

/** @param {HTMLElement} slip */
function fillYarns(slip) {
  const told = document.createElement("p");
  told.textContent = "Take up a yarn, then touch the piece: a touch works a block, drawing works more.";
  slip.append(told);
  state.yarns.forEach((yarn, number) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "yarn";
    button.setAttribute("aria-pressed", String(number === inHand));
    const lozenge = document.createElement("span");
    lozenge.className = "lozenge";
    lozenge.style.background = yarn.color;
    const lack = yarn.lack > 0 ? `, ${Math.ceil(yarn.lack)} m short` : "";
    button.append(lozenge, `${yarn.name}: ${yarn.blocks} blocks, ${yarn.tails} tails, ${Math.round(yarn.metres)} m${lack}`);
    button.addEventListener("click", () => takeUp(number === inHand ? -1 : number));
    slip.append(button);
  });
}

/** @param {HTMLElement} slip */
function fillJournal(slip) {
  const list = document.createElement("ol");
  for (const line of state.journal.slice(-20)) {
    const item = document.createElement("li");
    item.textContent = line.words;
    list.append(item);
  }
  slip.append(state.journal.length ? list : "Take up a yarn and touch the piece: every change stands here, and can be taken back.");
}

/** @param {number} number */
function takeUp(number) {
  inHand = number;
  showParagraph(state);
  showAt();
  say(number < 0 ? "No yarn in hand" : `${state.yarns[number].name} in hand`);
}

/** @param {string} words @param {() => void} does */
function deed(words, does) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "deed";
  button.textContent = words;
  button.addEventListener("click", does);
  return button;
}

function showFoot() {
  const foot = by("foot");
  foot.textContent = "";
  if (state.back) foot.append(deed("Take back the last change", () => keep(api.back(), "Taken back")));
  foot.append(deed("Take away: every file", showFiles));
}

async function showFiles() {
  const place = by("here");
  place.textContent = "The files are being written …";
  try {
    const [{ folder }, files] = await Promise.all([api.settle(), api.files()]);
    place.textContent = "";
    const told = document.createElement("p");
    const all = document.createElement("a");
    all.href = "/files.zip";
    all.className = "deed";
    all.textContent = "All as one zip";
    told.append(`They are in the folder ${folder}. `, all);
    const list = document.createElement("ul");
    list.className = "files";
    for (const file of files) {
      const item = document.createElement("li"), link = document.createElement("a");
      link.href = `/files/${encodeURIComponent(file.name)}`;
      link.target = "_blank";
      link.rel = "noopener";
      link.textContent = file.name;
      item.append(link, ` ${file.purpose}`);
      list.append(item);
    }
    place.append(told, list, deed("Work from it beside the hook", openHookside), " ", deed("To a phone in this home", sendToPhone));
  } catch (error) { tell(error); }
}

/** The hookside page in a tab of its own, at an address where it keeps how far the piece is. */
async function openHookside() {
  const tab = window.open("", "_blank");
  try {
    const { link } = await api.hookside();
    if (tab) tab.location.href = `${link}hookside.html`;
    else location.href = `${link}hookside.html`;
  } catch (error) { tab?.close(); tell(error); }
}

async function sendToPhone() {
  const place = by("here");
  try {
    const { link, code } = await api.phone();
    place.textContent = "";
    const told = document.createElement("p"), address = document.createElement("a");
    address.href = link;
    address.textContent = link;
    told.append("Point the phone's camera here, in the same home network; it is open to whoever has this address, for an hour at most: ", address);
    const picture = document.createElement("img");
    picture.src = code;
    picture.alt = `QR code of ${link}`;
    picture.className = "code";
    place.append(told, picture, document.createElement("br"), deed("Stop sending", () => {
      api.stopPhone().then(() => { place.textContent = "Nothing is sent any more."; }).catch(tell);
    }));
  } catch (error) { tell(error); }
}

/** What the block at the cursor is, and what touching does. */
function showAt() {
  const at = piece.cursor;
  const hand = inHand >= 0 ? ` ${state.yarns[inHand].name} is in hand.` : "";
  if (!at || piece.yarnAt(at[0], at[1]) === NO_BLOCK) { by("at").textContent = hand.trim(); return; }
  by("at").textContent = `${blockWords(at)}.${hand}`;
}

/** @param {[number, number]} at */
function blockWords(at) {
  const yarn = state.yarns[piece.yarnAt(at[0], at[1])];
  return `${yarn.name}, column ${at[0] + 1}, line ${at[1] + 1}, row ${rowOf(state, at[0], at[1])}`;
}

/** @param {[number, number]} at */
async function openBlock(at) {
  const place = by("here"), number = rowOf(state, at[0], at[1]), yarn = piece.yarnAt(at[0], at[1]);
  try {
    const row = await api.row(number);
    place.textContent = "";
    const told = document.createElement("p");
    told.textContent = `This block is ${blockWords(at)}.`;
    place.append(told, deed(`Take up ${state.yarns[yarn].name}`, () => takeUp(yarn)));
    for (const line of row.lines) {
      const words = document.createElement("p");
      words.textContent = line;
      place.append(words);
    }
    place.append(deed("Back to the piece", () => { place.textContent = ""; }));
  } catch (error) { tell(error); }
}

/** @param {[number, number][]} blocks */
function work(blocks) {
  const yarn = state.yarns[inHand].name;
  /** @type {[string, string][]} */
  const mends = [];
  for (const [x, y] of blocks) {
    if (piece.blocks[y * state.width + x] !== inHand) mends.push(["paint", `column ${x + 1}, line ${y + 1}=${yarn}`]);
  }
  if (!mends.length) { piece.worked.clear(); piece.draw(); return; }
  keep(api.mend(mends), `${mends.length} ${mends.length === 1 ? "block" : "blocks"} ${yarn}`);
}

/** @type {[number, number][]|null} blocks of the stroke that is being drawn */
let stroke = null;

canvas.addEventListener("pointerdown", (event) => {
  const block = piece.blockAt(event);
  piece.cursor = block;
  showAt();
  piece.draw();
  if (!block) return;
  if (inHand < 0) { openBlock(block); return; }
  canvas.setPointerCapture(event.pointerId);
  stroke = [];
  extend(event.shiftKey && lastBlock ? between(lastBlock, block) : [block]);
});
canvas.addEventListener("pointermove", (event) => {
  const block = piece.blockAt(event);
  if (!stroke || !block) return;
  const last = stroke[stroke.length - 1];
  if (last[0] !== block[0] || last[1] !== block[1]) extend(between(last, block));
});
canvas.addEventListener("pointerup", () => {
  if (stroke) { work(stroke); lastBlock = stroke[stroke.length - 1]; }
  stroke = null;
});
canvas.addEventListener("pointercancel", () => { stroke = null; piece.worked.clear(); piece.draw(); });
canvas.addEventListener("wheel", (event) => {
  event.preventDefault();
  piece.zoom(event.deltaY < 0 ? 1.25 : 0.8, piece.blockAt(event));
}, { passive: false });

/** @param {[number, number][]} blocks */
function extend(blocks) {
  for (const [x, y] of blocks) {
    if (piece.yarnAt(x, y) === NO_BLOCK) continue;
    stroke?.push([x, y]);
    piece.work(x, y, inHand);
  }
}

canvas.addEventListener("focus", () => { piece.cursor ??= [0, 0]; piece.draw(); showAt(); });
canvas.addEventListener("blur", () => piece.draw());
canvas.addEventListener("keydown", (event) => {
  const at = piece.cursor ?? [0, 0];
  const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (step) {
    event.preventDefault();
    const x = Math.min(state.width - 1, Math.max(0, at[0] + step[0]));
    const y = Math.min(state.height - 1, Math.max(0, at[1] + step[1]));
    piece.cursor = [x, y];
    piece.draw();
    showAt();
    if (piece.yarnAt(x, y) !== NO_BLOCK) say(blockWords([x, y]));
  } else if (event.key >= "0" && event.key <= "9") {
    const number = Number(event.key) - 1;
    if (number < state.yarns.length) takeUp(number);
  } else if (event.key === " ") {
    event.preventDefault();
    if (inHand >= 0) { work(event.shiftKey && lastBlock ? between(lastBlock, at) : [at]); lastBlock = at; } else openBlock(at);
  } else if (event.key === "f" && inHand >= 0) {
    keep(api.mend([["fill", `column ${at[0] + 1}, line ${at[1] + 1}=${state.yarns[inHand].name}`]]), "The patch is filled");
  } else if (event.key === "e") {
    takeUp(piece.yarnAt(at[0], at[1]));
  } else if (event.key === "+" || event.key === "-") {
    piece.zoom(event.key === "+" ? 1.5 : 1 / 1.5, at);
  } else if (event.key === "v") {
    seeHeld(!piece.held);
  }
});
document.addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key === "z" && state?.back && !(event.target instanceof HTMLInputElement)) {
    event.preventDefault();
    keep(api.back(), "Taken back");
  }
  if (event.key === "Escape" && inHand >= 0) takeUp(-1);
});

/** @param {boolean} held */
function seeHeld(held) {
  piece.held = held;
  piece.draw();
  const line = by("seen");
  line.textContent = "You see the piece ";
  const word = document.createElement("span");
  word.className = "word chosen";
  word.setAttribute("role", "button");
  word.tabIndex = 0;
  word.textContent = held ? "as held, start corner down" : "as the picture lies";
  word.addEventListener("click", () => seeHeld(!piece.held));
  word.addEventListener("keydown", (event) => {
    if (event.key === "Enter" || event.key === " ") { event.preventDefault(); seeHeld(!piece.held); }
  });
  line.append(word, ".");
}

/** Begin with a piece that is made or laid on the table. @param {Promise<PieceState>} made @param {File|null} file */
function begin(made, file) {
  by("fault").textContent = "";
  const waiting = document.createElement("p");
  waiting.textContent = file ? "The picture becomes blocks, then yarns are chosen, then tails made fewer …" : "…";
  by("here").replaceChildren(waiting);
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

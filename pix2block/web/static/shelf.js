// A shelf brought to the piece: pasted from a spreadsheet, or read from a photo of skeins on white
// paper.

import * as api from "./api.js";
import { deed, paragraph } from "./dom.js";
import { tell } from "./page.js";

/** @typedef {(word: string, value: string, words: string) => void} Choose */
/** @typedef {{at: [number, number], name: string, row: HTMLElement}} Skein */

/** @param {HTMLElement} place @param {Choose} choose */
export function fillShelf(place, choose) {
  const label = document.createElement("label"), pasted = document.createElement("textarea");
  label.className = "field";
  pasted.rows = 4;
  pasted.spellcheck = false;
  label.append("Paste your yarns, as Chalk #efe8dd, Moss #5a6b3c; or cells of a spreadsheet, with a line of headings (name, color, …): ", pasted);
  const read = deed("Take these as my shelf", () => {
    pasted.focus(); // where a fault is told
    if (!pasted.value.trim()) return;
    const file = new File([pasted.value], "pasted.csv", { type: "text/csv" });
    api.bring(file).then(({ name }) => choose("shelf", name, "the pasted shelf")).catch(tell);
  });
  const photo = document.createElement("label"), input = document.createElement("input");
  photo.className = "field";
  input.type = "file";
  input.accept = "image/*,.heic,.heif";
  photo.append("Or a photo of the skeins on white paper, in daylight: ", input);
  const below = document.createElement("div");
  input.addEventListener("change", () => {
    const file = input.files?.[0];
    if (file) openPhoto(below, file, choose).catch(tell);
  });
  place.append(label, read, photo, below);
}

/** @param {HTMLElement} place @param {File} file @param {Choose} choose */
async function openPhoto(place, file, choose) {
  const { name } = await api.bring(file);
  const picture = document.createElement("img"), frame = document.createElement("div");
  picture.src = URL.createObjectURL(file);
  picture.alt = "The photo: touch the white paper, then each skein";
  frame.className = "photo";
  frame.tabIndex = 0;
  frame.setAttribute("role", "application");
  frame.setAttribute("aria-label", "The photo; arrows move the mark, Enter touches");
  const what = paragraph("Touch the white paper, beside a skein."), list = document.createElement("div");
  const mark = document.createElement("span");
  mark.className = "touch";
  frame.append(picture, mark);
  /** @type {[number, number][]} */
  const paper = [];
  /** @type {Skein[]} */
  const skeins = [];
  let onPaper = true;
  /** @type {[number, number]} */
  let at = [0.5, 0.5];
  const move = () => { mark.style.left = `${100 * at[0]}%`; mark.style.top = `${100 * at[1]}%`; };
  move();
  const asked = () => ({ file: name, paper, skeins: skeins.map((one) => ({ name: one.name, at: one.at })) });
  const look = () => (skeins.length ? api.photo({ ...asked(), keep: false }).then(({ yarns }) => {
    yarns.forEach((yarn, i) => {
      const [lozenge, doubt] = /** @type {HTMLElement[]} */ ([skeins[i].row.children[0], skeins[i].row.children[2]]);
      lozenge.style.background = yarn.color;
      doubt.textContent = yarn.doubt ? `uncertain: ${yarn.doubt}` : yarn.color;
    });
  }).catch(tell) : undefined);
  const touch = () => {
    const dot = document.createElement("span");
    dot.className = `touched${onPaper ? " paper" : ""}`;
    dot.style.left = mark.style.left;
    dot.style.top = mark.style.top;
    dot.textContent = onPaper ? "paper" : String(skeins.length + 1);
    frame.append(dot);
    if (onPaper) {
      paper.push([...at]);
      onPaper = false;
      what.textContent = "Now touch each skein, and name it.";
      look();
      return;
    }
    const row = document.createElement("p"), lozenge = document.createElement("span"), field = document.createElement("input"), doubt = document.createElement("span");
    lozenge.className = "lozenge";
    const skein = { at: /** @type {[number, number]} */ ([...at]), name: `Yarn ${skeins.length + 1}`, row };
    field.value = skein.name;
    field.setAttribute("aria-label", `Name of yarn ${skeins.length + 1}`);
    field.addEventListener("input", () => { skein.name = field.value; });
    row.className = "skein field";
    row.append(lozenge, field, doubt);
    list.append(row);
    skeins.push(skein);
    look();
    field.select();
  };
  frame.addEventListener("pointerdown", (event) => {
    const box = picture.getBoundingClientRect();
    at = [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
    if (Math.min(...at) < 0 || Math.max(...at) > 1) return;
    event.preventDefault();
    move();
    touch();
  });
  frame.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (step) at = [Math.min(1, Math.max(0, at[0] + step[0] * 0.02)), Math.min(1, Math.max(0, at[1] + step[1] * 0.02))];
    else if (event.key !== "Enter") return;
    event.preventDefault();
    move();
    if (!step) touch();
  });
  const again = deed("Touch the paper once more", () => { onPaper = true; what.textContent = "Touch the white paper, beside another skein."; frame.focus(); });
  const keep = deed("Take these as my shelf", () => {
    if (!skeins.length) { frame.focus(); return; }
    api.photo({ ...asked(), keep: true }).then(({ shelf }) => choose("shelf", shelf, "the shelf of the photo")).catch(tell);
  });
  place.replaceChildren(what, frame, list, again, " ", keep);
  frame.focus();
}

// Long work, told at its word: what is counted, how far it is, the best so far, "Stop".

import * as api from "./api.js";
import { deed, paragraph } from "./dom.js";
import { putAt, say, tell, whenPlaced } from "./page.js";

/** @typedef {import("./api.js").Work} Work */

const DOTS = 100, SENTENCE = 1000; // milliseconds until figures show …, and until a sentence stands
const LOZENGES = 18;

/** @type {Map<number, {work: Work, since: number, element: HTMLElement|null, half: boolean}>} */
const going = new Map();

/** @param {Work} work */
function heard(work) {
  if (work.state !== "working") {
    const was = going.get(work.job);
    was?.element?.remove();
    if (was?.element && work.state === "done" && work.lane === "keep") say("Done");
    going.delete(work.job);
    dots();
    return;
  }
  if (work.lane !== "keep" && !work.said) return; // its places fill by themselves
  const known = going.get(work.job) ?? { work, since: performance.now(), element: null, half: false };
  known.work = work;
  going.set(work.job, known);
  dots();
  if (performance.now() - known.since < SENTENCE) return;
  if (!known.element) {
    known.element = place();
    putAt(work.about, known.element);
    if (work.lane === "keep") say(work.said || "Working on it");
  }
  if (!known.half && work.of && work.done * 2 >= work.of) {
    known.half = true;
    if (work.lane === "keep") say(work.said);
  }
  fill(known.element, work);
}

/** Figures that will change show … in their width. */
function dots() {
  const changing = [...going.values()].some(({ work, since }) => work.lane === "keep" && performance.now() - since >= DOTS);
  document.body.classList.toggle("changing", changing);
}

function place() {
  const made = document.createElement("div");
  made.className = "work";
  return made;
}

/** @param {HTMLElement} element @param {Work} work */
function fill(element, work) {
  if (!element.childElementCount) {
    const lozenges = document.createElement("p");
    lozenges.className = "lozenges";
    lozenges.setAttribute("aria-hidden", "true");
    for (let i = 0; i < LOZENGES; i++) lozenges.append(document.createElement("span"));
    const deeds = document.createElement("p");
    element.append(lozenges, paragraph(""), deeds);
  }
  const [lozenges, said, deeds] = /** @type {HTMLElement[]} */ ([...element.children]);
  const filled = work.of ? Math.floor((work.done / work.of) * LOZENGES) : 0;
  lozenges.hidden = !work.of;
  [...lozenges.children].forEach((one, i) => one.classList.toggle("filled", i < filled));
  const best = work.best ? ` Best so far: ${work.best}.` : "";
  said.textContent = `${work.said ? `${capital(work.said)}.` : "This takes a moment."}${best}${work.about === "picture" ? "" : " Go on with anything else meanwhile."}`;
  const words = work.best ? [`Stop, and take ${work.best.split(",")[0]}`, "Stop"] : ["Stop"];
  if (deeds.textContent === words.join("")) return;
  deeds.replaceChildren(...words.map((one) => deed(one, () => { api.stop(work.job, one !== "Stop").catch(tell); })));
}

/** @param {string} words */
const capital = (words) => words[0].toUpperCase() + words.slice(1);

api.whenWorking(heard);
whenPlaced(() => {
  for (const { work, element } of going.values()) if (element) putAt(work.about, element);
});

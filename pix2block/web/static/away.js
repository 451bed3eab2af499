// The deeds at the foot: take back, lay beside, take away; and what is taken away.

import * as api from "./api.js";
import { layBeside } from "./beside.js";
import { by, deed, paragraph, wordSpan } from "./dom.js";
import { insteadDeeds, insteadOf, openInstead } from "./instead.js";
import { keep, page, refresh, say, takenBack, tell, whenShown } from "./page.js";
import { placeNamed } from "./places.js";

const LONGEST = 28; // characters of what a deed takes back

function showFoot() {
  const { back, again } = page.state, foot = by("foot");
  foot.replaceChildren(...insteadDeeds());
  foot.classList.toggle("inside", insteadOf() !== "");
  if (back) foot.append(deed(`Take back: ${short(back)}`, () => keep(api.back(), takenBack(back)), "Take back"));
  else if (again) foot.append(nothingToTakeBack());
  if (again) foot.append(deed(`Put again: ${short(again)}`, () => keep(api.again(), `Put again: ${again}`), "Put again"));
  if (insteadOf() === "hand") return;
  if (insteadOf() !== "beside") foot.append(deed(back ? "Lay beside: before and now" : "Lay beside", layBeside, "Beside"));
  if (insteadOf() !== "files") foot.append(deed("Pattern and files", openFiles, "Pattern"));
}

/** Keeps the place, so that what is put again does not come where what takes back just was. */
function nothingToTakeBack() {
  const place = document.createElement("span");
  place.className = "deed place";
  return place;
}

/** @param {string} words */
const short = (words) => (words.length > LONGEST ? `${words.slice(0, LONGEST).replace(/\s+\S*$/, "")} …` : words);

/** job: that writes the files, 0 for none; ended: whether it was stopped; all: whether every file is listed. @type {{files: api.Files|null, of: number, sent: {link: string, code: string}|null, job: number, ended: boolean, all: boolean}} */
const away = { files: null, of: -1, sent: null, job: 0, ended: false, all: false };

function openFiles() {
  away.of = -1;
  openInstead({ name: "files", fill, closed: () => { away.files = null; } });
}

/** The files' lines at once, then what is not written yet is written. */
function ask() {
  const { version } = page.state;
  away.of = version;
  away.ended = false;
  /** @param {api.Files} files */
  const told = (files) => {
    if (page.state.version !== version || insteadOf() !== "files") return;
    away.files = files;
    refresh();
  };
  api.files().then((files) => {
    told(files);
    if (files.files.every(({ written }) => written)) return;
    api.settle().then((settled) => { told(settled); say("Every file is written"); }, (error) => {
      if (error instanceof api.Stopped && away.of === version) { away.ended = true; refresh(); say("Writing is stopped"); }
      tell(error);
    });
  }, tell);
}

api.whenWorking(({ job, about, state }) => {
  if (about !== "files" || (state === "working") === (away.job === job)) return;
  away.job = state === "working" ? job : 0;
  if (insteadOf() === "files") refresh();
});

/** @param {HTMLElement} place */
function fill(place) {
  if (away.of !== page.state.version) { away.files = null; ask(); }
  const { files } = away, told = paragraph("");
  told.className = "sentence";
  const waits = !files || files.files.some(({ written }) => !written);
  told.append(files ? `${page.state.title} lies in the folder ${files.folder}. ` : "…", !waits ? "Every file is written." : away.ended ? "What is not written yet waits. " : "What is not written yet is being written. ");
  const does = waits && away.ended ? wordSpan("Write it", "does", () => { ask(); refresh(); }) : waits && away.job ? wordSpan("Stop", "does", () => { api.stop(away.job, false).catch(tell); }) : null;
  if (does) { does.dataset.again = "writing"; told.append(does); }
  const deeds = document.createElement("p");
  deeds.className = "deeds";
  deeds.append(link("/files.zip", "All as one zip"), deed("Work from it beside the hook", openHookside), deed("To a phone in this home", sendToPhone));
  place.append(told, deeds);
  for (const note of files?.notes ?? []) place.append(paragraph(note));
  if (away.sent) place.append(sent(away.sent));
  if (!files) return;
  const rest = document.createElement("details"), leads = document.createElement("summary"), others = files.files.filter(({ first }) => !first);
  leads.textContent = `${others.length} more, for spreadsheets, printers and programs`;
  rest.open = away.all;
  rest.addEventListener("toggle", () => { away.all = rest.open; });
  rest.append(leads, lines(others));
  place.append(lines(files.files.filter(({ first }) => first)), rest);
}

/** @param {string} address @param {string} words */
function link(address, words) {
  const made = document.createElement("a");
  made.href = address;
  made.className = "deed";
  made.textContent = words;
  return made;
}

/** Files as a line each with what it is for. @param {api.Files["files"]} files */
function lines(files) {
  const list = document.createElement("ul");
  list.className = "files";
  for (const { name, purpose, written } of files) {
    const item = document.createElement("li"), opens = document.createElement("a"), what = document.createElement("span");
    opens.href = `/files/${encodeURIComponent(name)}`;
    opens.target = "_blank";
    opens.rel = "noopener";
    opens.textContent = name;
    what.textContent = `${purpose.replace(/[{}]/g, "")}${written ? "" : " (not written yet)"}`;
    item.append(opens, " ", what);
    list.append(item);
  }
  return list;
}

/** The hookside page in a tab of its own, at an address where it keeps how far the piece is. */
async function openHookside() {
  const tab = window.open("", "_blank");
  try {
    const { link: at } = await api.hookside();
    if (tab) tab.location.href = `${at}hookside.html`;
    else location.href = `${at}hookside.html`;
  } catch (error) { tab?.close(); tell(error); }
}

function sendToPhone() {
  api.phone().then((told) => { away.sent = told; refresh(); say("The address for the phone stands here"); }, tell);
}

/** @param {{link: string, code: string}} to */
function sent(to) {
  const place = document.createElement("div"), told = paragraph(""), address = document.createElement("a"), picture = document.createElement("img");
  address.href = to.link;
  address.textContent = to.link;
  told.append("Point the phone's camera here, in the same home network; it is open to whoever has this address, for an hour at most: ", address);
  picture.src = to.code;
  picture.alt = `QR code of ${to.link}`;
  picture.className = "code";
  place.append(told, picture, deed("Stop sending", () => {
    api.stopPhone().then(() => { away.sent = null; refresh(); say("Nothing is sent any more"); }, tell);
  }));
  return place;
}

whenShown(showFoot);
placeNamed("files", openFiles);

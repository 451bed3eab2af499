// Puts the page together: touches, keys, the screen that stays awake, the voice.

import { Pause } from "./pause.js";
import { Piece } from "./piece.js";
import { Progress } from "./progress.js";
import { Screen, byId } from "./screen.js";
import { Voice } from "./voice.js";
import { Words } from "./words.js";

const TWICE = 250; // milliseconds within which a second touch is not meant
const REST = 1200; // milliseconds a voice rests between runs
const AWAY = 3600; // seconds after which an evening is another one

function storage() {
  try { return window.localStorage; } catch (error) { return null; }
}

export function start() {
  const piece = new Piece(JSON.parse(byId("piece-data").textContent || "{}"));
  const progress = new Progress(piece, storage()), words = new Words(piece);
  const screen = new Screen(piece, progress, words), voice = new Voice(piece.terms);
  let last = 0, since = Date.now(), aloud = false;
  const pause = new Pause(piece, progress, words, () => show(true));

  /** @param {boolean} tell */
  function show(tell) {
    screen.show(pause.tonight);
    if (!byId("pause").hidden) pause.show();
    if (tell && !progress.finished) {
      const { row, step } = progress.place, now = piece.stepsOf(row)[step];
      const text = `${step === 0 ? `Row ${row}, ${words.side(row)}. ` : ""}${words.line(now, row)}`;
      screen.tell(text);
      if (aloud) voice.read([words.heard(now, row)]);
    } else if (tell) screen.tell("The piece is made.");
  }

  function meant() {
    const now = performance.now(), twice = now - last < TWICE;
    if (!twice) last = now;
    return !twice;
  }

  function forward() {
    if (!meant() || progress.finished) return;
    const now = Date.now(), seconds = (now - since) / 1000, evening = pause.tonight;
    since = now;
    if (seconds > AWAY) Object.assign(progress.evening, { from: progress.place.row, minutes: 0 });
    const { row } = progress.place;
    progress.forward(seconds > AWAY ? 0 : seconds);
    show(true);
    if (progress.place.row > row && (row >= evening || progress.finished)) open();
  }

  function back() {
    if (meant() && progress.back()) show(true);
  }

  let pushed = false; // whether going back in the browser leads from the pause to the work

  function open() {
    if (location.hash === "#pause") return;
    pushed = true;
    location.hash = "#pause";
  }

  function route() {
    const resting = location.hash === "#pause";
    byId("pause").hidden = !resting;
    byId("work").hidden = resting;
    since = Date.now();
    show(false);
    if (resting) {
      byId("stands").focus();
      scrollTo(0, 0);
    } else pushed = false;
  }

  /** @param {string} hash in place of the one of now */
  function change(hash) {
    history.replaceState(null, "", hash);
    route();
  }

  function goOn() {
    if (pushed) history.back();
    else change("#work");
  }

  byId("go").addEventListener("click", forward);
  for (const id of ["back", "back-too"]) byId(id).addEventListener("click", back);
  byId("tonight").addEventListener("click", open);
  byId("on").addEventListener("click", goOn);
  byId("read-row").addEventListener("click", () => read(words.heardRow(Math.min(progress.place.row, piece.last)), REST));
  byId("hush").addEventListener("click", () => voice.stop());
  byId("aloud").addEventListener("change", (event) => {
    aloud = /** @type {HTMLInputElement} */ (event.target).checked;
    if (aloud && !progress.finished) read([words.heard(piece.stepsOf(progress.place.row)[progress.place.step], progress.place.row)], 0);
    else voice.stop();
  });
  for (const [id, byRow] of /** @type {[string, boolean][]} */ ([["by-run", false], ["by-row", true]])) {
    byId(id).addEventListener("change", () => { progress.byRow = byRow; progress.keep(); show(false); });
  }
  byId("hours").addEventListener("change", (event) => {
    const hours = Number(/** @type {HTMLInputElement} */ (event.target).value.replace(",", "."));
    if (hours > 0 && hours <= 24) progress.evening.hours = hours;
    progress.keep();
    show(false);
  });
  byId("new-evening").addEventListener("click", () => {
    Object.assign(progress.evening, { from: Math.min(progress.place.row, piece.last), minutes: 0 });
    progress.keep();
    show(false);
  });
  byId("rip-now").addEventListener("click", () => pause.ripOne());
  byId("count").addEventListener("input", (event) => {
    byId("count-says").textContent = pause.counted(/** @type {HTMLInputElement} */ (event.target).value);
  });
  byId("save-file").addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(progress.written)], { type: "application/json" }));
    link.download = `${piece.title.replace(/[^\p{L}\p{N}]+/gu, "_")}_row_${progress.place.row}.json`;
    link.click();
    URL.revokeObjectURL(link.href);
  });
  const moved = (/** @type {() => void} */ take) => {
    try {
      take();
      byId("moved").textContent = progress.finished ? "Taken over: the piece is made." : `Taken over: row ${progress.place.row} comes next.`;
      show(false);
    } catch (error) { byId("moved").textContent = error instanceof SyntaxError ? "This is no file of a hookside page." : /** @type {Error} */ (error).message; }
  };
  byId("from-code").addEventListener("submit", (event) => {
    event.preventDefault();
    moved(() => { pause.known = progress.takeCode(/** @type {HTMLInputElement} */ (byId("their-code")).value); });
  });
  byId("their-file").addEventListener("change", async (event) => {
    const [file] = /** @type {HTMLInputElement} */ (event.target).files || [];
    if (!file) return;
    const text = await file.text();
    moved(() => progress.take(JSON.parse(text)));
  });

  /** @param {string[]} sentences @param {number} rest */
  function read(sentences, rest) {
    byId("voice-says").textContent = voice.read(sentences, rest) ? "" : "This device has no voice of its own for this browser, and others would send the words away: install one in the device's settings under speech.";
  }

  document.addEventListener("keydown", (event) => {
    const target = /** @type {HTMLElement} */ (event.target);
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat) return;
    if (target.closest("input, textarea, summary") || !byId("pause").hidden) return;
    const onButton = target.closest("button");
    const on = ["PageDown", "ArrowRight", "ArrowDown"].includes(event.key) || (!onButton && [" ", "Enter"].includes(event.key));
    const off = ["PageUp", "ArrowLeft", "ArrowUp", "Backspace"].includes(event.key);
    if (!on && !off) return;
    event.preventDefault();
    if (on) forward(); else back();
  });

  // The screen stays awake where the browser allows it; else a line says how.
  /** @type {any} */ let lock = null;
  async function stayAwake() {
    const how = "This browser lets the screen go dark: set the display's sleep longer in the device's settings while you work.";
    try {
      if (document.visibilityState !== "visible" || lock) return;
      lock = await /** @type {any} */ (navigator).wakeLock.request("screen");
      lock.addEventListener("release", () => { lock = null; });
      byId("awake").textContent = "The screen stays awake.";
    } catch (error) { byId("awake").textContent = how; }
  }
  document.addEventListener("visibilitychange", stayAwake);
  document.addEventListener("click", stayAwake, { once: true });
  stayAwake();

  window.addEventListener("hashchange", route);
  window.addEventListener("resize", () => screen.draw());
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => screen.draw());
  if (progress.changedMade.length + progress.changedAhead.length) change("#pause");
  else route();
}

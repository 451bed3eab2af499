// A word that is open: what is now, its choices as small pictures of this very piece with what
// they cost, a field, its neighbours.

import * as api from "./api.js";
import { LYING, drawChoice, drawCutOuts } from "./cutout.js";
import { deed, paragraph, wordSpan } from "./dom.js";
import { keep, page, say, tell } from "./page.js";
import { pointerMoved, tryOn } from "./tried.js";

/**
 * @typedef {import("./api.js").Slip} Slip @typedef {import("./api.js").Place} Place
 * @typedef {import("./api.js").Filled} Filled
 * @typedef {{place: Place, element: HTMLButtonElement, filled: Filled|null}} Choice
 */

const AS_IT_IS = "as it is"; // what is now, where it has no other name

let openings = 0;
let filling = 0; // slips whose choices are being worked out

/** Choices of a slip that is not open any more are not wanted. */
export function endFilling() {
  if (filling) api.fill("", [], () => {}).catch(tell);
}

/** A slip while its word is open. */
export class OpenSlip {
  /**
   * @param {string} word @param {(slip: Slip, place: HTMLElement, way: {open: (word: string) => void, choose: (word: string, value: string, words: string) => void}) => void} own what the page shows besides
   * @param {{open: (word: string) => void, close: () => void, back: (() => void)|null, backWords: string}} way
   */
  constructor(word, own, way) {
    this.word = word;
    this.own = own;
    this.way = way;
    this.opening = this.newOpening();
    /** @type {string|null} what was when the word was opened */
    this.was = null;
    this.wasWords = "";
    this.kept = false;
    this.did = ""; // what a mend did, with its warnings
    /** @type {Filled|null} what the pointer lets be tried on */
    this.under = null;
    /** @type {Choice[]} */
    this.choices = [];
    /** @type {Map<string, Filled>} */
    this.known = new Map();
    this.element = document.createElement("div");
    this.element.className = "slip";
    this.element.setAttribute("role", "region");
    this.element.id = "slip";
    this.body = document.createElement("div");
    this.foot = document.createElement("p");
    this.foot.className = "slip-foot";
    this.element.append(this.body, this.foot);
    this.element.addEventListener("keydown", (event) => this.onKey(event));
    this.fillFoot();
  }

  newOpening() { return `${this.word} ${Date.now()} ${openings++}`; }

  /** Ask what the slip holds, and show it. @param {boolean} focus whether what is now takes the focus */
  async load(focus) {
    const slip = await api.slip(this.word);
    const held = document.activeElement, hadFocus = this.element.contains(held);
    const at = this.choices.findIndex(({ element }) => element === held);
    this.slip = slip;
    this.element.setAttribute("aria-label", slip.what);
    this.body.replaceChildren();
    if (slip.help) this.body.append(paragraph(slip.help));
    for (const field of slip.fields) this.body.append(this.fieldOf(field, slip));
    this.showPlaces(slip);
    if (slip.verb && !slip.fields.length && !slip.places.length) this.body.append(deed(slip.does, () => this.mend("")));
    if (slip.verb && slip.form) this.body.append(deed(slip.does, () => this.mend(this.formed(slip.form))));
    if (this.did) this.body.append(this.didWords(slip));
    this.own(slip, this.body, { open: this.way.open, choose: (to, value, words) => this.choose(to, value, words) });
    for (const sentence of slip.beside) {
      const line = this.sentence(sentence);
      line.classList.toggle("heads", sentence.length === 1 && typeof sentence[0] === "string");
      this.body.append(line);
    }
    this.fillFoot();
    const again = at >= 0 ? this.choices[at]?.element : null;
    if (focus || hadFocus) (again ?? this.firstFocus())?.focus({ preventScroll: !focus });
    if (slip.pictured) this.fill(slip).catch(tell);
    else endFilling();
  }

  /** @returns {HTMLElement|null} */
  firstFocus() {
    const now = this.choices.find(({ place }) => place.now) ?? this.choices[0];
    return now?.element ?? this.body.querySelector("input, button, [tabindex]") ?? this.foot.querySelector("button");
  }

  /** @param {Slip} slip */
  showPlaces(slip) {
    this.choices = [];
    this.under = null;
    if (!slip.places.length) return;
    const list = document.createElement("div");
    list.className = `choices${slip.pictured ? " pictured" : ""}`;
    list.setAttribute("role", "radiogroup");
    list.setAttribute("aria-label", slip.what);
    const now = slip.places.find((place) => place.now);
    if (this.was === null && now) { this.was = keyOf(slip, now); this.wasWords = now.words === AS_IT_IS ? "" : now.words; }
    for (const place of slip.places) {
      const choice = { place, element: document.createElement("button"), filled: this.known.get(keyOf(slip, place)) ?? null };
      this.choices.push(choice);
      this.showChoice(slip, choice);
      list.append(choice.element);
    }
    this.choices.forEach((choice, i) => this.listen(slip, choice, i));
    this.body.append(list);
  }

  /** @param {Slip} slip @param {Choice} choice */
  showChoice(slip, choice) {
    const { place, element, filled } = choice;
    element.type = "button";
    element.className = "choice";
    element.setAttribute("role", "radio");
    element.setAttribute("aria-checked", String(place.now));
    const was = this.was !== null && keyOf(slip, place) === this.was;
    element.classList.toggle("was", was && !place.now);
    element.replaceChildren();
    if (slip.pictured) element.append(drawChoice(place.now ? page.state : filled));
    const words = document.createElement("b");
    const seen = place.now ? page.state : filled;
    words.textContent = slip.word === "calm" && seen && !filled?.faults ? `${seen.tails} tails, ${place.words}` : place.words;
    const cost = document.createElement("span");
    cost.className = "cost";
    cost.textContent = place.now ? "now" : [was ? "as it was" : "", told(slip, filled)].filter(Boolean).join("; ");
    element.append(words, " ", cost);
    const faults = filled?.faults;
    element.toggleAttribute("aria-disabled", Boolean(faults));
  }

  /** @param {Slip} slip @param {Choice} choice @param {number} i */
  listen(slip, choice, i) {
    const { place, element } = choice;
    const seen = () => (place.now ? null : choice.filled);
    element.tabIndex = place.now || (i === 0 && !this.choices.some((one) => one.place.now)) ? 0 : -1;
    element.addEventListener("click", () => this.choose(place.word || slip.word, place.value, place.words, place.now));
    element.addEventListener("focus", () => { tryOn(seen()); say(place.now ? `${place.words}, as it is` : `${place.words}: ${told(slip, choice.filled)}; Enter keeps`); });
    element.addEventListener("pointermove", () => {
      if (!pointerMoved() || this.under === choice.filled) return;
      this.under = choice.filled;
      tryOn(seen());
    });
    element.addEventListener("pointerleave", () => { if (this.under) tryOn(null); this.under = null; });
    element.addEventListener("blur", () => tryOn(null));
    element.addEventListener("keydown", (event) => {
      const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
      if (!step) return;
      event.preventDefault();
      this.choices[(i + step + this.choices.length) % this.choices.length].element.focus();
    });
  }

  /** Work the choices out, the nearest to now first. @param {Slip} slip */
  async fill(slip) {
    const now = Math.max(0, this.choices.findIndex(({ place }) => place.now));
    const order = this.choices.map((choice, i) => ({ choice, far: Math.abs(i - now) }))
      .filter(({ choice }) => !choice.place.now).sort((a, b) => a.far - b.far).map(({ choice }) => choice);
    const asked = order.map(({ place }) => [place.word || slip.word, place.value]);
    if (asked.length) {
      const { version } = page.state;
      filling++;
      await api.fill(this.word, asked, (part) => {
        const choice = order[part.choice];
        part.of = version;
        this.known.set(keyOf(slip, choice.place), part);
        choice.filled = part;
        if (this.slip === slip) this.showChoice(slip, choice);
      }).finally(() => { filling--; });
    }
    if (this.slip !== slip) return;
    const lying = page.state.height > LYING * page.state.width;
    this.body.querySelector(".choices")?.classList.toggle("lying", lying);
    drawCutOuts(this.choices.map(({ element, place, filled }) => ({ canvas: element.querySelector("canvas"), seen: place.now ? page.state : filled })));
    const same = this.choices.every(({ place, filled }) => place.now || !filled || filled.faults || looksAlike(filled));
    this.body.querySelector(".choices")?.classList.toggle("alike", same);
  }

  /** @param {string} word @param {string|string[]|null} value @param {string} words @param {boolean} [now] */
  choose(word, value, words, now = false) {
    if (now) return;
    tryOn(null);
    keep(api.choose(word, value, this.opening).then((state) => {
      this.kept = true;
      this.did = this.slip?.verb ? state.journal.at(-1)?.words ?? "" : state.told ?? "";
      return state;
    }), `Kept: ${words}`);
  }

  /** What a choice did, and what takes back mends that were done again. @param {Slip} slip */
  didWords(slip) {
    const told = paragraph(this.did);
    if (!slip.verb && page.state.journal.length && this.did.includes("by hand")) told.append(" ", wordSpan("Take some of them back", "does", () => this.way.open("journal")), ".");
    return told;
  }

  /** @param {string} value */
  mend(value) {
    const slip = this.slip;
    if (slip) this.choose(slip.word, value, slip.what);
  }

  /** Several fields as one text. @param {string} form */
  formed(form) {
    const inputs = [...this.body.querySelectorAll("input[name]")];
    return inputs.reduce((said, one) => (one instanceof HTMLInputElement ? said.replace(`{${one.name}}`, () => one.value.trim()) : said), form);
  }

  /** @param {import("./api.js").Field} field @param {Slip} slip */
  fieldOf(field, slip) {
    const label = document.createElement("label"), input = document.createElement("input");
    label.className = "field";
    input.name = field.name;
    input.spellcheck = false;
    input.autocomplete = "off";
    if (field.kind === "file") {
      input.type = "file";
      input.addEventListener("change", () => {
        const file = input.files?.[0];
        if (file) this.bring(file, field.name || slip.word);
      });
    } else {
      input.value = field.value;
      input.inputMode = field.kind === "number" ? "decimal" : "text";
      input.addEventListener("pointerup", () => input.select(), { once: true }); // what is typed takes its place
      input.addEventListener("keydown", (event) => {
        if (event.key !== "Enter") return;
        event.preventDefault();
        if (slip.form) this.mend(this.formed(slip.form));
        else if (slip.verb) this.mend(input.value);
        else this.choose(field.name || slip.word, input.value, input.value);
      });
    }
    label.append(input, ` ${field.hint}${field.kind === "file" || slip.form ? "" : "; Enter keeps it"}`);
    return label;
  }

  /** @param {File} file @param {string} word */
  bring(file, word) {
    const placed = this.slip?.verb ? this.body.querySelector("input:not([type=file])") : null;
    if (placed instanceof HTMLInputElement) { // a mend says where it comes
      api.bring(file).then(({ name }) => { placed.value = `${name}@column 1, line 1`; placed.focus(); }).catch(tell);
      return;
    }
    api.bring(file).then(({ name }) => this.choose(word, name, file.name)).catch(tell);
  }

  /** A sentence of neighbours: a word in it takes this slip's place. @param {(string|import("./api.js").Word)[]} parts */
  sentence(parts) {
    const line = document.createElement("p");
    for (const part of parts) {
      if (typeof part === "string") { line.append(part); continue; }
      const span = wordSpan(part.text, part.kind, () => this.way.open(part.word));
      span.dataset.beside = part.word;
      span.setAttribute("aria-label", `${part.text}, ${part.what}`);
      line.append(span);
    }
    return line;
  }

  fillFoot() {
    this.foot.replaceChildren(deed("Close", this.way.close));
    if (this.way.back) this.foot.append(deed(`Back to ${this.way.backWords}`, this.way.back));
    if (this.kept) {
      this.foot.append(deed(`As it was${this.wasWords ? `: ${this.wasWords}` : ""}`, () => {
        this.kept = false;
        this.did = "";
        this.opening = this.newOpening();
        keep(api.back(), "As it was");
      }));
    }
  }

  /** @param {KeyboardEvent} event */
  onKey(event) {
    if (event.key !== "Escape") return;
    event.stopPropagation();
    const tried = this.choices.find(({ element }) => element === document.activeElement);
    const now = this.choices.find(({ place }) => place.now);
    if (tried && now && tried !== now) now.element.focus();
    else this.way.close();
  }
}

/** @param {Slip} slip @param {Place} place */
const keyOf = (slip, place) => JSON.stringify([place.word || slip.word, place.value]);

/** @param {Slip} slip @param {Filled|null} filled */
function told(slip, filled) {
  if (filled && filled.of !== page.state.version) return "…"; // told from what was before
  if (filled?.faults) return filled.faults[0];
  return filled ? [filled.cost, filled.said].filter(Boolean).join("; ") : slip.pictured ? "…" : "";
}

/** Whether a choice looks as the piece does now. @param {Filled} filled */
function looksAlike(filled) {
  const now = page.state;
  return filled.width === now.width && filled.blocks === now.blocks && filled.yarns.every((yarn, i) => yarn.color === now.yarns[i]?.color);
}

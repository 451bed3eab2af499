// What the page asks of the worktable on this machine.

import { version, whole } from "./since.js";

/**
 * @typedef {{name: string, color: string, seen: Record<string, string>, blocks: number, tails: number, metres: number, lack: number}} Yarn
 * @typedef {{word: string, text: string, kind: string, what: string}} Word
 * @typedef {{group: number, words: string}} Line
 * @typedef {{title: string, width: number, height: number, corner: string, hand: string,
 *   last_row: number, made: number, upright: string, counted: [number, number, number, string][], pictured: string,
 *   minutes: number, hanging: number, striped: Striped|null, border: Border|null, changes: Change[], earlier: number, blocks: string, yarns: Yarn[], paragraph: (string|Word)[][], tails: number,
 *   journal: Line[], back: string, again: string, version: number, told?: string}} PieceState
 * @typedef {{yarn: number, rounds: number, blocks: number}} Border blocks: sides of a block that its rounds are wide
 * @typedef {{yarn: number, left: number[], last_row: number, out: number|null, words: string}} Ball
 * @typedef {{stripes: [number, number, number][], rows: number[], balls: Ball[]}} Striped
 * @typedef {{group: number, words: string, cost: string, blocks: [number, number][]}} Change
 * @typedef {{count: number, yarn: number, bobbin: string, does: string}} Run
 * @typedef {{row: number, side: string, minutes: number, tails: number, hanging: number, how: string[],
 *   blocks: [number, number][], runs: Run[], drawing: string, way: string, wind: string[], cut: string[]}} Row
 * @typedef {{bobbin: string, metres: string, first_row: number, last_row: number, way: [number, number][]}} Strand
 * @typedef {{value: string|string[]|null, words: string, now: boolean, word: string}} Place
 * @typedef {{value: string, hint: string, kind: string, name: string}} Field
 * @typedef {{word: string, what: string, help: string, places: Place[], pictured: boolean,
 *   fields: Field[], own: string, verb: string, form: string, does: string,
 *   beside: (string|Word)[][]}} Slip
 * @typedef {PieceState & {choice: number, cost: string, said?: string, faults?: string[], of?: number}} Filled
 *   of: the version of the piece that its cost is told from
 * @typedef {{name: string, color: string, number: number, takes: string, have: string, enough: string,
 *   locked: boolean, banned: boolean}} ShelfYarn
 */

/**
 * Long work as far as it is: what is counted, at the word it is about; `after` parts were given.
 * @typedef {{job: number, about: string, lane: string, state: "working"|"done"|"stopped"|"failed",
 *   said: string, done: number, of: number, best: string, parts: any[], result?: any,
 *   faults?: string[], instead?: Instead[]}} Work
 * @typedef {{words: string, word: string, value?: string}} Instead without a value the word opens
 * @typedef {{folder: string, notes: string[], files: {name: string, purpose: string, written: boolean, first: boolean}[]}} Files
 */

/** What is wrong, for the maker: a line a fault. about: the word it is about, "" for none. */
export class Fault extends Error {
  /** @param {string} words @param {string} [about] @param {Instead[]} [instead] what would do */
  constructor(words, about = "", instead = []) {
    super(words);
    this.about = about;
    this.instead = instead;
  }
}

/** The worktable does not answer. */
export class Gone extends Fault {}

/** Work that a newer wish or "Stop" has ended: nothing is wrong. */
export class Stopped extends Error {}

const LOOK_AGAIN = 120; // milliseconds

/** @type {((work: Work) => void)[]} */
const working = [];

/** Requests that change the piece: how many there were, and how many are not answered yet. */
export const asked = { count: 0, open: 0 };

let answered = new Date(); // when the worktable answered last

/** @type {Set<number>} jobs that this page follows */
const followed = new Set();

/** What is called whenever long work is heard of, also when it is over. @param {(work: Work) => void} hears */
export const whenWorking = (hears) => { working.push(hears); };

/**
 * Follow long work to its end. @param {Work} work @param {(part: any) => void} [onPart]
 * @returns {Promise<any>} what it gives; throws Fault where it cannot be, Stopped where it is not wanted
 */
async function follow(work, onPart) {
  followed.add(work.job);
  for (let after = 0; ;) {
    after += work.parts.length;
    for (const part of work.parts) onPart?.(part);
    for (const hears of working) hears(work);
    if (work.state === "failed") throw new Fault((work.faults ?? []).join("\n"), work.about, work.instead);
    if (work.state === "stopped" && !work.result) throw new Stopped();
    if (work.state !== "working") return work.result;
    await new Promise((resolve) => { setTimeout(resolve, LOOK_AGAIN); });
    work = await ask(`/api/jobs/${work.job}?after=${after}`);
  }
}

/** Follow work that another tab began, or this one before it was loaded anew. @param {Work} work */
export const join = (work) => { if (!followed.has(work.job)) follow({ ...work, parts: [] }).catch(() => {}); };

/** End long work. @param {number} job @param {boolean} take whether the best so far is taken */
export const stop = (job, take) => ask(`/api/jobs/${job}/stop`, { take });

/**
 * @param {string} path
 * @param {object} [body]
 * @param {(part: any) => void} [onPart] called with each part of long work as it comes
 * @returns {Promise<any>}
 */
export async function ask(path, body, onPart) {
  /** @type {Response} */
  let answer;
  try {
    answer = await fetch(path, body === undefined ? {} : {
      method: "POST",
      headers: { "content-type": body instanceof File ? "application/octet-stream" : "application/json" },
      body: body instanceof File ? body : JSON.stringify(body),
    });
  } catch {
    const at = answered.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });
    throw new Gone(`The worktable was stopped. Kept up to ${at}; start it again and this page goes on.`);
  }
  answered = new Date();
  const kind = answer.headers.get("content-type") || "";
  if (!kind.startsWith("application/json")) throw new Fault(await answer.text());
  const told = await answer.json();
  if (!answer.ok) throw new Fault(told.faults.join("\n"), told.about ?? "", told.instead);
  return answer.status === 202 ? follow(told, onPart) : told;
}

/**
 * A piece that is asked for. @param {string} path @param {object} [body] @param {(part: any) => void} [onPart]
 * @returns {Promise<PieceState>}
 */
async function pieceOf(path, body, onPart) {
  const changes = body === undefined ? 0 : 1;
  asked.count += changes;
  asked.open += changes;
  try {
    return whole(await ask(path, body, onPart)) ?? pieceOf("/api/piece");
  } finally { asked.open -= changes; }
}

/** The same of the piece on the page, of which what the page has is not told again. @param {string} path @param {object} [body] */
const changed = (path, body) => pieceOf(`${path}?since=${version()}`, body);

/** @returns {Promise<{pieces: {name: string, title: string, row: number}[], open: boolean}>} */
export const pieces = () => ask("/api/pieces");
/** @param {string} name @returns {Promise<PieceState>} */
export const lay = (name) => pieceOf("/api/lay", { name });
/**
 * @param {File} file @param {Record<string, string>} asked @param {(stage: PieceState) => void} onPart
 * @returns {Promise<PieceState>}
 */
export const make = (file, asked, onPart) => pieceOf(`/api/make?${new URLSearchParams({ name: file.name, ...asked })}`, file, onPart);
/** @param {boolean} stripes the striped scarf, not the cat @param {Record<string, string>} asked @param {(stage: PieceState) => void} onPart @returns {Promise<PieceState>} */
export const sample = (stripes, asked, onPart) => pieceOf("/api/sample", { stripes, ...asked }, onPart);
/** A piece in stripes, which has no picture. @param {Record<string, string>} asked @param {(stage: PieceState) => void} onPart @returns {Promise<PieceState>} */
export const stripes = (asked, onPart) => pieceOf("/api/stripes", asked, onPart);
/** @param {File} file @returns {Promise<{name: string, yarns: number}>} */
export const yarnsOf = (file) => ask(`/api/yarns?${new URLSearchParams({ name: file.name })}`, file);
/** @returns {Promise<{version: number, jobs: Work[]}>} */
export const news = () => ask("/api/news");
/** @returns {Promise<PieceState>} */
export const piece = () => changed("/api/piece");
/** @param {string} word @returns {Promise<Slip>} */
export const slip = (word) => ask(`/api/slip/${encodeURIComponent(word)}`);
/**
 * Work choices out, one after the other. @param {string} word that is open
 * @param {any[][]} choices a word and a value each @param {(part: Filled) => void} onPart
 */
export const fill = (word, choices, onPart) => ask("/api/fill", { word, choices }, onPart);
/** What matters now. @returns {Promise<{version: number, sentences: (string|Word)[][]}>} */
export const advice = () => ask("/api/advice", {});
/** @returns {Promise<{inside: ShelfYarn[], spare: ShelfYarn[]}>} */
export const shelf = () => ask("/api/shelf");
/** The yarns of a photo. @param {object} asked @returns {Promise<{yarns: {name: string, color: string, doubt: string}[], shelf: string}>} */
export const photo = (asked) => ask("/api/photo", asked);
/** Bring a file to the piece. @param {File} file @returns {Promise<{name: string}>} */
export const bring = (file) => ask(`/api/bring?${new URLSearchParams({ name: file.name })}`, file);
/** @param {number} number @param {boolean} [narrow] whether its drawing has little room @returns {Promise<Row>} */
export const row = (number, narrow = false) => ask(`/api/row/${number}${narrow ? "?narrow=1" : ""}`);
/** The strand of a run. @param {number} number @param {number} run from 1 @returns {Promise<Strand>} */
export const strand = (number, run) => ask(`/api/strand/${number}/${run}`);
/** @typedef {{number: number, at: number, piece: PieceState}} Aside */
/** What lies aside. @returns {Promise<Aside[]>} */
export const aside = () => ask("/api/aside");
/** Lay the piece aside as it stands. @returns {Promise<Aside[]>} */
export const layAside = () => ask("/api/aside", {});
/** @param {number} number @returns {Promise<PieceState>} */
export const goOnWith = (number) => changed(`/api/aside/${number}`, {});
/** @returns {Promise<{blocks: string, told: boolean, clear: boolean}>} */
export const subject = () => ask("/api/subject");
/** Where the whole picture lies about the piece, in blocks: left, top, right, bottom; what of it is charted, in per cent, and whether the piece keeps its shape. @returns {Promise<{keeps: boolean, picture: [number, number, number, number], seen: [number, number, number, number], crop: [number, number, number, number]}>} */
export const crop = () => ask("/api/crop");
/** Keep what was brushed. @param {string} blocks @returns {Promise<{value: string}>} what the subject is then called */
export const brushed = (blocks) => ask("/api/subject", { blocks });
/** @param {[string, string][]} mends @returns {Promise<PieceState>} */
export const mend = (mends) => changed("/api/mend", { mends });
/**
 * @param {string} word @param {string|string[]|null} value @param {string} [opening] of the word
 * @returns {Promise<PieceState>}
 */
export const choose = (word, value, opening = "") => changed("/api/choose", { word, value, opening });
/** What mends would cost, not done. @param {[string, string][][]} every @returns {Promise<string[]>} */
export const costs = (every) => ask("/api/costs", { every });
/** @returns {Promise<PieceState>} */
export const back = () => changed("/api/back", {});
/** Without a change alone, or as before it. @param {number} group @param {boolean} alone @returns {Promise<PieceState>} */
export const without = (group, alone) => changed("/api/without", { group, alone });
/** @returns {Promise<PieceState>} */
export const again = () => changed("/api/again", {});
/** @returns {Promise<Files>} */
export const settle = () => ask("/api/settle", {});
/**
 * A word that can be opened. text: what it says; names: everyday names and the option's; said: whether
 * the paragraph says it. @typedef {{word: string, text: string, what: string, names: string[], said: boolean}} Findable
 */

/** @returns {Promise<Findable[]>} */
export const words = () => ask("/api/words");
/** @returns {Promise<{link: string, code: string, files: string[]}>} */
export const phone = () => ask("/api/phone", {});
/** @returns {Promise<{link: string, code: string, files: string[]}>} */
export const hookside = () => ask("/api/hookside", {});
export const stopPhone = () => ask("/api/phone/stop", {});
/** @returns {Promise<Files>} */
export const files = () => ask("/files");

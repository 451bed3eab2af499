// Pieces as the worktable tells them: whole, or what is otherwise since a version that the page has.

import { blocksOf } from "./blocks.js";

/** @typedef {import("./api.js").PieceState} PieceState */
/**
 * What is otherwise: keys; of lists how many items from where on are which now; runs of blocks: first, count, yarn; told: of the choice just made.
 * @typedef {{since: number, set: Record<string, any>, lists: Record<string, [number, number, any[]]>, runs: [number, number, number][], told?: string}} Otherwise
 */

const REMEMBERED = 4; // states; an answer may be of one before the last

/** @type {PieceState[]} as they were told, the last one last */
const known = [];

/** The version that the page has, 0 for none. */
export const version = () => known[known.length - 1]?.version ?? 0;

/** The whole piece; null where the page has not what it is told from. @param {PieceState|Otherwise} told @returns {PieceState|null} */
export function whole(told) {
  const now = "since" in told ? from(told) : told;
  if (now) known.push(now);
  if (known.length > REMEMBERED) known.shift();
  return now;
}

/** @param {Otherwise} told @returns {PieceState|null} */
function from({ since, set, lists, runs, told = "" }) {
  const before = known.find((state) => state.version === since);
  if (!before) return null;
  /** @type {any} */
  const now = { ...before, ...set, told };
  for (const [name, [first, count, items]] of Object.entries(lists)) now[name] = now[name].toSpliced(first, count, ...items);
  if (runs.length) {
    const blocks = blocksOf(before.blocks);
    for (const [first, count, yarn] of runs) blocks.fill(yarn, first, first + count);
    now.blocks = textOf(blocks);
  }
  return now;
}

/** Blocks as they are told. @param {Uint8Array} blocks */
export function textOf(blocks) {
  let text = "";
  for (let at = 0; at < blocks.length; at += 8192) text += String.fromCharCode(...blocks.subarray(at, at + 8192));
  return btoa(text);
}

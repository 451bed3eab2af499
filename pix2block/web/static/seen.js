// The line under the piece: how it is seen.

import { by, wordSpan } from "./dom.js";
import { piece } from "./page.js";

/** @param {boolean} held */
export function seeHeld(held) {
  piece.held = held;
  piece.draw();
  const words = held ? "as held, start corner down" : "as the picture lies";
  by("seen").replaceChildren("You see the piece ", wordSpan(words, "chosen", () => seeHeld(!piece.held)), ".");
}

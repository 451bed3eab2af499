// What stands in the paragraph's place: a block's sentence, a row's, the yarn in hand. One at a time.

import { by, deed } from "./dom.js";
import { page, refresh, whenShown } from "./page.js";

/**
 * name: of the state; fill: its sentences, drawn anew whenever the piece has changed; back: what leads back says;
 * closed: what is put away with it.
 * @typedef {{name: string, fill: (place: HTMLElement) => void, back?: string, closed?: () => void}} Instead
 */

/** @type {Instead|null} */
let open = null;

/** What is open in the paragraph's place, "" for the paragraph. */
export const insteadOf = () => open?.name ?? "";

/** @param {Instead} instead @param {boolean} [focus] whether the keyboard goes there */
export function openInstead(instead, focus = true) {
  const was = open;
  open = instead;
  if (was?.name !== instead.name) was?.closed?.();
  page.open = "";
  refresh();
  if (focus) by("instead").focus({ preventScroll: true });
}

/** Back to the paragraph. @param {boolean} [focus] whether the keyboard goes to the piece */
export function closeInstead(focus = true) {
  const was = open;
  if (!was) return;
  open = null;
  was.closed?.();
  refresh();
  if (focus) page.canvas.focus({ preventScroll: true });
}

/** What stands first among the deeds. */
export const insteadDeeds = () => (open ? [deed(open.back ?? "Back to the piece", () => closeInstead(), "Back")] : []);

whenShown(() => {
  const place = by("instead");
  by("paragraph").hidden = open !== null;
  place.hidden = open === null;
  const within = place.contains(document.activeElement) ? document.activeElement : null;
  const label = within?.getAttribute("data-again");
  place.textContent = "";
  open?.fill(place);
  if (!within) return;
  const again = label && place.querySelector(`[data-again="${CSS.escape(label)}"]`);
  if (again instanceof HTMLElement) again.focus({ preventScroll: true });
  else place.focus({ preventScroll: true });
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || event.defaultPrevented || !open) return;
  event.preventDefault();
  closeInstead();
});

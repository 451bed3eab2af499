// What happens elsewhere: another tab changes the piece, the worktable is stopped or started again.

import * as api from "./api.js";
import { by } from "./dom.js";
import { page, say, show, tell } from "./page.js";

const EVERY = 1500; // milliseconds

let gone = false;

async function look() {
  const before = api.asked.count;
  try {
    const { version, jobs } = await api.news();
    if (gone) { gone = false; by("fault").textContent = ""; say("The worktable goes on"); }
    for (const work of jobs) api.join(work);
    const quiet = api.asked.count === before && !api.asked.open && !document.body.classList.contains("becoming");
    if (quiet && version && !page.state) location.reload();
    else if (quiet && version && version !== page.state?.version) {
      const now = await api.piece();
      if (api.asked.count === before) show(now, "Changed elsewhere");
    }
  } catch (error) {
    if (error instanceof api.Gone) gone = true;
    if (!document.body.classList.contains("becoming")) tell(error);
  }
}

/** Look for news as long as the page is seen. */
export function followNews() {
  setInterval(() => { if (!document.hidden) look(); }, EVERY);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) look(); });
}

// Ticked rows are kept in this browser only, under the piece's own key. Those that are made stand
// folded in a line; one is in hand: the one gone to, else the first that is not made.
(() => {
  const list = document.querySelector("[data-key]");
  if (!list) return;
  const key = list.dataset.key;
  const byId = (id) => document.getElementById(id);
  const boxes = [...list.querySelectorAll("input[data-row]")];
  const rowOf = (box) => Number(box.dataset.row);
  const itemOf = (row) => boxes[row - 1].closest("li");
  let kept = [];
  try { kept = JSON.parse(localStorage.getItem(key)) || []; } catch (error) { kept = []; }
  let chosen = 0; // the row that was gone to, 0 for none
  let asked = false;

  const stretches = (rows) => {
    const parts = [];
    for (const row of rows) {
      const last = parts[parts.length - 1];
      if (last && row === last[1] + 1) last[1] = row; else parts.push([row, row]);
    }
    return parts.map(([a, b]) => (a === b ? `${a}` : `${a} to ${b}`)).join(", ");
  };
  const made = () => boxes.filter((box) => box.checked).map(rowOf);
  const inHand = () => {
    const open = boxes.find((box) => !box.checked);
    return chosen || (open ? rowOf(open) : boxes.length);
  };
  const show = () => {
    const rows = made(), now = inHand();
    for (const item of list.children) {
      const own = [...item.querySelectorAll("input[data-row]")];
      item.classList.toggle("made", own.every((box) => box.checked));
      item.classList.toggle("now", item === itemOf(now));
    }
    const fold = byId("made"), open = list.classList.contains("open");
    fold.hidden = !list.querySelector(".made:not(.now)");
    fold.setAttribute("aria-expanded", String(open));
    const are = rows.length === 1 ? `Row ${rows[0]} is made` : `Rows ${stretches(rows)} are made`;
    fold.textContent = `${are}: ${open ? "fold them" : "show them"}`;
    byId("count").textContent = rows.length < boxes.length
      ? `${rows.length} of ${boxes.length} rows are made` : "Every row is made";
    byId("go").value = String(now);
    byId("previous").disabled = list.firstElementChild === itemOf(now);
    byId("next").disabled = list.lastElementChild === itemOf(now);
  };
  const keep = () => {
    try { localStorage.setItem(key, JSON.stringify(made())); } catch (error) { /* private windows keep nothing */ }
    show();
  };
  /** Brings a row below the bar that stays. */
  const bring = (item) => {
    const bar = byId("place").getBoundingClientRect().height;
    scrollBy(0, item.getBoundingClientRect().top - bar - 8);
  };
  const goTo = (row) => {
    chosen = Math.min(boxes.length, Math.max(1, row));
    show();
    itemOf(chosen).focus({ preventScroll: true });
    bring(itemOf(chosen));
  };
  const beside = (step) => {
    const item = itemOf(inHand())[step];
    if (item) goTo(rowOf(item.querySelector("input[data-row]")));
  };

  /** Asks, under a row that was ticked, for those before it: once. */
  const ask = (row) => {
    const before = boxes.slice(0, row - 1).filter((box) => !box.checked);
    if (asked || !before.length) return;
    const rows = before.map(rowOf), question = document.createElement("p");
    question.className = "ask";
    const words = rows.length === 1 ? `Row ${rows[0]} is not ticked` : `Rows ${stretches(rows)} are not ticked`;
    const answer = (text, tick) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = text;
      button.addEventListener("click", () => {
        for (const box of before) box.checked = box.checked || tick;
        asked = asked || !tick;
        question.remove();
        chosen = 0;
        keep();
        bring(itemOf(inHand()));
      });
      return button;
    };
    question.append(`${words}. `, answer("Tick them too", true), " ", answer(`Only row ${row}`, false));
    itemOf(row).querySelector(".words").append(question);
    chosen = row; // it stays until that is answered
  };

  for (const box of boxes) {
    box.checked = kept.includes(rowOf(box));
    box.addEventListener("change", () => {
      for (const question of list.querySelectorAll(".ask")) question.remove();
      chosen = 0;
      if (box.checked) ask(rowOf(box));
      keep();
      if (!chosen && box.checked) bring(itemOf(inHand()));
    });
  }
  byId("place").addEventListener("submit", (event) => {
    event.preventDefault();
    goTo(Number(byId("go").value));
  });
  byId("previous").addEventListener("click", () => beside("previousElementSibling"));
  byId("next").addEventListener("click", () => beside("nextElementSibling"));
  byId("made").addEventListener("click", () => {
    list.classList.toggle("open");
    show();
  });
  byId("place").hidden = false;
  document.documentElement.classList.add("live");
  show();

  // A chart fits the screen whole; touched, it opens where it was touched, and closes again.
  for (const chart of document.querySelectorAll(".chart")) {
    const turn = (across, down) => {
      const open = chart.classList.toggle("open");
      chart.setAttribute("aria-expanded", String(open));
      if (!open) return;
      chart.scrollLeft = across * chart.scrollWidth - chart.clientWidth / 2;
      chart.scrollTop = down * chart.scrollHeight - chart.clientHeight / 2;
    };
    chart.setAttribute("role", "button");
    chart.setAttribute("aria-expanded", "false");
    chart.setAttribute("aria-label", `${chart.querySelector("svg").getAttribute("aria-label")}: large, or whole`);
    chart.addEventListener("click", (event) => {
      const box = chart.querySelector("svg").getBoundingClientRect();
      turn((event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
    });
    chart.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" && event.key !== " ") return;
      event.preventDefault();
      turn(0.5, 0.5);
    });
  }
})();

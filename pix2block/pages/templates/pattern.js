// Ticked rows are kept in this browser only, under the piece's own key.
(() => {
  const list = document.querySelector("[data-key]");
  if (!list) return;
  const key = list.dataset.key;
  const boxes = [...list.querySelectorAll("input[data-row]")];
  const place = document.getElementById("place");
  let kept = [];
  try { kept = JSON.parse(localStorage.getItem(key)) || []; } catch (error) { kept = []; }
  const done = new Set(kept);
  const show = () => {
    for (const item of list.children) {
      const own = [...item.querySelectorAll("input[data-row]")];
      item.classList.toggle("done", own.length > 0 && own.every((box) => box.checked));
    }
    const next = boxes.find((box) => !box.checked);
    const count = boxes.filter((box) => box.checked).length;
    place.hidden = false;
    place.querySelector("span").textContent = `${count} of ${boxes.length} rows ticked.`;
    const link = place.querySelector("a");
    link.hidden = !next;
    if (next) {
      link.href = `#${next.closest("li").id}`;
      link.textContent = `Go to row ${next.dataset.row}`;
    }
  };
  for (const box of boxes) {
    box.checked = done.has(Number(box.dataset.row));
    box.addEventListener("change", () => {
      const row = Number(box.dataset.row);
      if (box.checked) done.add(row); else done.delete(row);
      try { localStorage.setItem(key, JSON.stringify([...done].sort((a, b) => a - b))); } catch (error) { /* private windows keep nothing */ }
      show();
    });
  }
  show();
})();

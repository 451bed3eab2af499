// Small parts of the page.

/** An element of the page that is always there. @param {string} id @returns {HTMLElement} */
export const by = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** @param {string} words @returns {HTMLParagraphElement} */
export function paragraph(words) {
  const made = document.createElement("p");
  made.textContent = words;
  return made;
}

/** A thing that is done, and says what. @param {string} words @param {() => void} does @param {string} [short] where there is little room */
export function deed(words, does, short) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "deed";
  if (short) {
    for (const [name, text] of [["long", words], ["short", short]]) {
      const span = document.createElement("span");
      span.className = name;
      span.textContent = text;
      button.append(span);
    }
  } else button.textContent = words;
  button.addEventListener("click", does);
  return button;
}

/**
 * A word that opens or changes. A span, since a button does not break over lines.
 * @param {string} words @param {string} kind @param {() => void} does
 */
export function wordSpan(words, kind, does) {
  const span = document.createElement("span");
  span.className = `word ${kind}`;
  span.setAttribute("role", "button");
  span.tabIndex = 0;
  span.textContent = words;
  span.addEventListener("click", does);
  span.addEventListener("keydown", (event) => {
    if (event.key === "Enter" || event.key === " ") { event.preventDefault(); does(); }
  });
  return span;
}

/** A yarn as a lozenge of its colour. @param {string} color */
export function lozenge(color) {
  const made = document.createElement("span");
  made.className = "lozenge";
  made.style.background = color;
  made.setAttribute("aria-hidden", "true");
  return made;
}

/* The page's sentences. They stand in the page itself, so that gettext translates them with everything else. */

const PLACE = /\{(\w+)\}/g;
let texts = null;

function gather() {
  const found = new Map();
  const kept = document.getElementById("words");
  for (const node of kept?.content.querySelectorAll("[data-word]") ?? []) {
    found.set(node.dataset.word, node.textContent.trim());
  }
  return found;
}

/** Say a sentence of the page by its name, with values put in; an unknown name says itself. */
export function say(name, values = {}) {
  texts ??= gather();
  return (texts.get(name) ?? name).replace(PLACE, (whole, key) => (key in values ? String(values[key]) : whole));
}

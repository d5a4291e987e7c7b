/* Build elements without any HTML in text: what a person typed can never become markup. */

const SVG = "http://www.w3.org/2000/svg";

function fill(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (name === "value") node.value = value;
    else node.setAttribute(name, value === true ? "" : String(value));
  }
  node.append(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false && child !== ""));
  return node;
}

/** Build an HTML element; `on…` attributes are listeners, null and false leave an attribute out. */
export function h(name, attributes = {}, ...children) {
  return fill(document.createElement(name), attributes, children);
}

/** Build an SVG element. */
export function s(name, attributes = {}, ...children) {
  return fill(document.createElementNS(SVG, name), attributes, children);
}

/** Give words that only a screen reader meets. */
export function hidden(words) {
  return h("span", { class: "hide" }, words);
}

/** Replace what stands in a node; a focus that was on something with an id goes back to it. */
export function show(node, ...children) {
  const held = node.contains(document.activeElement) ? document.activeElement.id : "";
  node.replaceChildren(...children.flat(3).filter(Boolean));
  if (held) document.getElementById(held)?.focus({ preventScroll: true });
}

/* The damper's half-section on the page: its words keep the size they are drawn at, and a tap on one opens its entry. */

const PADDING = 8;

/** Say how high the drawing must be so that no word in it comes out smaller than it was drawn. */
export function leastHeight(drawing) {
  const svg = drawing?.querySelector("svg");
  const [, , , height = 0] = (svg?.getAttribute("viewBox") ?? "").split(/\s+/).map(Number);
  return height + PADDING;
}

/** Lead each dimension to its entry, box the one that is open, and keep the drawing at its height. */
export function lead(drawing, app) {
  drawing.style.minHeight = `${leastHeight(drawing)}px`;
  drawing.onclick = (event) => {
    const link = event.target.closest("a[href^='#']");
    const key = link?.getAttribute("href").slice(1);
    if (!link || !app.model.steps.has(key)) return;
    event.preventDefault();
    app.go(key);
  };
  const open = app.model.steps.get(app.key);
  for (const link of drawing.querySelectorAll("a[href^='#']")) {
    const step = app.model.steps.get(link.getAttribute("href").slice(1));
    const here = Boolean(open?.figure && step && open.figure === step.figure && !open.position);
    const touch = link.querySelector("rect:last-child");
    if (here) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
    touch?.setAttribute("stroke", here ? "currentColor" : "none");
    touch?.setAttribute("stroke-width", "2");
  }
}

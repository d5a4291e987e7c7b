/* Marks and the limits strip as SVG, of the same geometry as shopapp/drawings/{marks,strip}.py. */

import { s } from "./dom.js";

const INK = "#000000";
const SHEET = "#FFFFFF";
const num = (value) => String(Number(value.toFixed(2)) || 0);

function root(width, height, ...children) {
  const box = { viewBox: `0 0 ${num(width)} ${num(height)}`, width: num(width), height: num(height) };
  return s("svg", { ...box, color: INK, "aria-hidden": "true" }, ...children);
}

function line(x1, y1, x2, y2, width, dash = null) {
  const ends = { x1: num(x1), y1: num(y1), x2: num(x2), y2: num(y2) };
  return s("line", { ...ends, stroke: "currentColor", "stroke-width": width, "stroke-dasharray": dash });
}

function stroke(d, width) {
  return s("path", { d, fill: "none", stroke: "currentColor", "stroke-width": width });
}

function polygon(points) {
  return s("path", { d: `M${points.map(([x, y]) => `${num(x)} ${num(y)}`).join("L")}Z`, fill: "currentColor" });
}

function ink(name, ...children) {
  return s("g", { color: INK, "data-ink": name }, ...children);
}

function zigzag(width, height, inset) {
  const middle = height / 2;
  const half = Math.min(width * 0.16, height * 1.1);
  const centre = width / 2;
  const points = [
    [inset, middle],
    [centre - half, middle],
    [centre - half * 0.45, inset],
    [centre + half * 0.45, height - inset],
    [centre + half, middle],
    [width - inset, middle],
  ];
  return `M${points.map(([x, y]) => `${num(x)} ${num(y)}`).join("L")}`;
}

const STATES = {
  planned: (w, ht) => [line(1, ht / 2, w - 1, ht / 2, 2.2, w > 40 ? "8 6" : "6 4")],
  waiting: (w, ht) => [line(1, ht / 2, w - 1, ht / 2, 2.2, w > 40 ? "16 5 3 5" : "10 3 2 3")],
  "in work": (w, ht) => [
    line(1, ht / 2, w - 11, ht / 2, 3.6),
    polygon([[w - 13, 0.8], [w - 0.5, ht / 2], [w - 13, ht - 0.8]]),
  ],
  stopped: (w, ht) => [stroke(zigzag(w, ht, 1), 2.2)],
  done: (w, ht) => [-2.6, 2.6].map((dy) => line(1, ht / 2 + dy, w - 1, ht / 2 + dy, 1.8)),
  void: (w, ht) => crosses(w, ht),
}; // prettier-ignore

function crosses(width, height) {
  const middle = height / 2;
  const arm = height * 0.32;
  const count = Math.max(2, Math.round(width / 13));
  const drawn = [line(1, middle, width - 1, middle, 1.6)];
  for (let index = 0; index < count; index += 1) {
    const x = (width * (index + 0.5)) / count;
    drawn.push(line(x - arm, middle - arm, x + arm, middle + arm, 1.6));
    drawn.push(line(x - arm, middle + arm, x + arm, middle - arm, 1.6));
  }
  return drawn;
}

/** Draw the line type of a state; the word stands beside it, or for the screen reader. */
export function stateMark(state, width = 34, height = 12) {
  return root(width, height, ...(STATES[state] ?? STATES.planned)(width, height));
}

/** Draw the mark of a reading: diamond inside, triangles out, open circle for none. */
function shape(verdict, x, y, size) {
  if (verdict === "inside") return polygon([[x - size, y], [x, y - size], [x + size, y], [x, y + size]]);
  if (verdict === "below") return ink("out", polygon([[x + size, y - size], [x - size, y], [x + size, y + size]]));
  if (verdict === "above") return ink("out", polygon([[x - size, y - size], [x + size, y], [x - size, y + size]]));
  const ring = { cx: num(x), cy: num(y), r: num(size - 2), fill: SHEET, "data-ink": "sheet" };
  return s("circle", { ...ring, stroke: "currentColor", "stroke-width": 2 });
} // prettier-ignore

export function readingMark(verdict, size = 18) {
  return root(size, size, shape(verdict, size / 2, size / 2, size / 2 - 1.5));
}

/** Choose what the rule spans: the limits and as much again on either side, or round one of them. */
export function windowOf(low, high, value) {
  if (low !== null && high !== null) {
    const span = Math.abs(high - low) || Math.abs(high) * 0.1 || 1;
    return [Math.min(low, high) - 1.2 * span, Math.max(low, high) + 1.2 * span];
  }
  const anchor = low ?? high ?? value ?? 0;
  const span = Math.abs(anchor) || 1;
  return [anchor - span, anchor + span];
}

function jaws(left, right, base, width) {
  const top = base - 17;
  const drawn = [];
  if (left !== null || right !== null) drawn.push(line(left ?? 2, base, right ?? width - 2, base, 3));
  if (left !== null) drawn.push(stroke(`M${num(left + 4)} ${num(top)}H${num(left)}V${num(base + 1.5)}`, 2));
  if (right !== null) drawn.push(stroke(`M${num(right - 4)} ${num(top)}H${num(right)}V${num(base + 1.5)}`, 2));
  return drawn;
}

/** Draw where a reading lies between its limits; all three in one unit, null for what is not there. */
export function limitsStrip(value, low, high, verdict, width = 112) {
  const [height, base, size] = [26, 20, 6.5];
  const [start, end] = windowOf(low, high, value);
  const at = (n) => 8 + Math.min(Math.max((n - start) / (end - start), 0), 1) * (width - 16);
  const ticks = [line(2, base, width - 2, base, 1)];
  for (let index = 0; index < 11; index += 1) {
    const x = 4 + ((width - 8) * index) / 10;
    ticks.push(line(x, base, x, base + (index % 5 === 0 ? 6 : 3), 1));
  }
  const left = low === null ? null : at(low);
  const right = high === null ? null : at(high);
  const none = verdict === "none" || value === null;
  let x = none ? ((left ?? 8) + (right ?? width - 8)) / 2 : at(value);
  if (verdict === "below" && left !== null) x = Math.min(x, left - size - 3);
  if (verdict === "above" && right !== null) x = Math.max(x, right + size + 3);
  return root(width, height, ink("rule", ...ticks), ...jaws(left, right, base, width), shape(verdict, x, base - 8, size));
}

/** Draw the number of a finding in its balloon, as it stands on the damper's drawing; a dash while it has none. */
export function balloon(number, size = 30) {
  const ring = { cx: size / 2, cy: size / 2, r: size / 2 - 1.5, fill: SHEET, "data-ink": "sheet", stroke: "currentColor" };
  const at = { x: size / 2, y: size / 2 + 6, "text-anchor": "middle", "font-size": 17, "font-weight": 700, fill: "currentColor" };
  return root(size, size, s("circle", { ...ring, "stroke-width": 2 }), s("text", at, String(number ?? "–")));
}

export function cautionSign(size = 28) {
  const dot = s("circle", { cx: 14, cy: 21.6, r: 0.9, fill: "currentColor", stroke: "currentColor", "stroke-width": 1 });
  const parts = [stroke("M14 3.2L26.2 25H1.8Z", 2.2), line(14, 10.5, 14, 18.2, 2.6), dot];
  return root(size, size, s("g", { transform: `scale(${num(size / 28)})` }, ...parts));
}

export function breakLine(width = 620, height = 26) {
  return root(width, height, stroke(zigzag(width, height, 2), 4));
}

const KEY_SIGNS = {
  back: () => [stroke("M13 3H42V27H13L2 15Z", 2.4), stroke("M21 9L33 21M33 9L21 21", 2.4)],
  space: () => [stroke("M5 11V22H39V11", 3)],
  more: () => [polygon([[22, 3], [36, 27], [8, 27]])],
  less: () => [polygon([[22, 27], [36, 3], [8, 3]])],
}; // prettier-ignore

/** Draw the sign on a key: back, space, more, less. Drawn, because a font may lack the glyph. */
export function keySign(name) {
  return root(44, 30, ...KEY_SIGNS[name]());
}

/* Shim stacks as SVG, in the manner of shopapp/drawings/stack: one axis, out left and back right, the face on top.

   Diameters and thicknesses have one scale each for all that is drawn beside each other; the drawing says how much
   thicker than true the discs are. What is alike gets =, what differs is hatched and numbered, what is still to be
   confirmed is dashed with "?". */

import { s } from "./dom.js";
import { say } from "./words.js";

const INK = "#000000";
const SHEET = "#FFFFFF";
const FACES = "B612, Sheet Caption, sans-serif";
const CAPTIONS = "Sheet Caption, B612, sans-serif";
const FORMER = "9 3 2 3 2 3";
const FACTORS = [1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 300, 400, 500];
const WIDTH = 300;
const SIZE = 16;
const PITCH = SIZE * 1.45;
const COLUMN = 88;
const num = (value) => String(Number(value.toFixed(2)) || 0);

function text(x, y, words, { anchor = null, bold = false, caption = false, size = SIZE } = {}) {
  return s("text", {
    x: num(x), y: num(y + size * 0.35), "font-family": caption ? CAPTIONS : FACES, "font-size": num(size),
    "font-weight": bold ? "700" : null, "text-anchor": anchor, fill: "currentColor",
  }, words); // prettier-ignore
}

function line(x1, y1, x2, y2, width = 1.3, dash = null) {
  return s("line", { x1: num(x1), y1: num(y1), x2: num(x2), y2: num(y2), stroke: "currentColor", "stroke-width": width, "stroke-dasharray": dash });
}

function box(x1, y1, x2, y2, { width = 1.4, fill = SHEET, dash = null } = {}) {
  return s("rect", {
    x: num(Math.min(x1, x2)), y: num(y1), width: num(Math.abs(x2 - x1)), height: num(y2 - y1), fill,
    "data-ink": fill === SHEET ? "sheet" : null, stroke: "currentColor", "stroke-width": width, "stroke-dasharray": dash,
  }); // prettier-ignore
}

/** Hatch a rectangle at 45°. */
function hatch(x1, y1, x2, y2, falling) {
  const [left, right] = [Math.min(x1, x2), Math.max(x1, x2)];
  const [width, height] = [right - left, y2 - y1];
  const parts = [];
  for (let at = 2; at < width + height; at += 4) {
    let points = [left + Math.min(at, width), y1 + Math.max(0, at - width), left + Math.max(0, at - height), y1 + Math.min(at, height)];
    if (falling) points = [left + right - points[0], points[1], left + right - points[2], points[3]];
    parts.push(`M${num(points[0])} ${num(points[1])}L${num(points[2])} ${num(points[3])}`);
  }
  return s("path", { d: parts.join(""), fill: "none", stroke: "currentColor", "stroke-width": 0.8 });
}

function balloon(x, y, number) {
  const ring = { cx: num(x), cy: num(y), r: num(SIZE * 0.66), fill: SHEET, "data-ink": "sheet", stroke: "currentColor", "stroke-width": 1.3 };
  return s("g", {}, s("circle", ring), text(x, y, String(number), { anchor: "middle", size: number > 9 ? SIZE * 0.86 : SIZE }));
}

/** Choose the scales: px a metre across, and by how much thicker than true a disc is drawn. */
export function scaleOf(shims) {
  const widest = Math.max(...shims.map((shim) => shim.diameter), 1e-3);
  const across = (WIDTH - 2 * COLUMN - SIZE) / (widest * 1.08);
  const thick = shims.map((shim) => shim.thickness).sort((a, b) => a - b);
  const usual = thick.length ? (thick[Math.floor((thick.length - 1) / 2)] + thick[Math.ceil((thick.length - 1) / 2)]) / 2 : 0.2e-3;
  const factor = FACTORS.find((step) => step >= (PITCH / (usual * across)) * 0.98) ?? FACTORS.at(-1);
  const smallest = Math.min(...shims.map((shim) => shim.diameter), widest);
  return { across, factor, piston: (widest * 1.08 * across) / 2, pin: Math.max(3, smallest * 0.48 * across * 0.5), usual };
}

const high = (scale, shim) => Math.min(120, shim.thickness * scale.across * scale.factor);

/** Draw one half of a row: a disc, the outline of one that was or is to be there, or nothing. */
function half(scale, shim, y, side, { ghost = null, hatched = false, open = false }) {
  if (!shim) return null;
  const [inner, outer] = [WIDTH / 2 + side * scale.pin, WIDTH / 2 + (side * shim.diameter * scale.across) / 2];
  const tall = high(scale, shim) / 2;
  if (ghost) return box(inner, y - tall + 2, outer, y + tall, { width: 1.1, fill: "none", dash: ghost });
  const area = [inner, y - tall, outer, y + tall];
  const drawn = box(...area, { width: open || hatched ? 2.6 : 1.4, fill: shim.crossover ? "currentColor" : SHEET });
  return s("g", {}, drawn, hatched && !shim.crossover ? hatch(...area, side < 0) : null);
}

/** Write what stands beside a row, left what was taken out, right what goes back. */
function words(row, y, number, here) {
  const differs = number !== null;
  const shown = [];
  if (row.single) shown.push(text(WIDTH - COLUMN + 4, y, row.back.label, { bold: here }), text(COLUMN - 4, y, String(row.backPlace), { anchor: "end", bold: here }));
  else {
    shown.push(row.out ? text(COLUMN - 4, y, row.out.label, { anchor: "end", bold: differs }) : text(COLUMN - 4, y, say("stack-new"), { anchor: "end", caption: true }));
    const right = WIDTH - COLUMN + 4;
    if (row.kind === "awaited") shown.push(text(right, y, "?", { bold: here }));
    else if (row.kind === "missing") shown.push(text(right, y, say("stack-left-out"), { caption: true }));
    else if (row.kind === "same" && !here) shown.push(line(right, y - 2.8, right + 11, y - 2.8), line(right, y + 2.8, right + 11, y + 2.8));
    else shown.push(text(right, y, row.back.label, { bold: differs || here }));
  }
  if (differs) shown.push(line(WIDTH / 2 - 12, y, WIDTH / 2 + 12, y), balloon(WIDTH / 2, y, number));
  return here ? s("g", { color: INK, "data-ink": "dim" }, shown) : s("g", {}, shown);
}

function discs(scale, row, y, number, here) {
  const hatched = number !== null;
  if (row.single) return [-1, 1].map((side) => half(scale, row.back, y, side, { open: here }));
  const right = row.kind === "missing" ? { ghost: FORMER } : row.kind === "awaited" ? { ghost: "4 3" } : { hatched, open: here };
  return [
    half(scale, row.out ?? row.back, y, -1, row.out ? { hatched } : { ghost: FORMER }),
    half(scale, row.back ?? row.out, y, 1, right),
  ];
}

/**
 * Draw rows from the piston's face downwards. A row: {kind: same, changed, missing, added or awaited, out, back,
 * outPlace, backPlace}, or {single: true, back, backPlace} where there is nothing to hold against. `here` is the row
 * that is open; `pick` is called with a row that is tapped.
 */
export function stackDrawing(name, rows, { here = -1, pick = null, scale = scaleOf(rows.flatMap((row) => [row.out, row.back].filter(Boolean))) } = {}) {
  const compared = rows.some((row) => !row.single);
  let y = compared ? PITCH : 4;
  const head = compared ? [text(WIDTH / 2 - 10, SIZE * 0.7, say("stack-out"), { anchor: "end", caption: true }), text(WIDTH / 2 + 10, SIZE * 0.7, say("stack-back"), { caption: true })] : [];
  const top = y;
  const piston = [WIDTH / 2 - scale.piston, y + 8, WIDTH / 2 + scale.piston, y + 22];
  y += 23;
  const [drawn, written, taps] = [[], [], []];
  let number = 0;
  rows.forEach((row, at) => {
    const tall = Math.max(PITCH, ...[row.out, row.back].filter(Boolean).map((shim) => high(scale, shim)));
    const differs = ["changed", "missing", "added"].includes(row.kind);
    if (differs) number += 1;
    drawn.push(discs(scale, row, y + tall / 2, differs ? number : null, at === here));
    written.push(words(row, y + tall / 2, differs ? number : null, at === here));
    if (pick) taps.push(s("rect", { x: 0, y: num(y), width: WIDTH, height: num(tall), fill: "none", "pointer-events": "all", onclick: () => pick(row) }));
    y += tall;
  });
  const pin = [box(WIDTH / 2 - scale.pin, top, WIDTH / 2 + scale.pin, y + 14), line(WIDTH / 2, top - 3, WIDTH / 2, y + 18, 0.8, "14 3 3 3")];
  const note = text(2, y + 30, scale.factor === 1 ? say("stack-to-scale") : say("stack-thicker", { factor: scale.factor }), { caption: true });
  const size = { viewBox: `0 0 ${WIDTH} ${num(y + 42)}`, width: WIDTH, height: num(y + 42), preserveAspectRatio: "xMidYMin meet" };
  return s("svg", { ...size, color: INK, role: "img", "aria-label": name }, head, box(...piston), hatch(...piston, false), drawn, pin, written, note, taps);
}

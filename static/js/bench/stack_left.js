/* The left of the page while a stack is open, or is looked at: both sides drawn to scale, out beside back, and what differs. */

import { h } from "./dom.js";
import { scaleOf, stackDrawing } from "./stack_draw.js";
import { changes, compare, problems, queries, rowWords } from "./stack_judge.js";
import { say } from "./words.js";

const AS_FOUND = new Set(["received", "removed"]);
export const isStack = (step) => step?.unit_kind === "stack";

/** Give the latest stack of a figure in the phases as found, or as built, that no entry corrects; null for none. */
export function latest(model, figure, asFound) {
  const keys = new Set(model.sheet.steps.filter((step) => step.figure === figure && AS_FOUND.has(step.phase) === asFound).map((step) => step.key));
  const found = model.entries.filter((entry) => keys.has(entry.key) && !entry.replaced_by && ["reading", "unreadable"].includes(entry.kind));
  return found.at(-1) ?? null;
}

const shimsOf = (entry) => (entry?.kind === "reading" ? entry.shims : null);

/** Lay what is built beside what was taken out; what is not confirmed yet is awaited, and so is the rest while building. */
function laid(out, back, building) {
  if (!out) return (back ?? []).map((shim, at) => ({ single: true, kind: "same", back: shim, backPlace: at + 1 }));
  if (!back) return out.map((shim, at) => ({ single: true, kind: "same", back: shim, backPlace: at + 1 }));
  const rows = compare(out, back);
  const last = rows.findLastIndex((row) => row.back);
  return rows.map((row, at) => {
    if (row.back?.on === false) return { ...row, kind: "awaited", out: row.out ?? row.back };
    return building && at > last ? { ...row, kind: "awaited" } : row;
  });
}

/** Give the rows of one side; `draft` are the shims of the open step, which go before what is recorded. */
export function sideRows(model, figure, draft = null, step = null) {
  const asFound = AS_FOUND.has(step?.phase);
  const out = draft && asFound ? draft : shimsOf(latest(model, figure, true));
  const back = draft && !asFound ? draft : shimsOf(latest(model, figure, false));
  // While what came out is typed, what goes back is not beside it: it is read as it lies there.
  return draft && asFound ? laid(null, draft, false) : laid(out, back, Boolean(draft));
}

function caption(name, rows) {
  const unlike = changes(rows.filter((row) => row.kind !== "awaited")).length;
  const compared = rows.some((row) => !row.single);
  if (!rows.length) return `${name}: ${say("stack-empty").replace(/\.$/, "").toLowerCase()}`;
  if (!compared || rows.some((row) => row.kind === "awaited")) return name;
  return `${name}: ${unlike ? say("stack-unlike-count", { count: unlike }) : say("stack-all-alike", { count: rows.length })}`;
}

function notes(rows, odd) {
  const told = changes(rows.filter((row) => !row.single && row.kind !== "awaited")).slice(0, 4);
  const lines = told.map((row, at) => h("li", {}, h("b", {}, String(at + 1)), h("span", {}, rowWords(row))));
  const out = odd.slice(0, 2).map((words) => h("li", { class: "out" }, h("span", {}, words)));
  return lines.length || out.length ? h("ol", { class: "diffs" }, lines, out) : null;
}

/** Draw both sides of the piston, the open one first in its order; at one scale, so that they may be compared. */
export function left(app, step, { draft = null, here = -1, pick = null } = {}) {
  const { model } = app;
  const steps = model.sheet.steps.filter(isStack);
  const figures = [...new Set(steps.map((one) => one.figure))];
  const all = figures.map((figure) => (figure === step.figure ? sideRows(model, figure, draft, step) : sideRows(model, figure)));
  const scale = scaleOf(all.flat().flatMap((row) => [row.out, row.back].filter(Boolean)));
  const nameOf = (figure) => steps.find((one) => one.figure === figure).stack_name;
  const drawn = figures.flatMap((figure, at) => {
    const own = figure === step.figure;
    const open = own ? all[at].findIndex((row) => row.backPlace === here + 1) : -1;
    const svg = stackDrawing(say("stack-of", { name: nameOf(figure) }), all[at], { here: open, pick: own ? pick : null, scale });
    return h("div", {}, h("figcaption", {}, caption(nameOf(figure), all[at])), all[at].length ? svg : null);
  });
  const own = all[figures.indexOf(step.figure)];
  const shown = draft ?? own.map((row) => row.back).filter(Boolean);
  const odd = [...problems(shown, step, model.comma), ...queries(shown)];
  return [h("figure", { class: "shims" }, drawn), notes(own, odd)].filter(Boolean);
}

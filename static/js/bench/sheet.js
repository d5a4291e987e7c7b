/* The left of the page: the sheet's edge, heading, cautions, drawing, readings, steps, computed figures. */

import { line as askedLine } from "./asked.js";
import { h, hidden, show } from "./dom.js";
import { cautionSign, limitsStrip, readingMark, stateMark } from "./draw.js";
import { judge, judgeWords } from "./limits.js";
import { begin, line } from "./finding.js";
import { byWords, entryWords, stepState } from "./looking.js";
import { asPhase, left } from "./parts.js";
import { labelOf } from "./names.js";
import { lead, leastHeight } from "./section.js";
import { handWords } from "./signing.js";
import { say } from "./words.js";

const CELL = 104;
// Three in a row: their names take two lines.
const NARROW_CELL = 110;
const ROW = 76;

/** Draw the sheet's edge: each stage with its line type. */
export function zones(node, app) {
  const { model } = app;
  const marks = model.sheet.stages.map((stage) => {
    const here = stage.code === app.stage;
    const state = here && !model.standing.stopped ? hereState(model, stage.code) : (model.standing.states[stage.code] ?? "planned");
    const words = hidden(`${stage.name}: ${say(`state-${state}`)}`);
    const link = { href: `#${stage.number}`, onclick: (event) => (event.preventDefault(), app.goStage(stage.code)) };
    const inside = [String(stage.number), stateMark(state), words];
    return h("li", { class: here ? "now" : null, "aria-current": here ? "step" : null }, h("a", link, inside));
  });
  show(node, marks);
}

function hereState(model, code) {
  const state = model.standing.states[code] ?? "planned";
  return state === "planned" && model.standing.open.includes(code) ? "in work" : state;
}

function head(app, stage) {
  const { model } = app;
  const waits = model.waits().filter(({ step }) => step.key !== app.key);
  const clock = waits.slice(0, 1).map(({ step, wait }) => {
    const time = h("b", { "data-ends": String(wait.ends) }, left(wait.ends - model.now));
    const link = { class: "wait", href: `#${step.key}`, onclick: (event) => (event.preventDefault(), app.go(step.key)) };
    return h("a", link, h("span", {}, step.name), time, h("span", {}, say("left")));
  });
  const more = h("button", { type: "button", class: "job", id: "job-menu", onclick: () => app.openMenu() }, say("job"));
  const find = model.standing.closed ? null : h("button", { type: "button", class: "job", id: "finding", onclick: () => app.open(begin(app)) }, say("finding"));
  return h("div", { class: "head" }, h("h1", {}, say("stage-title", { number: stage.number, name: stage.name })), clock, find, more);
}

function cautions(stage, step) {
  const words = step?.caution ? [step.caution] : (stage.cautions ?? []);
  return words.map((line) => h("p", { class: "caution" }, cautionSign(), h("span", {}, line)));
}

/** Write a value with its unit as a smaller caption: the unit is what follows the figure as it was typed. */
function valueNodes(entry, step) {
  const label = labelOf(entry.unit, step.unit_kind);
  const figure = label && entry.text.endsWith(label) ? entry.text.slice(0, -label.length).trim() : entry.text;
  const plain = /^[+−-]?[\d\s./,¼½¾⅛⅜⅝⅞]+$/u.test(figure);
  return plain ? [figure, label ? h("span", { class: "unit" }, label) : null] : [entry.text];
}

function builtNode(model, step) {
  const other = model.counterpart(step);
  if (!other) return null;
  const name = asPhase(other.step);
  const { entry } = other;
  const text = entry?.kind === "reading" ? h("b", {}, valueNodes(entry, other.step)[0]) : entry ? h("b", {}, "–") : [readingMark("none"), hidden(say("no-reading-yet"))];
  return h("span", { class: "built" }, name, " ", text);
}

function sayNode(model, step, entry) {
  const { low = null, high = null } = step.limits ?? {};
  const { verdict } = judge(step, entry?.si ?? null);
  const out = verdict === "below" || verdict === "above";
  const limits = judgeWords(step, entry?.kind === "reading" ? entry : null, model.sheet.tables, { comma: model.comma, short: true });
  const words = entry ? limits || byWords(entry) : limits || say("no-reading-yet");
  const strip = low !== null || high !== null ? limitsStrip(entry?.si ?? null, low, high, verdict, 100) : null;
  return h("span", { class: "say" }, strip, h("span", { class: out ? "out" : null }, words.replace(/\.$/, "")));
}

function cell(app, step) {
  const { model } = app;
  const entry = model.current(step.key);
  const here = step.key === app.key;
  const link = { class: "cell", href: `#${step.key}`, "data-step": step.key, "aria-current": here ? "true" : null };
  const out = entry?.kind === "reading" && ["below", "above"].includes(judge(step, entry.si).verdict);
  const reading = step.kind === "reading" && (!entry || entry.kind === "reading");
  const value = !entry ? h("span", { class: "val" }, "?") : reading
    ? h("span", { class: out ? "val out" : "val" }, valueNodes(entry, step))
    : h("span", { class: "val words" }, entryWords(step, entry)); // prettier-ignore
  const built = reading ? builtNode(model, step) : null;
  return h("a", { ...link, onclick: (event) => (event.preventDefault(), app.go(step.key)) },
    h("span", { class: "name" }, step.name), value, built, step.kind === "reading" ? sayNode(model, step, entry) : null); // prettier-ignore
}

/** One cell or row that opens the whole list, with what is in and what is open. */
function allOf(app, steps, name) {
  const { model } = app;
  const open = steps.filter((step) => !model.stands(step.key)).length;
  const out = steps.filter((step) => model.current(step.key)?.outside).length;
  const press = (event) => (event.preventDefault(), app.openIndex());
  const words = say("in-and-open", { done: steps.length - open, open });
  if (name === "cell") {
    const note = out ? h("span", { class: "say out" }, say("outside-count", { count: out })) : null;
    return h("a", { class: "cell all", href: "#all", onclick: press }, h("span", { class: "name" }, say("all-count", { count: steps.length })), h("span", { class: "val words" }, words), note);
  }
  return h("li", { class: "all" }, h("span", {}), h("a", { href: "#all", onclick: press }, h("b", {}, say("all-count", { count: steps.length }))), h("span", { class: "val" }, words));
}

/** Choose which of a long list are shown: the page of it that the open step stands on. */
function page(steps, key, room) {
  if (steps.length <= room) return { shown: steps, all: false };
  const size = Math.max(1, room - 1);
  const at = Math.max(0, steps.findIndex((step) => step.key === key));
  const start = Math.min(Math.floor(at / size) * size, steps.length - size);
  return { shown: steps.slice(start, start + size), all: true };
}

function stepRow(app, step) {
  const { model } = app;
  const entry = model.current(step.key);
  const here = step.key === app.key;
  const state = stepState(model, step, app.key);
  const mark = h("span", {}, stateMark(state), hidden(say(`state-${state}`)));
  const link = { href: `#${step.key}`, "data-step": step.key, onclick: (event) => (event.preventDefault(), app.go(step.key)) };
  const small = entry ? h("small", {}, [byWords(entry), handWords(model, entry)].filter(Boolean).join(", ")) : step.required === false ? h("small", {}, say("if-needed")) : null;
  const value = entry ? entryWords(step, entry) : here ? say("value-open") : "";
  return h("li", { class: here ? "need" : null, "aria-current": here ? "step" : null }, mark, h("a", link, h("b", {}, step.name), small), h("span", { class: "val" }, value));
}

function asCells(steps) {
  const readings = steps.filter((step) => step.kind === "reading").length;
  return readings >= 3 && readings * 2 >= steps.length;
}

/**
 * Say how much the steps need at the least before the drawing may take room from them: the open one and the way to
 * all of them, a step more where nothing was found that the drawing must show.
 */
function leastRoom(steps, columns, found) {
  if (asCells(steps)) return columns === 3 ? NARROW_CELL : CELL;
  return Math.min(found ? 2 : 3, steps.length) * ROW;
}

/** Draw the steps: as cells where readings are most of the sheet, as a list of lines otherwise. */
function body(app, steps, room, columns) {
  if (asCells(steps)) {
    const fit = Math.max(1, Math.floor(room / CELL)) * columns;
    const { shown, all } = page(steps, app.key, fit);
    const cells = shown.map((step) => cell(app, step));
    return h("nav", { class: "cells", "aria-label": say("readings") }, cells, all ? allOf(app, steps, "cell") : null);
  }
  const { shown, all } = page(steps, app.key, Math.max(2, Math.floor(room / ROW)));
  const rows = shown.map((step) => stepRow(app, step));
  return h("ol", { class: "steps" }, rows, all ? allOf(app, steps, "row") : null);
}

function computed(model, steps) {
  const names = [...new Set(steps.map((step) => step.computed).filter(Boolean))];
  const found = names.map((name) => [name, model.sheet.computed?.[name]]).filter(([, figure]) => figure?.words);
  if (!found.length) return null;
  const rows = found.map(([name, figure]) =>
    h("div", {}, h("dt", {}, say(`computed-${name.replaceAll(" ", "-")}`)), h("dd", { class: figure.trouble ? "out" : null }, figure.words)),
  );
  return h("dl", { class: "lines" }, rows);
}

function refusedLine(app) {
  const count = app.model.queue.refused.length;
  if (!count) return null;
  return h("button", { type: "button", class: "refused", onclick: () => app.openRefused() }, h("b", {}, say("refused-count", { count })), h("span", {}, app.model.queue.refused[0].refused.sentence));
}

/** A note to the next shift stands over the sheet until somebody takes it; it opens whole on the right. */
function shiftLine(app) {
  const [first, ...others] = app.model.shiftNotes();
  if (!first) return null;
  const more = others.length ? ` ${say("and-more", { count: others.length })}` : "";
  return h("button", { type: "button", class: "shift", onclick: () => app.openShift() }, h("b", {}, say("shift-from", { by: first.by })), h("span", {}, first.words, more));
}

/** Draw the left: what is measured is measured again after each change of size. The drawing takes what room is left. */
export function sheet(node, app, drawing) {
  const { model } = app;
  const stage = model.stage(app.stage);
  const steps = model.stepsOf(app.stage);
  const own = app.panel?.left?.();
  const found = own && own === drawing ? null : line(app);
  const top = [head(app, stage), shiftLine(app), askedLine(app), refusedLine(app), found, ...cautions(stage, model.steps.get(app.key))].filter(Boolean);
  const figures = computed(model, steps);
  node.classList.toggle("stk", Boolean(own));
  if (own && own === drawing) lead(drawing, app);
  if (own) return show(node, top, own);
  node.setAttribute("aria-label", say("sheet-label", { number: stage.number, name: stage.name }));
  show(node, top, figures);
  const narrow = matchMedia("(max-width: 760px)").matches;
  const columns = matchMedia("(orientation: portrait)").matches ? 3 : 2;
  const used = [...node.children].reduce((sum, child) => sum + child.offsetHeight, 0);
  const free = narrow ? Infinity : node.clientHeight - used;
  const wanted = free - leastHeight(drawing);
  const draws = drawing && (narrow || wanted >= leastRoom(steps, columns, app.model.sheet.findings?.length));
  const list = body(app, steps, draws ? wanted : free, columns);
  list.classList.toggle("fill", !draws);
  if (draws) lead(drawing, app);
  show(node, top, draws ? drawing : null, list, figures);
}

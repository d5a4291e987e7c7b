/* Steps that are no reading: done, proved, chosen, waited for, fitted, picked up. */

import { h } from "./dom.js";
import { follow } from "./finding.js";
import { answers, ask, clockTime, deadEnd, doButton, left, reasons } from "./parts.js";
import { pickTool } from "./tooling.js";
import { say } from "./words.js";

const MEASURED = new Set(["ml", "mm"]);
// A body that drips no more is drained; that nothing comes is no reason to cut a leak check short.
const earlyOf = (step) => (step.stage === "strip" ? ["early-clear"] : []).concat("early-longer-not-needed");

const labelled = (step) => say("entry-of", { name: step.name });

/** Offer to go on without a step that is not required. */
export function skip(app, step) {
  if (step.required !== false) return null;
  return doButton(say("skip"), () => (app.model.skipped.add(step.key), app.onward()));
}

export function doing(app, step) {
  const record = () => app.record(app.model.entry(step, "do"));
  return {
    label: labelled(step),
    nodes: [h("div", { class: "ask" }, h("h2", { tabindex: "-1" }, step.name), h("p", { class: "told" }, step.text), skip(app, step))],
    bar: () => ({ words: say("done", { name: step.name }), act: record }),
  };
}

/** Say how a chosen answer is recorded: a stop is worded as one, and never in the bright ink. */
function answerBar(step, option, record) {
  if (!option) return { idle: say(step.kind === "proof" ? "choose-proof" : "choose-answer") };
  if (option.stops) return { words: say("record-stop", { words: option.words }), act: record, end: true };
  return { words: say("record-answer", { words: option.words }), act: record };
}

/** A proof: two answers of the same weight, and nothing bright before one of them is chosen. */
export function proof(app, step, { replaces = null } = {}) {
  let chosen = null;
  const list = step.options.map((option) => ({ value: option.value, words: option.words }));
  const choose = (value) => {
    chosen = step.options.find((option) => option.value === value);
    app.bar();
  };
  const last = app.model.current(step.key);
  const before = last && !replaces ? h("p", { class: "hint" }, say("last-answer", { words: optionWords(step, last.answer), by: last.by, time: clockTime(last.typed_at) })) : null;
  const record = () => {
    const entry = app.model.entry(step, step.kind, { answer: chosen.value, replaces });
    app.record(entry);
    // A part that is no good is a finding: it is asked for at once, with the part and the words known.
    if (step.kind === "choice") follow(app, step, entry);
  };
  return {
    label: labelled(step),
    nodes: [ask(step.name, step.text, before, answers(list, choose, step.kind === "proof"), skip(app, step))],
    bar: () => answerBar(step, chosen, record),
  };
}

/** Give an option's words by its value; the value itself where the step has no such option any more. */
export function optionWords(step, value) {
  return step.options?.find((option) => option.value === value)?.words ?? value;
}

/** A wait: begun with one tap, then a clock; ended when its time is over, or before with a reason. */
export function waiting(app, step) {
  const wait = app.model.wait(step);
  return wait ? running(app, step, wait) : beginning(app, step);
}

function beginning(app, step) {
  const total = h("div", { class: "clock" }, h("b", {}, left(step.minutes * 60_000)), h("span", {}, say("wait-minutes", { minutes: step.minutes })));
  return {
    label: labelled(step),
    nodes: [h("div", { class: "ask" }, h("h2", { tabindex: "-1" }, step.name), h("p", { class: "told" }, step.text), total, skip(app, step))],
    bar: () => ({ words: say("wait-begin", { name: step.name, minutes: step.minutes }), act: () => app.record(app.model.entry(step, "wait"), { stay: true }) }),
  };
}

function running(app, step, begun) {
  const { model } = app;
  // The program's answer may move the end: it is asked for each time.
  const ends = () => (model.wait(step) ?? begun).ends;
  const b = h("b", { role: "timer", "aria-label": say("wait-left", { name: step.name }) });
  const span = h("span", {});
  const end = (reason) => app.record(model.entry(step, "wait end", { about: begun.entry, reason }));
  const over = () => model.now >= ends();
  const tick = () => {
    b.textContent = left(ends() - model.now);
    span.textContent = over() ? say("wait-over", { minutes: step.minutes }) : say("wait-until", { time: clockTime(ends() - model.offset) });
  };
  tick();
  const next = model.nextOpen(step.stage, step.key);
  const ways = [
    next ? doButton(say("go-on-with", { name: next.name }), () => app.go(next.key)) : null,
    over() ? null : doButton(say("end-early"), () => app.open(early(app, step, end))),
    h("a", { class: "do", href: app.addresses.bench }, say("another-damper")),
  ];
  return {
    label: labelled(step),
    nodes: [h("div", { class: "ask" }, h("h2", { tabindex: "-1" }, step.name), h("div", { class: "clock" }, b, span), h("div", { class: "ways" }, ways))],
    bar: () => (over() ? { words: say("wait-end", { name: step.name }), act: () => end("") } : { idle: say("wait-runs", { time: clockTime(ends() - model.offset) }) }),
    tick: () => (tick(), over()),
  };
}

function early(app, step, end) {
  const why = reasons(earlyOf(step).map((word) => say(word)), () => app.bar());
  const title = h("h2", { tabindex: "-1", id: "slip" }, say("early", { name: step.name }));
  return {
    label: say("early", { name: step.name }),
    nodes: [h("section", { class: "reason", "aria-labelledby": "slip" }, title, why.nodes, doButton(say("let-it-run"), () => app.go(step.key)))],
    bar: () => (why.words() ? { words: say("end-now", { name: step.name }), act: () => end(why.words()) } : { idle: say("early-why") }),
  };
}

/** Write a lot as one line: its batch, how many, how long it is good. */
function lotWords(line, lot) {
  const until = lot.expires ? say("lot-until", { until: lot.expires }) : "";
  const left = MEASURED.has(line.unit) ? `${lot.on_hand} ${line.unit}` : lot.on_hand;
  return [say("lot", { batch: lot.batch, left }), until].filter(Boolean).join(", ");
}

/** Parts of a kit, each with its lot: the oldest good one stands first and is chosen. */
export function fitting(app, step) {
  const lots = new Map(step.parts.map((line) => [line.line, line.lots[0]?.id ?? null]));
  const short = step.parts.filter((line) => lots.get(line.line) === null);
  const chosen = () => [...lots].map(([line, lot]) => ({ line, lot }));
  const record = () => app.record(app.model.entry(step, "part", { lots: chosen() }));
  if (short.length) return lacking(app, step, short);
  const rows = step.parts.map((line) => partLine(line, (lot) => lots.set(line.line, lot)));
  return {
    label: labelled(step),
    nodes: [h("div", { class: "ask" }, h("h2", { tabindex: "-1" }, step.name), h("p", { class: "hint" }, step.text), h("div", { class: "answers kit" }, rows), skip(app, step))],
    bar: () => ({ words: say("record-parts", { name: step.name, count: step.parts.length }), act: record }),
  };
}

function partLine(line, take) {
  const id = `lot-${line.line}`;
  const name = MEASURED.has(line.unit) ? `${line.quantity} ${line.unit} ${line.name}` : `${line.quantity} × ${line.name}`;
  if (line.lots.length < 2) return h("p", { class: "part" }, h("span", {}, name), h("span", {}, lotWords(line, line.lots[0])));
  const options = line.lots.map((lot) => h("option", { value: String(lot.id) }, lotWords(line, lot)));
  const select = h("select", { id, onchange: (event) => take(line.lots[event.target.selectedIndex].id) }, options);
  return h("div", { class: "f part" }, h("label", { for: id }, name), select);
}

function lacking(app, step, short) {
  const names = short.map((line) => line.name).join(", ");
  return {
    stop: true,
    label: labelled(step),
    nodes: deadEnd(say("no-lot", { names }), { who: [say("no-lot-who")], more: [skip(app, step)] }),
    bar: () => ({ idle: say("no-lot-idle") }),
  };
}

/** A tool step: pick it by its tag. */
export function tooling(app, step) {
  const picking = pickTool(app, step, (tool, reason) => app.record(app.model.entry(step, "tool", { tool, reason })));
  const extra = skip(app, step);
  return { label: picking.label, nodes: extra ? [...picking.nodes, extra] : picking.nodes, bar: () => picking.bar() };
}

/* Looking at what is recorded, at the list of steps, at the sheets; and what may be done at any time. */

import { h, hidden } from "./dom.js";
import { limitsStrip, stateMark } from "./draw.js";
import { judge, judgeWords } from "./limits.js";
import { optionWords } from "./answers.js";
import { asPhase, clockTime, doButton } from "./parts.js";
import { offer } from "./finding.js";
import { countWords, gallery } from "./picture.js";
import { note } from "./shift.js";
import { hands, notTheirs } from "./signing.js";
import { isStack, left } from "./stack_left.js";
import { say } from "./words.js";

const CORRECTABLE = new Set(["reading", "unreadable", "proof", "choice", "picture"]);

/** Say in a few words what an entry recorded. */
export function entryWords(step, entry) {
  if (!entry) return "";
  if (entry.kind === "reading") return entry.text;
  if (entry.kind === "unreadable") return say("unreadable-short");
  if (entry.answer && step) return optionWords(step, entry.answer);
  if (entry.tool) return entry.tool;
  if (entry.pictures?.length) return countWords(entry.pictures.length);
  return say(`value-${entry.kind.replace(" ", "-")}`);
}

/** Say who recorded an entry, and when; what is kept here and not stored says so. */
export function byWords(entry) {
  return say(entry.stored_at ? "by-at" : "by-kept", { by: entry.by, time: clockTime(entry.typed_at) });
}

function facts(step, entry) {
  const lots = (entry.lots ?? []).length;
  const by = [say("fact-by", { by: byWords(entry) }), entry.tool && entry.kind !== "tool" ? say("with-tool", { tool: entry.tool }) : ""];
  const rows = [
    entry.words ? [say("fact-words"), entry.words] : null,
    entry.reason ? [say("fact-reason"), entry.reason] : null,
    lots ? [say("fact-lots"), String(lots)] : null,
    entry.out_of_order ? [say("fact-order"), say("out-of-order")] : null,
  ];
  const lines = rows.filter(Boolean).map(([name, value]) => h("div", {}, h("dt", {}, name), h("dd", {}, value)));
  return [h("p", { class: "hint" }, by.join(" ")), lines.length ? h("dl", { class: "lines" }, lines) : null];
}

/** Write out what was computed from a figure: the lines of the IFP check. */
function worked(model, step) {
  const lines = model.sheet.computed?.[step.computed]?.lines ?? [];
  if (!lines.length) return null;
  const rows = lines.map((line) => line.split(/: (.*)/)).map(([name, value]) => h("div", {}, h("dt", {}, name), h("dd", {}, value)));
  return h("dl", { class: "lines close" }, rows);
}

/** List what stood here before: a corrected value stays readable. */
function before(step, entries) {
  if (!entries.length) return null;
  const lines = entries.map((entry) => h("li", {}, h("s", {}, entryWords(step, entry)), h("small", {}, byWords(entry))));
  return h("div", { class: "before" }, h("h3", {}, say("stood-before")), h("ol", {}, lines));
}

/** Show a recorded step large, with its history; a reading or an answer may be corrected from here. */
export function recorded(app, step, entry) {
  const { model } = app;
  const old = model.history(step.key).filter((one) => one.id !== entry.id);
  const { low = null, high = null } = step.limits ?? {};
  const { verdict } = judge(step, entry.si ?? null);
  const strip = entry.kind === "reading" && (low !== null || high !== null) ? limitsStrip(entry.si, low, high, verdict, 268) : null;
  const words = entry.kind === "reading" ? judgeWords(step, entry, model.sheet.tables, { comma: model.comma }) : "";
  const value = h("p", { class: entry.kind === "reading" ? "figure" : "figure words" }, entryWords(step, entry));
  const name = h("h2", { tabindex: "-1" }, h("span", {}, step.name), " ", h("span", { class: "cap" }, asPhase(step)));
  const { line, all, bar } = hands(app, step, entry);
  const correct = CORRECTABLE.has(entry.kind) && !notTheirs(model, step) && !model.standing.stopped && !model.standing.closed
    ? doButton(say("correct", { text: entryWords(step, entry) }), () => app.correct(step, entry)) : null; // prettier-ignore
  return {
    label: say("entry-of", { name: step.name }),
    nodes: [h("div", { class: "look" }, name, value, h("p", { class: "say" }, strip, h("span", {}, words)), gallery(app, entry.pictures), facts(step, entry), line, worked(model, step), before(step, old), offer(app, step, entry, entryWords(step, entry)), all, correct)],
    bar: () => bar ?? app.nextBar(step.key),
    left: isStack(step) && entry.kind === "reading" ? () => left(app, step) : null,
  };
}

/** Say how a step of a stage stands: done, in work (the open one), waiting, planned, stopped. */
export function stepState(model, step, openKey) {
  if (model.standing.waiting.includes(step.key)) return "waiting";
  if (model.stands(step.key)) return "done";
  if (step.key === openKey && model.mayRecord(step.key)) return "in work";
  return model.standing.stopped && step.stage === model.standing.stage ? "stopped" : "planned";
}

function row(state, name, value, press) {
  const mark = [stateMark(state), hidden(say(`state-${state}`))];
  return h("li", {}, h("button", { type: "button", class: "row", onclick: press }, h("span", {}, mark), h("span", {}, name), h("b", {}, value)));
}

/** List all steps of a sheet: the index for a long one. */
export function index(app, code) {
  const { model } = app;
  const stage = model.stage(code);
  const rows = model.stepsOf(code).map((step) => row(stepState(model, step, null), step.name, entryWords(step, model.current(step.key)), () => app.go(step.key)));
  return {
    label: say("all-of-sheet"),
    nodes: [h("div", { class: "look" }, h("h2", { tabindex: "-1" }, say("stage-title", { number: stage.number, name: stage.name })), h("ol", { class: "rows" }, rows))],
    bar: () => app.nextBar(null),
  };
}

/** What may be done at any time: go to a sheet, write a note, close the job, change the light. */
export function menu(app) {
  const { model } = app;
  const sheets = model.sheet.stages.map((stage) =>
    row(model.standing.states[stage.code] ?? "planned", `${stage.number} ${stage.name}`, "", () => app.goStage(stage.code)),
  );
  const dark = document.documentElement.dataset.theme === "dark";
  const theme = { class: "do", type: "button", "data-theme-switch": "", "data-dark": say("dark"), "data-light": say("light") };
  const ways = [
    doButton(say("write-note"), () => app.open(note(app))),
    model.standing.closed ? null : doButton(say("close-job"), () => app.openClosing()),
    h("button", theme, say(dark ? "light" : "dark")),
    h("a", { class: "do", href: app.addresses.damper }, say("damper-life")),
    h("a", { class: "do", href: app.addresses.bench }, say("my-bench")),
  ];
  return {
    label: say("job-menu"),
    nodes: [h("div", { class: "look" }, h("h2", { tabindex: "-1" }, say("sheets")), h("ol", { class: "rows three" }, sheets), h("div", { class: "ways four" }, ways))],
    bar: () => app.nextBar(app.key),
  };
}

/** Show an entry that was refused: the sentence, and a way to change it or to throw it away. */
export function refused(app) {
  const { model } = app;
  const [first, ...others] = model.queue.refused;
  if (!first) return null;
  const { entry } = first;
  const step = model.steps.get(`${entry.step}:${entry.position}`);
  const name = step?.name ?? say(`value-${entry.kind.replace(" ", "-")}`);
  const ways = [
    step ? doButton(say("change-it"), () => app.change(step, entry)) : null,
    doButton(say("throw-away"), () => app.discard(entry.id), { class: "do end" }),
  ];
  const what = say("refused-what", { name, text: entryWords(step, { ...entry, answer: entry.answer || entry.outcome }) || entry.words });
  return {
    label: say("refused"),
    nodes: [h("div", { class: "look" }, h("h2", { tabindex: "-1" }, what), h("p", { class: "told out" }, first.refused.sentence), h("p", { class: "hint" }, say("refused-hint"), others.length ? ` ${say("and-more", { count: others.length })}.` : ""), h("div", { class: "ways" }, ways))],
    bar: () => app.nextBar(app.key),
  };
}

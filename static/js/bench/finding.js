/* Findings: recorded from any step in a few taps, listed on the sheet, corrected, put right. */

import { h } from "./dom.js";
import { balloon } from "./draw.js";
import { holds } from "./held.js";
import { byWords } from "./looking.js";
import { doButton, field } from "./parts.js";
import { about, countWords, forDraft, forFinding, gallery } from "./picture.js";
import { say } from "./words.js";

const UNSAFE = "unsafe";

/** Find the words of a code in a list of [code, words]. */
const wordsIn = (list, code) => list.find(([value]) => value === code)?.[1] ?? code;

/** Name the part of a finding. */
export function partWords(model, { part, part_words: own }) {
  return (part === "other" && own) || wordsIn(model.sheet.found.parts, part);
}

/** Say how the customer answered, and whether it is put right. */
export function standsWords({ grade, answer, put_right: right, asks }) {
  if (right) return say("finding-right");
  if (answer) return say(answer === "yes" ? "finding-agreed" : "finding-declined");
  return grade === UNSAFE || asks ? say("finding-waits") : "";
}

/** Draw keys to choose one from; the chosen one is pressed. */
function keys(label, list, chosen, choose, class_) {
  const buttons = list.map(([value, words]) => {
    const press = (event) => {
      for (const other of event.currentTarget.parentElement.children) other.setAttribute("aria-pressed", "false");
      event.currentTarget.setAttribute("aria-pressed", "true");
      choose(value);
    };
    return h("button", { type: "button", "data-value": value, "aria-pressed": String(value === chosen), onclick: press }, words);
  });
  return h("div", { class: `pick ${class_}`, role: "group", "aria-label": label }, buttons);
}

/** Begin a finding: the part first. `about` is the entry it was begun from, `replaces` the finding it corrects. */
export function begin(app, draft = {}) {
  const { parts } = app.model.sheet.found;
  const title = h("h2", { tabindex: "-1" }, say("finding-part"));
  const choose = (part) => app.open(describe(app, { ...draft, part }));
  const grid = keys(say("finding-part"), parts, draft.part ?? null, choose, "parts");
  grid.append(h("button", { type: "button", class: "leave", onclick: () => app.again() }, say("leave-it")));
  return {
    label: say("finding-new"),
    nodes: [h("div", { class: "find" }, title, grid)],
    bar: () => ({ idle: say("finding-part-idle") }),
  };
}

/** Say what is wrong with the part: condition, value, advice, grade. All on one sheet. */
export function describe(app, draft) {
  const { model } = app;
  const { conditions, advice, grades } = model.sheet.found;
  const said = { condition: "", words: "", text: "", part_words: "", advice: "", grade: "", reason: "", shots: [], ...draft };
  const take = (name) => (value) => {
    said[name] = typeof value === "string" ? value.trim() : value;
    app.bar();
  };
  const lowers = () => draft.was === UNSAFE && said.grade && said.grade !== UNSAFE;
  const why = h("div", { hidden: !lowers() }, field(say("finding-why-less"), { value: said.reason, typed: take("reason") }));
  const takeGrade = (value) => {
    take("grade")(value);
    why.hidden = !lowers();
  };
  const typed = [
    said.part === "other" ? field(say("finding-which-part"), { value: said.part_words, typed: take("part_words") }) : null,
    field(say("finding-words"), { value: said.words, typed: take("words") }),
    field(say("finding-value"), { value: said.text, typed: take("text") }),
  ];
  const name = h("h2", { tabindex: "-1" }, h("span", {}, partWords(model, said)), " ", h("span", { class: "cap" }, say(draft.replaces ? "finding-correct" : "finding-new")));
  const nodes = [
    keys(say("finding-condition"), conditions.map((words) => [words, words]), said.condition, take("condition"), "conditions"),
    h("div", { class: "typed" }, typed),
    keys(say("finding-advice"), advice, said.advice, take("advice"), "advice"),
    keys(say("finding-grade"), grades, said.grade, takeGrade, "grades"),
    why,
    h("div", { class: "ways three" }, doButton(say("finding-other-part"), () => app.open(begin(app, said))), doButton(said.shots.length ? countWords(said.shots.length) : say("picture-add"), () => app.open(pictured(app, said))), doButton(say("leave-it"), () => app.again())),
  ];
  return {
    label: say("finding-new"),
    nodes: [h("div", { class: "find" }, name, nodes)],
    bar: () => bar(app, said, lowers()),
  };
}

/** The pictures of a finding that is not recorded yet; they are recorded with it. */
function pictured(app, said) {
  const name = partWords(app.model, said);
  const likely = [name, [said.condition, said.words].filter(Boolean).join("; ")].filter(Boolean).join(": ");
  return forDraft(app, { title: say("picture-of", { name }), likely, list: said.shots, back: () => app.open(describe(app, said)) });
}

function bar(app, said, lowers) {
  const { model } = app;
  const words = [said.condition, said.words].filter(Boolean).join("; ");
  if (said.part === "other" && !said.part_words) return { idle: say("finding-which-part") };
  if (!words) return { idle: say("finding-condition-idle") };
  if (!said.advice) return { idle: say("finding-advice-idle") };
  if (!said.grade) return { idle: say("finding-grade-idle") };
  if (lowers && !said.reason) return { idle: say("finding-why-less") };
  const { part, part_words, advice, grade, text, reason } = said;
  const record = () => {
    const more = { words, text, reason, part, part_words, advice, answer: grade, about: said.about ?? null, replaces: said.replaces ?? null };
    const entry = model.entry(null, "finding", more);
    app.record(entry, { stay: true, again: true });
    if (said.shots.length) model.queue.add(about(app, entry.id, said.shots));
  };
  const values = { part: partWords(model, said), words, grade: wordsIn(model.sheet.found.grades, grade) };
  return { words: say(said.replaces ? "finding-correct-to" : "finding-record", values), act: record, end: grade === UNSAFE };
}

/** The line on the sheet that says what is found, and opens the list. */
export function line(app) {
  const { model } = app;
  const { findings } = model;
  if (!findings.length) return null;
  const worst = findings.find(holds) ?? findings.at(-1);
  const name = h("span", {}, `${partWords(model, worst)}: ${worst.condition}`, h("small", { class: holds(worst) ? "out" : null }, gradeLine(model, worst)));
  const more = findings.length > 1 ? h("b", {}, say("and-more", { count: findings.length - 1 })) : null;
  return h("button", { type: "button", class: "found", id: "findings", onclick: () => app.open(list(app)) }, balloon(worst.number), name, more);
}

function gradeLine(model, finding) {
  return [wordsIn(model.sheet.found.grades, finding.grade), standsWords(finding)].filter(Boolean).join(", ");
}

/** List what is found, and beside it the drawing with the same numbers: there is always room for both. */
export function list(app) {
  const { model } = app;
  const rows = model.findings.map((finding) => {
    const words = h("span", {}, `${partWords(model, finding)}: ${finding.condition}`, h("small", {}, gradeLine(model, finding)));
    return h("li", {}, h("button", { type: "button", class: "row", onclick: () => app.open(shown(app, finding)) }, h("span", {}, balloon(finding.number)), words, h("b", {}, finding.value)));
  });
  const add = model.standing.closed ? null : doButton(say("finding-new"), () => app.open(begin(app)));
  return {
    label: say("findings"),
    left: app.drawing ? () => app.drawing : null,
    nodes: [h("div", { class: "look" }, h("h2", { tabindex: "-1" }, say("findings")), rows.length ? h("ol", { class: "rows" }, rows) : h("p", { class: "told" }, say("findings-none")), add)],
    bar: () => app.nextBar(app.key),
  };
}

/** Show one finding large, with what holds, and what may be done: correct it, or record that it was put right. */
export function shown(app, finding) {
  const { model } = app;
  const { found } = model.sheet;
  const entry = model.entries.find((one) => one.id === finding.id);
  const facts = [
    [say("finding-grade"), wordsIn(found.grades, finding.grade)],
    [say("finding-advice"), wordsIn(found.advice, finding.advice)],
    finding.value ? [say("finding-value"), finding.value] : null,
    standsWords(finding) ? [say("finding-stands"), standsWords(finding)] : null,
  ];
  const rows = facts.filter(Boolean).map(([name, value]) => h("div", {}, h("dt", {}, name), h("dd", {}, value)));
  const draft = { part: finding.part, part_words: finding.part_words, words: finding.condition, text: finding.value, advice: finding.advice, grade: finding.grade, was: finding.grade, replaces: finding.id };
  const over = model.standing.closed || !finding.number;
  const ways = [
    doButton(say("findings"), () => app.open(list(app))),
    over ? null : doButton(say("finding-correct"), () => app.open(describe(app, draft))),
    over || finding.put_right ? null : doButton(say("finding-put-right"), () => app.open(putRight(app, finding))),
    finding.number ? doButton(say("picture-add"), () => app.open(more(app, finding))) : null,
  ];
  const title = h("h2", { tabindex: "-1" }, h("span", { class: "balloon" }, balloon(finding.number, 40), h("span", {}, partWords(model, finding))));
  const held = holds(finding) ? h("p", { class: "told out" }, say("finding-holds")) : null;
  return {
    label: say("finding-of", { name: partWords(model, finding) }),
    nodes: [h("div", { class: "look" }, title, h("p", { class: "figure words" }, finding.condition), held, h("dl", { class: "lines" }, rows), gallery(app, model.picturesOf(finding)), entry ? h("p", { class: "hint" }, byWords(entry)) : null, h("div", { class: "ways four" }, ways))],
    bar: () => app.nextBar(app.key),
  };
}

function more(app, finding) {
  const name = partWords(app.model, finding);
  const back = () => app.open(shown(app, app.model.findings.find((one) => one.id === finding.id) ?? finding));
  return forFinding(app, { id: finding.id, title: say("picture-of", { name }), likely: `${name}: ${finding.condition}`, back });
}

/** Say how a finding was put right. */
function putRight(app, finding) {
  let words = "";
  const typed = field(say("finding-how-right"), { wide: true, typed: (value) => ((words = value.trim()), app.bar()) });
  const record = () => app.record(app.model.entry(null, "put right", { words, about: finding.id }), { stay: true, again: true });
  const title = h("h2", { tabindex: "-1" }, say("finding-right-title", { name: partWords(app.model, finding) }));
  return {
    label: say("finding-put-right"),
    nodes: [h("div", { class: "ask" }, title, finding.answer === "yes" ? null : h("p", { class: "hint" }, say("finding-right-hint")), typed, doButton(say("leave-it"), () => app.again()))],
    bar: () => (words ? { words: say("finding-right-record"), act: record } : { idle: say("finding-how-right") }),
    focus: typed.querySelector("textarea"),
  };
}

/** Begin a finding from an answer: the part is known by the step, the condition by the answer's words. */
function from(app, step, entry, words) {
  const draft = { part: app.model.sheet.found.part_of[step.id] ?? "", words, about: entry.id };
  app.open(draft.part ? describe(app, draft) : begin(app, draft));
}

const optionOf = (step, entry) => step.options?.find((one) => one.value === entry.answer);

/** Ask for the finding at once where an answer says that a part is no good, and stops nothing. */
export function follow(app, step, entry) {
  const option = optionOf(step, entry);
  if (option && !option.passes && !option.stops && !app.model.standing.stopped) from(app, step, entry, option.words);
}

/** Offer a finding from an answer that is recorded, where it says that a part is no good or was looked at closely. */
export function offer(app, step, entry, words) {
  const option = optionOf(step, entry);
  const sound = !option || (option.passes && (step.stage !== "inspect" || option === step.options[0]));
  if (sound || step.kind !== "choice" || app.model.standing.closed) return null;
  return doButton(say("finding-from"), () => from(app, step, entry, words));
}

/** What a held stage says: which findings keep it shut, and who can change that. */
export function keeps(app) {
  const { model } = app;
  return model.findings.filter(holds).map((finding) => {
    const name = `${partWords(model, finding)}: ${finding.condition}`;
    const small = finding.answer === "yes" ? say("finding-not-right") : standsWords(finding);
    return h("li", { class: "need" }, h("span", {}, balloon(finding.number)), h("span", {}, h("b", {}, name), h("small", {}, small)), h("span", { class: "val" }, wordsIn(model.sheet.found.grades, finding.grade)));
  });
}

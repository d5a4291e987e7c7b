/* Whose hand: steps for trained people alone, a trainee's entries and who countersigns them, the second pair of eyes. */

import { h } from "./dom.js";
import { deadEnd, doButton } from "./parts.js";
import { restorers } from "./people.js";
import { say } from "./words.js";

/** Name who is trained for something by their initials. */
function trained(model, skill) {
  const who = model.sheet.skilled?.[skill] ?? [];
  return who.length ? say("trained-who", { who: who.join(", ") }) : say("trained-nobody");
}

/** The program says who is trained for what: one skill may stand for another. */
const hasSkill = (model, skill) => !skill || (model.sheet.skilled?.[skill] ?? []).includes(model.sheet.person.initials);

/** Say whether a step is closed to who has the page open; a proof is open to all where it can stop the damper. */
export function notTheirs(model, step) {
  return Boolean(step.skill) && !hasSkill(model, step.skill);
}

/** Say whether somebody else looks this over: who restored the settings does not check them. */
export function ownCheck(model, step) {
  if (!model.sheet.job.second_person || step.stage !== "final" || step.required === false) return false;
  return restorers(model.sheet.steps, model.standing.satisfied, model.entries).has(model.sheet.person.initials);
}

/** A step that is for others: who may do it. Only an answer that stops the damper is offered: that is anybody's. */
export function forOthers(app, step) {
  const { model } = app;
  const own = ownCheck(model, step);
  const stops = (step.options ?? []).filter((option) => option.stops);
  const stop = (option) => doButton(say("record-stop", { words: option.words }), () => app.record(model.entry(step, step.kind, { answer: option.value })), { class: "do end" });
  const title = own ? say("second-title", { name: step.name }) : say("skill-title", { name: step.name, skill: say(`skill-${step.skill.replaceAll(" ", "-")}`) });
  return {
    stop: true,
    label: say("entry-of", { name: step.name }),
    nodes: deadEnd(title, { who: [own ? say("second-who") : trained(model, step.skill)], more: stops.map(stop) }),
    bar: () => ({ idle: say(own ? "second-idle" : "skill-idle") }),
  };
}

/** Say whether who has the page open may countersign an entry: no trainee, not their own, trained for its step. */
function maySign(model, step, entry) {
  const { person } = model.sheet;
  return !person.trainee && entry.who !== person.initials && hasSkill(model, step?.signed_by ?? "");
}

const waits = (model, entry) => !entry.replaced_by && model.standing.unsigned.includes(entry.id);

/** List the entries of a stage that wait for a hand like this one. */
function signable(model, stage) {
  return model.entries.filter((entry) => {
    const step = model.steps.get(entry.key);
    return step?.stage === stage && waits(model, entry) && maySign(model, step, entry);
  });
}

/** Countersign entries, and go on to the next that waits for a hand like this one. */
function sign(app, entries) {
  for (const entry of entries) app.record(app.model.entry(null, "countersign", { about: entry.id }), { stay: true, again: true });
  const [next] = theirs(app.model);
  if (next) app.go(next);
}

/** List the steps whose entry waits for a hand like this one, in the order of the work. */
function theirs(model) {
  const unsigned = model.sheet.steps.filter(({ key }) => model.standing.unsigned.includes(model.standing.satisfied[key]));
  return unsigned.filter((step) => maySign(model, step, model.current(step.key))).map(({ key }) => key);
}

/** What a recorded step says of its hands: {line, all, bar}; each null where there is nothing to say or to do. */
export function hands(app, step, entry) {
  const { model } = app;
  const signature = model.entries.find((one) => one.kind === "countersign" && one.about === entry.id);
  if (signature) return { line: h("p", { class: "hint" }, say("signed-by", { by: signature.by })), all: null, bar: null };
  if (!waits(model, entry)) return { line: null, all: null, bar: null };
  const others = signable(model, step.stage);
  const many = others.length > 1 ? doButton(say("sign-all", { count: others.length, stage: model.stage(step.stage).name }), () => sign(app, others)) : null;
  const may = maySign(model, step, entry);
  const who = step.signed_by ? trained(model, step.signed_by) : say("sign-anybody");
  return {
    line: h("p", { class: "told" }, say("to-sign", { by: entry.by }), may ? "" : ` ${who}`),
    all: many,
    bar: may ? { words: say("sign", { name: step.name }), act: () => sign(app, [entry]) } : null,
  };
}

/** Give what the bar offers where entries still wait for another hand: the next one of theirs, or whom to ask; else null. */
export function signNext(app) {
  const { model } = app;
  const [next] = theirs(model).filter((key) => key !== app.key);
  if (next) return { words: say("sign-next", { name: model.steps.get(next).name }), act: () => app.go(next) };
  const count = Object.values(model.standing.satisfied).filter((id) => model.standing.unsigned.includes(id)).length;
  return count ? { idle: say("sign-idle", { count }) } : null;
}

/** Say of an entry in a list that it waits for a signature, or whose it has; "" for most. */
export function handWords(model, entry) {
  if (waits(model, entry)) return say("to-sign-short");
  const signature = entry.to_countersign ? model.entries.find((one) => one.kind === "countersign" && one.about === entry.id) : null;
  return signature ? say("signed-short", { by: signature.by }) : "";
}

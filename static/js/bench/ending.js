/* The ends of things: a sheet through, a stage locked, a damper stopped, a job closed. */

import { h } from "./dom.js";
import { keeps } from "./finding.js";
import { holds, shuts } from "./held.js";
import { comeback } from "./comeback.js";
import { goingBack, issued, wentBack } from "./going_back.js";
import { entryWords, stepState } from "./looking.js";
import { answers, ask, clockTime, deadEnd, doButton, field, stepLine } from "./parts.js";
import { handWords } from "./signing.js";
import { pastWords } from "./slips.js";
import { differences, unlikeOf } from "./restoring.js";
import { explainings } from "./stack.js";
import { say } from "./words.js";

/** A sheet is through: what is outside its limits, which waits run, and the bar leads on. */
export function through(app, code) {
  const { model } = app;
  const stage = model.stage(code);
  const steps = model.stepsOf(code);
  const missing = steps.filter((step) => model.standing.missing.includes(step.key));
  const outside = steps.filter((step) => model.current(step.key)?.outside);
  const lines = [
    ...missing.map((step) => openLine(model, step, true)),
    ...outside.map((step) => stepLine("done", step.name, say("outside-recorded"), entryWords(step, model.current(step.key)))),
    ...unlikeOf(model, code).map(({ built, received }) => stepLine("waiting", model.steps.get(built.key).name, say("restore-came", { came: received.text }), built.text, true)),
  ];
  const title = missing.length ? say("left-here", { name: stage.name, count: missing.length }) : say("through", { name: stage.name });
  return {
    label: say("stage-title", { number: stage.number, name: stage.name }),
    nodes: [h("div", { class: "look" }, h("h2", { tabindex: "-1" }, title), h("ol", { class: "steps" }, lines))],
    bar: () => app.nextBar(null),
  };
}

function openLine(model, step, need = false) {
  const wait = model.wait(step);
  const unsigned = model.stands(step.key) && handWords(model, model.current(step.key));
  const value = wait ? say("until", { time: clockTime(wait.ends - model.offset) }) : unsigned || say("value-open");
  return stepLine(wait ? "waiting" : stepState(model, step, null), step.name, need ? step.text : "", value, need);
}

/** A stage that is locked: by which steps, and where to go. Nothing here can be recorded, and nobody can pass it. */
export function locked(app, code) {
  const { model } = app;
  const stage = model.stage(code);
  const locks = (model.standing.locked_by[code] ?? []).map((key) => model.steps.get(key));
  const first = locks.find((step) => model.mayRecord(step.key) && !model.stands(step.key));
  if (shuts(model.findings, code)) return heldBack(app, stage);
  // What locks this very stage stands first: the proof, before readings that an earlier stage lacks as well.
  const keys = [...locks.filter((step) => step.locks === code), ...locks.filter((step) => step.locks !== code)];
  // The program's sentences, while they are few and nothing newer is kept here; one sentence for all otherwise.
  const told = model.queue.kept.length ? [] : (stage.locked_by ?? []);
  const said = told.length > 2 ? [] : told;
  const sign = locks.find((step) => model.stands(step.key));
  const few = keys.slice(0, 3).map((step) => openLine(model, step, step.kind === "proof"));
  const more = say("and-more", { count: keys.length - 3 });
  const rest = keys.length > 3 ? h("li", {}, h("span", {}), h("span", {}, more), h("span", {})) : null;
  return {
    stop: true,
    label: say("safety-stop"),
    nodes: deadEnd(lockTitle(model, stage, keys), {
      steps: [...few, rest].filter(Boolean),
      who: said.length ? said : say("locked-who", { name: stage.name }),
      more: [first ?? sign].filter(Boolean).map((step) => doButton(say("go-to-step", { name: step.name }), () => app.go(step.key))),
    }),
    bar: () => ({ idle: say("locked-idle", { name: stage.name }) }),
  };
}

/** A stage that a finding keeps shut: the gas stays out of a damper that is unsafe to use. */
function heldBack(app, stage) {
  const { model } = app;
  const declined = model.findings.some((finding) => holds(finding) && finding.answer === "no");
  // `held`: opened again once an answer comes, which may have a number, or the customer's yes.
  return {
    stop: true,
    held: true,
    label: say("safety-stop"),
    nodes: deadEnd(say("held-title", { stage: stage.name }), {
      steps: keeps(app),
      who: [say(declined ? "held-declined" : "held-who")],
      more: [doButton(say("findings"), () => app.openFindings())],
    }),
    bar: () => ({ idle: say("locked-idle", { name: stage.name }) }),
  };
}

/** "Zero pressure is not proved: strip is locked": a proof by its own words, other steps by how many they are. */
function lockTitle(model, stage, keys) {
  if (keys.length && keys.every((step) => model.stands(step.key))) return say("locked-unsigned", { name: keys[0].name, stage: stage.name });
  const proof = keys.find((step) => step.kind === "proof");
  const values = { stage: stage.name, name: proof?.name ?? "", count: keys.length };
  return say(proof ? "locked-proof" : keys.length === 1 ? "locked-one" : "locked-many", { ...values, one: keys[0]?.name ?? "" });
}

/** A damper that is stopped: what stopped it, and that only the owner releases it. */
export function stopped(app) {
  const { model } = app;
  const stops = (step, entry) => step?.options?.some((option) => option.stops && option.value === entry.answer);
  const entry = model.entries.filter((one) => stops(model.steps.get(one.key), one)).at(-1);
  const step = entry ? model.steps.get(entry.key) : null;
  const title = step ? say("stopped-title", { words: entryWords(step, entry), name: step.name }) : say("stopped-job");
  const lines = step ? [stepLine("stopped", step.name, `${entry.by}, ${clockTime(entry.typed_at)}`, say("state-stopped"), true)] : [];
  const owner = model.isOwner();
  const ways = [
    entry?.stored_at || model.sheet.job.stopped ? tagLink(app, say("print-tag-stop")) : null,
    owner && !model.standing.released ? doButton(say("release"), () => app.open(release(app))) : null,
    model.standing.released ? doButton(say("close-job"), () => app.openClosing()) : null,
  ];
  const who = model.standing.released ? say("released-who") : say(owner ? "stopped-owner" : "stopped-who");
  return {
    stop: true,
    label: say("safety-stop"),
    nodes: deadEnd(title, { steps: lines, who: [say("stopped-aside"), who], more: ways }),
    bar: () => ({ idle: say(model.standing.released ? "released-idle" : "stopped-idle") }),
  };
}

/** The owner says who made the damper safe, and how: it opens the way to close the job as unsafe, and no other. */
function release(app) {
  const said = { who: "", how: "" };
  const take = (name) => (value) => {
    said[name] = value.trim();
    app.bar();
  };
  const fields = [field(say("release-who"), { typed: take("who") }), field(say("release-how"), { wide: true, typed: take("how") })];
  const record = () => app.record(app.model.entry(null, "release", { words: say("release-words", said) }), { stay: true, again: true });
  return {
    label: say("release"),
    nodes: [h("div", { class: "ask" }, h("h2", { tabindex: "-1" }, say("release-title")), h("p", { class: "hint" }, say("release-hint")), fields, doButton(say("leave-it"), () => app.again()))],
    bar: () => (said.who && said.how ? { words: say("release"), act: record } : { idle: say("release-idle") }),
  };
}

/** The way to the tag that hangs on the damper: the program prints it once the ending is stored. */
function tagLink(app, words) {
  return app.addresses.tag ? h("a", { class: "do", href: app.addresses.tag }, words) : null;
}

function outcomeWords(model, value) {
  return model.sheet.closing.outcomes.find((one) => one.value === value)?.words ?? say(`outcome-${value.replaceAll(" ", "-")}`);
}

/** Close the job with its outcome: done only where nothing is missing; each other way in words. */
export function closing(app) {
  const { model } = app;
  const { standing } = model;
  const said = { outcome: "", words: "" };
  const first = [...standing.outcomes].sort((one, other) => Number(other === "done") - Number(one === "done"));
  const list = first.map((value) => ({ value, words: outcomeWords(model, value) }));
  const take = (value) => ((said.outcome = value), app.bar());
  const typed = field(say("close-words"), { typed: (value) => ((said.words = value.trim()), app.bar()) });
  const names = standing.missing.slice(0, 3).map((key) => model.steps.get(key).name);
  const rest = standing.missing.length - names.length;
  const missing = names.length ? say("close-missing", { names: names.join(", ") }) + (rest ? ` ${say("and-more", { count: rest })}.` : ".") : "";
  const unsigned = Object.values(standing.satisfied).filter((id) => standing.unsigned.includes(id)).length;
  const toSign = unsigned ? say("close-unsigned", { count: unsigned }) : "";
  const closes = () => said.outcome !== "unsafe" || standing.released;
  // A damper that is stopped as unsafe is only stopped yet: parts and why it came back are asked when it is closed.
  const asks = () => model.sheet.closing.comeback && closes();
  const parts = () => (closes() ? issued(model) : []);
  const close = (back) => {
    const end = (cause = {}) => app.record(model.entry(null, "close", { outcome: said.outcome, words: said.words, back, ...cause }), { stay: true, again: true });
    return asks() ? app.open(comeback(app, model.sheet.closing.comeback, end)) : end();
  };
  const askParts = (used) => app.open(goingBack(app, parts(), { used, go: close, words: (count) => asWords(model, said.outcome, count) }));
  const record = () => (said.outcome !== "done" && parts().length ? askParts(false) : close([]));
  const some = standing.outcomes.includes("done") && issued(model)?.length ? doButton(say("back-some"), () => ((said.outcome = "done"), askParts(true))) : null;
  return {
    label: say("close-job"),
    nodes: [ask(say("close-how"), [missing, toSign].filter(Boolean).join(" "), list.length ? answers(list, take) : h("p", { class: "told" }, say("close-none")), differences(app), explainings(app), typed, some, doButton(say("leave-it"), () => app.again()))],
    bar: () => closingBar(model, said, record, parts() === null && said.outcome !== "done"),
  };
}

function asWords(model, outcome, count) {
  return count ? say("back-close", { outcome: outcomeWords(model, outcome), count }) : say("close-as", { outcome: outcomeWords(model, outcome) });
}

function closingBar(model, { outcome, words }, record, unknown) {
  if (!outcome) return { idle: say("close-choose") };
  if (unknown) return { idle: say("back-stored") };
  if (outcome !== "done" && !words) return { idle: say("close-say-why", { outcome: outcomeWords(model, outcome) }) };
  return { words: say("close-as", { outcome: outcomeWords(model, outcome) }), act: record, end: outcome === "unsafe" };
}

/** A job that is closed: how, and the way back to the bench. */
export function closed(app) {
  const { model } = app;
  const last = model.entries.filter((entry) => entry.kind === "close").at(-1);
  const outcome = outcomeWords(model, model.standing.closed);
  const by = last ? say("by-at", { by: last.by, time: clockTime(last.typed_at) }) : "";
  return {
    label: say("closed", { outcome }),
    nodes: [h("div", { class: "look" }, h("h2", { tabindex: "-1" }, say("closed", { outcome })), h("p", { class: "told" }, last?.words ?? ""), h("p", { class: "hint" }, by), wentBack(last), last?.stored_at ? tagLink(app, say("print-tag")) : null)],
    bar: () => ({ words: say("my-bench"), href: app.addresses.bench }),
  };
}

/** A figure that the program found past an absolute limit only when it stored it (the IFP meets the cap or the floor). */
export function attempt(app, step, entry) {
  return {
    stop: true,
    label: say("slip-absolute"),
    nodes: deadEnd(say("attempt-title", { text: `${step.name} ${entry.text}` }), {
      who: [pastWords(step, entry), say("absolute-what"), say("absolute-who")].filter(Boolean),
      more: [doButton(say("type-again"), () => app.go(step.key))],
    }),
    bar: () => ({ idle: say("attempt-idle") }),
  };
}

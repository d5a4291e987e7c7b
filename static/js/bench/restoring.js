/* Judge whether a damper's settings are again as they came; say what differs, and let it be explained.

   The same judge as shopapp/bench/lock_restoring.py, held with it to tests/bench/restoring.json: the latest reading of
   each side is compared, and only a reason said after both, about one of them, settles a difference. */

import { h } from "./dom.js";
import { doButton, reasons } from "./parts.js";
import { say } from "./words.js";

const INCH = 0.0254;
const HAIR = 1e-9;
// How far apart (SI) two readings of a setting may lie and be the same: what a tape or a rule can tell.
const SPARE = new Map([["preload", INCH / 32], ["retainer gap", INCH / 64], ["adjuster", 0], ["eye centres", INCH / 16]]);
const SAID = ["reading", "unreadable"];
const WHY = ["restore-agreed", "restore-sheet", "restore-part", "restore-cannot"];

/** Say whether two readings of a setting are the same one; what could not be read is unlike nothing. */
export function alike(figure, one, other) {
  if (one === null || one === undefined || other === null || other === undefined) return true;
  return Math.abs(one - other) <= SPARE.get(figure) + HAIR;
}

/** List the settings that differ from how they came and are not explained: {figure, position, received, built} (entries). */
export function unrestored(steps, entries) {
  const replaced = new Set(entries.map((entry) => entry.replaces).filter(Boolean));
  const latest = new Map();
  entries.forEach((entry, at) => {
    if (SAID.includes(entry.kind) && entry.key && !replaced.has(entry.id)) latest.set(entry.key, at);
  });
  const sides = new Map();
  for (const { key, figure = "", position = "", phase } of steps) {
    if (!SPARE.has(figure) || !["received", "built"].includes(phase)) continue;
    const name = JSON.stringify([figure, position]);
    if (!sides.has(name)) sides.set(name, { figure, position, received: [], built: [] });
    sides.get(name)[phase].push(key);
  }
  const last = (keys) => keys.reduce((most, key) => (latest.has(key) ? Math.max(most, latest.get(key)) : most), -1);
  return [...sides.values()].flatMap(({ figure, position, ...keys }) => {
    const [came, now] = [last(keys.received), last(keys.built)];
    if (came < 0 || now < 0 || alike(figure, entries[came].si, entries[now].si)) return [];
    const both = [entries[came].id, entries[now].id];
    const after = entries.slice(Math.max(came, now) + 1);
    if (after.some((entry) => entry.kind === "reason" && both.includes(entry.about) && !replaced.has(entry.id))) return [];
    return [{ figure, position, received: entries[came], built: entries[now] }];
  });
}

/** Take the end as done back while a setting is unlike. */
export function holdRestored(judged, steps, entries) {
  if (!unrestored(steps, entries).length) return judged;
  return { ...judged, may_close_done: false, outcomes: judged.outcomes.filter((outcome) => outcome !== "done") };
}

/** List what is not as it came and not explained of the readings of a stage, or of all. */
export function unlikeOf(model, stage = null) {
  const all = unrestored(model.sheet.steps, model.entries);
  return stage === null ? all : all.filter(({ built }) => model.steps.get(built.key)?.stage === stage);
}

/** Give what the bar offers where only a setting that is not as it came keeps the job from done; null for nothing. */
export function explainNext(app) {
  const { model } = app;
  const [first] = model.standing.missing.length ? [] : unlikeOf(model);
  return first ? { words: say("restore-explain", { name: nameOf(model, first.built) }), act: () => app.open(explain(app, first)) } : null;
}

/** Give the reading as received that one being built is unlike; null where it is as it came. */
export function cameOtherwise(model, step, si) {
  if (step.phase !== "built" || !SPARE.has(step.figure)) return null;
  const other = model.counterpart(step);
  const came = other?.step.phase === "received" && other.entry?.kind === "reading" ? other.entry : null;
  return came && !alike(step.figure, came.si, si) ? came : null;
}

/** Ask what was agreed, as the reading is recorded that is not as it came. */
export function unlike(app, step, { reading, panel, came, reason = "" }) {
  const why = reasons(WHY.map((word) => say(word)), () => app.bar());
  const title = h("h2", { tabindex: "-1", id: "slip" }, h("span", {}, say("restore-unlike", { name: step.name, text: reading.text, came: came.text })));
  const again = doButton(say("type-again"), () => panel.reopen());
  const record = () => {
    panel.record(reading, reason, { stay: true });
    app.record(app.model.entry(null, "reason", { words: why.words(), about: app.model.history(step.key).at(-1).id }));
  };
  return {
    label: say("slip-unlike"),
    nodes: [h("section", { class: "reason", "aria-labelledby": "slip" }, title, h("p", {}, say("restore-say-why")), why.nodes, again)],
    bar: () => (why.words() ? { words: say("record-anyway", { text: reading.text }), act: record } : { idle: say("restore-say-why") }),
    back: panel,
  };
}

const nameOf = (model, entry) => model.steps.get(entry.key)?.name ?? "";

/** List at the closing what is not as it came, each with the way to say why; none where all is restored. */
export function differences(app) {
  const { model } = app;
  return unrestored(model.sheet.steps, model.entries).map((one) => {
    const words = say("restore-unlike", { name: nameOf(model, one.built), text: one.built.text, came: one.received.text });
    return h("div", {}, h("p", { class: "told" }, words), doButton(say("restore-explain", { name: nameOf(model, one.built) }), () => app.open(explain(app, one))));
  });
}

function explain(app, { built, received }) {
  const { model } = app;
  const why = reasons(WHY.map((word) => say(word)), () => app.bar());
  const words = say("restore-unlike", { name: nameOf(model, built), text: built.text, came: received.text });
  const title = h("h2", { tabindex: "-1", id: "slip" }, h("span", {}, words));
  const record = () => {
    app.record(model.entry(null, "reason", { words: why.words(), about: built.id }));
    if (model.standing.may_close_done) app.openClosing();
  };
  const set = doButton(say("restore-set-again"), () => app.go(built.key));
  return {
    label: say("slip-unlike"),
    nodes: [h("section", { class: "reason", "aria-labelledby": "slip" }, title, why.nodes, set, doButton(say("leave-it"), () => app.openClosing()))],
    bar: () => (why.words() ? { words: say("restore-record-reason", { why: why.words() }), act: record } : { idle: say("restore-say-why") }),
  };
}

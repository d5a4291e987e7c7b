/* Notes: written about a step or the damper, for the record or for the next shift; and taken from the shift before. */

import { h } from "./dom.js";
import { answers, clockTime, doButton, field } from "./parts.js";
import { say } from "./words.js";

/** Write a note about the step that is open, or about the job; for the next shift it stays on top until it is taken. */
export function note(app) {
  const { model } = app;
  const step = app.key ? model.steps.get(app.key) : null;
  const said = { words: "", answer: "" };
  const typed = field(say("note-words"), {
    wide: true,
    typed: (value) => {
      said.words = value.trim();
      app.bar();
    },
  });
  const kinds = [
    { value: "", words: say("note-record"), checked: true },
    { value: "shift", words: say("note-shift"), small: say("note-shift-hint") },
  ];
  const choose = (value) => {
    said.answer = value;
    app.bar();
  };
  const about = step ? say("note-about", { name: step.name }) : say("note-job");
  const record = () => app.record(model.entry(step, "note", said), { stay: true, again: true });
  return {
    label: say("write-note"),
    nodes: [h("div", { class: "ask" }, h("h2", {}, about), typed, answers(kinds, choose), doButton(say("leave-it"), () => app.again()))],
    bar: () => (said.words ? { words: say(said.answer ? "record-shift-note" : "record-note"), act: record } : { idle: say("note-idle") }),
    focus: typed.querySelector("textarea"),
  };
}

/** Show the notes to this shift in full, the oldest first; the bar takes the one that stands on top. */
export function notes(app) {
  const { model } = app;
  const waiting = () => model.shiftNotes();
  const lines = waiting().map((one) => h("li", {}, h("p", { class: "told" }, one.words), h("p", { class: "hint" }, say("by-at", { by: one.by, time: clockTime(one.stored_at ?? one.typed_at) }))));
  const take = () => {
    const [first] = waiting();
    if (!first) return;
    app.record(model.entry(null, "taken", { about: first.id }), { stay: true, again: true });
    if (waiting().length) app.openShift();
  };
  return {
    label: say("shift-notes"),
    nodes: [h("div", { class: "look" }, h("h2", { tabindex: "-1" }, say("shift-notes")), h("ol", { class: "notes" }, lines), doButton(say("leave-it"), () => app.again()))],
    bar: () => (waiting().length ? { words: say("shift-take"), act: take } : app.nextBar(app.key)),
  };
}

/* A stack of shims: typed or pasted, added, repeated, moved, taken away; drawn as it grows beside what was taken out. */

import { h, show } from "./dom.js";
import { keySign } from "./draw.js";
import { asPhase, clockTime, doButton, reasons } from "./parts.js";
import * as slips from "./slips.js";
import { label, read, write } from "./stack_read.js";
import { changes, compare, problems, queries, rowWords, unsettled } from "./stack_judge.js";
import { latest, left } from "./stack_left.js";
import { pickTool, rememberedTool } from "./tooling.js";
import { fmt } from "./units.js";
import { say } from "./words.js";

const AS_FOUND = new Set(["received", "removed"]);
const REASONS = ["stack-agreed", "stack-worn", "stack-remeasured", "outside-true"];
const AFTERWARDS = ["stack-on-pin", "stack-agreed", "stack-worn"];

/** What a sheet gives of a shim, and the page keeps of one that was typed. */
const asSheet = (shim, on) => ({ diameter: shim.diameter.si, thickness: shim.thickness.si, label: label(shim), crossover: shim.crossover, on, typed: shim });

class Stack {
  constructor(app, step, { text = "", replaces = null } = {}) {
    Object.assign(this, { app, step, replaces, at: -1, shims: [], tool: rememberedTool(step), wrong: "" });
    const old = replaces && app.model.entries.find((entry) => entry.id === replaces);
    this.take(text || old?.words || "");
    this.field = h("input", {
      id: "reading", class: "reading", inputmode: "none", autocomplete: "off", autocapitalize: "off", spellcheck: "false",
      maxlength: 1000, "aria-describedby": "reading-say", oninput: () => this.typed(), onpaste: (event) => this.pasted(event),
      onkeydown: (event) => event.key === "Enter" && (event.preventDefault(), app.press()),
    }); // prettier-ignore
    this.title = h("label", { for: "reading" });
    this.say = h("p", { class: "say", id: "reading-say", role: "status" });
    this.pad = h("div", { class: "pad across" });
    this.drawPad();
    this.tell();
  }

  get options() {
    const { model } = this.app;
    return { tables: model.sheet.tables, comma: model.comma };
  }

  /** Read what was recorded before, whole. */
  take(text) {
    try {
      this.shims = read(text, this.options).map((shim) => asSheet(shim, true));
    } catch {
      this.shims = [];
    }
    this.at = this.shims.length - 1;
  }

  /** A field of one line swallows the breaks of what is pasted: they stand between shims. */
  pasted(event) {
    const text = event.clipboardData?.getData("text") ?? "";
    if (!/[\r\n]/.test(text)) return;
    event.preventDefault();
    this.field.setRangeText(text.trim().replace(/\s*[\r\n]+\s*/g, "; "), this.field.selectionStart, this.field.selectionEnd, "end");
    this.typed();
  }

  /** Read the field: {shims} or {error}; an empty one gives neither. */
  read() {
    const text = this.field.value.trim();
    if (!text) return {};
    try {
      const shims = read(text, this.options);
      return shims.length ? { shims } : {};
    } catch (error) {
      return { error: error.message };
    }
  }

  get waiting() {
    return this.shims.filter((shim) => !shim.on).length;
  }

  get next() {
    return this.shims.findIndex((shim) => !shim.on);
  }

  typed() {
    this.tell();
    this.app.bar();
  }

  changed() {
    this.field.value = "";
    this.drawPad();
    this.tell();
    this.app.bar();
    this.app.draw();
  }

  /** Say what is wrong with what is typed, or where in the stack one is. */
  tell() {
    const { error } = this.read();
    const unfinished = /[\sx×.,]$/u.test(this.field.value) || /^\d+$/.test(this.field.value.trim());
    const wrong = error && !unfinished ? error : "";
    this.field.classList.toggle("long", this.field.value.length > 8);
    if (wrong) this.field.setAttribute("aria-invalid", "true");
    else this.field.removeAttribute("aria-invalid");
    const place = this.waiting ? this.next + 1 : this.at + 2;
    this.title.textContent = say("stack-shim-at", { stack: this.step.stack_name, place });
    show(this.say, h("span", { class: wrong ? "out" : null }, wrong || this.here()), h("span", {}, this.more().join(" ")));
  }

  here() {
    const shim = this.shims[this.at];
    if (!shim) return say("stack-empty");
    return say("stack-at", { place: this.at + 1, count: this.shims.length, shim: shim.label });
  }

  more() {
    const old = this.replaces && this.app.model.entries.find((entry) => entry.id === this.replaces);
    return [
      this.waiting ? say("stack-to-confirm", { count: this.waiting }) : "",
      old ? say("was", { text: old.text || old.words, by: old.by, time: clockTime(old.typed_at) }) : "",
      this.tool ? say("with-tool", { tool: this.tool }) : "",
    ].filter(Boolean);
  }

  /** Put what is typed into the stack: before the first place that is still to be confirmed, else after the open one. */
  add() {
    const { shims = [] } = this.read();
    if (!shims.length || this.shims.length + shims.length > 60) return;
    const place = this.waiting ? this.next : this.at + 1;
    this.shims.splice(place, 0, ...shims.map((shim) => asSheet(shim, true)));
    this.at = this.waiting ? this.next : place + shims.length - 1;
    this.changed();
  }

  repeat() {
    const shim = this.shims[this.waiting ? this.next - 1 : this.at];
    if (!shim || this.shims.length >= 60) return;
    this.shims.splice(this.waiting ? this.next : this.at + 1, 0, { ...shim, on: true });
    this.at += 1;
    this.changed();
  }

  go(way) {
    const to = this.at + way;
    if (to < 0 || to >= this.shims.length) return;
    this.at = to;
    this.changed();
  }

  move(way) {
    const to = this.at + way;
    if (this.at < 0 || to < 0 || to >= this.shims.length || this.waiting) return;
    [this.shims[this.at], this.shims[to]] = [this.shims[to], this.shims[this.at]];
    this.at = to;
    this.changed();
  }

  remove() {
    if (this.at < 0) return;
    this.shims.splice(this.at, 1);
    this.at = this.waiting ? this.next : Math.min(this.at, this.shims.length - 1);
    this.changed();
  }

  crossover() {
    const shim = this.shims[this.at];
    if (!shim) return;
    const typed = { ...shim.typed, crossover: !shim.crossover };
    this.shims[this.at] = asSheet(typed, shim.on);
    this.changed();
  }

  /** Begin with what was taken out: every place is still to be confirmed, by one tap each. */
  copy() {
    const out = latest(this.app.model, this.step.figure, true);
    this.take(out.words);
    for (const shim of this.shims) shim.on = false;
    this.at = 0;
    this.changed();
  }

  confirm() {
    const shim = this.shims[this.next];
    if (!shim) return;
    shim.on = true;
    this.at = this.waiting ? this.next : this.shims.length - 1;
    this.changed();
  }

  get mayCopy() {
    return !AS_FOUND.has(this.step.phase) && !this.shims.length && latest(this.app.model, this.step.figure, true)?.kind === "reading";
  }

  put(text) {
    this.field.setRangeText(text, this.field.selectionStart, this.field.selectionEnd, "end");
    this.typed();
  }

  takeBack() {
    const { selectionStart: start, selectionEnd: end } = this.field;
    if (start === end && start > 0) this.field.setSelectionRange(start - 1, end);
    this.put("");
  }

  drawPad() {
    const held = document.activeElement?.id;
    const { app, step } = this;
    const none = this.at < 0;
    const key = (text, more = {}) => keyOf(text, "", () => this.put(more.puts ?? text), more);
    const word = (id, words, press, off) => keyOf(words, "", press, { class: "f w", off, id });
    const last = this.waiting
      ? word("key-on", say("stack-is-on"), () => this.confirm())
      : word("key-copy", say("stack-as-removed"), () => this.copy(), !this.mayCopy);
    const mark = app.model.comma ? "," : ".";
    const rows = [
      key("7"), key("8"), key("9"), key("×", { class: "f", name: say("stack-by"), puts: "x" }),
      keyOf(keySign("back"), say("key-back"), () => this.takeBack(), { class: "f w" }), word("key-add", say("stack-add"), () => this.add()),
      key("4"), key("5"), key("6"), key(mark, { class: "f", name: say("key-point") }),
      word("key-before", say("stack-before"), () => this.go(-1), this.at < 1), word("key-up", say("stack-up"), () => this.move(-1), this.at < 1 || this.waiting),
      key("1"), key("2"), key("3"), word("key-crossover", say("stack-crossover"), () => this.crossover(), none),
      word("key-after", say("stack-after"), () => this.go(1), this.at >= this.shims.length - 1), word("key-down", say("stack-down"), () => this.move(1), this.at >= this.shims.length - 1 || this.waiting),
      keyOf(keySign("space"), say("key-space"), () => this.put(" "), { class: "f w" }), key("0"),
      word("key-repeat", say("stack-repeat"), () => this.repeat(), none), word("key-remove", say("stack-remove"), () => this.remove(), none), last,
      keyOf(say("key-unreadable"), say("key-say-why"), () => app.open(slips.unreadable(app, step, this)), { class: "f w" }),
    ]; // prettier-ignore
    const stay = (event) => event.preventDefault();
    this.pad.replaceChildren(h("div", { class: "keys shims", role: "group", "aria-label": say("keypad"), onpointerdown: stay, onmousedown: stay }, rows));
    if (held?.startsWith("key-")) document.getElementById(held)?.focus();
  }

  bar() {
    const { shims, error } = this.read();
    if (shims) return { words: this.addWords(shims), act: () => this.add() };
    if (error || this.field.value.trim()) return { idle: say("no-figure-yet") };
    if (this.waiting) return { words: say("stack-confirm", { place: this.next + 1, shim: this.shims[this.next].label }), act: () => this.confirm() };
    if (!this.shims.length) {
      if (this.step.required === false) return { words: say("skip-step", { name: this.step.name }), act: () => this.skip(), plain: true };
      return { idle: say("stack-idle") };
    }
    const text = this.words();
    if (this.trouble().length) return { words: say("stack-record-why", { text }), act: () => this.commit() };
    return { words: say(this.replaces ? "correct-to" : "record", { text, phase: asPhase(this.step) }).trim(), act: () => this.commit() };
  }

  addWords(shims) {
    const place = this.waiting ? this.next + 1 : this.at + 2;
    if (shims.length > 1) return say("stack-add-more", { count: shims.length, place });
    return say("stack-add-one", { shim: label(shims[0]), place });
  }

  get height() {
    return this.shims.reduce((sum, shim) => sum + shim.thickness, 0);
  }

  words() {
    const { sheet, comma } = this.app.model;
    const height = fmt(this.height, "mm", "length", sheet.tables, { comma });
    return say(this.shims.length === 1 ? "stack-one" : "stack-more", { count: this.shims.length, height });
  }

  /** List what asks for a reason: what is odd in what is built, and what makes out and back differ. */
  trouble() {
    const asFound = AS_FOUND.has(this.step.phase);
    const other = latest(this.app.model, this.step.figure, !asFound);
    const pair = asFound ? [this.shims, other?.shims] : [other?.shims, this.shims];
    const unlike = other?.kind === "reading" ? changes(compare(...pair)).map(rowWords) : [];
    return [...(asFound ? [] : problems(this.shims, this.step, this.app.model.comma)), ...unlike];
  }

  commit() {
    const { app, step } = this;
    if (step.tools?.length && !this.tool) {
      app.open(pickTool(app, step, (tool, reason) => (Object.assign(this, { tool, toolReason: reason }), this.commit()), this));
      return;
    }
    if (this.trouble().length) app.open(why(app, step, this));
    else this.record();
  }

  record(reason = "") {
    const { app, step } = this;
    const said = [reason, this.toolReason].filter(Boolean).join("; ");
    const typed = this.shims.map((shim) => shim.typed);
    const shims = this.shims.map(({ diameter, thickness, label: name, crossover }) => ({ diameter, thickness, label: name, crossover }));
    const more = { text: this.words(), words: write(typed, { comma: app.model.comma }), si: this.height, unit: "mm", shims };
    app.record(app.model.entry(step, "reading", { ...more, reason: said, tool: this.tool, replaces: this.replaces }));
  }

  skip() {
    this.app.model.skipped.add(this.step.key);
    this.app.onward();
  }

  reopen() {
    this.app.open(this);
  }

  left() {
    const pick = (row) => {
      if (row.backPlace) this.go(row.backPlace - 1 - this.at);
    };
    return left(this.app, this.step, { draft: this.shims, here: this.at, pick });
  }

  get nodes() {
    const name = h("p", { class: "name" }, this.title, h("span", { class: "cap" }, asPhase(this.step)));
    return [h("div", { class: "open across" }, name, h("p", { class: "line" }, this.field), this.say), this.pad];
  }

  get label() {
    return say("entry-of", { name: this.step.name });
  }

  get focus() {
    return this.field;
  }
}

function keyOf(mark, words, press, more = {}) {
  const { name = null, off = false, puts, ...rest } = more;
  const state = off ? { "aria-disabled": "true" } : {};
  return h("button", { type: "button", "aria-label": name, ...state, ...rest, onclick: () => off || press() }, mark, words ? h("small", {}, words) : null);
}

/** What is odd or differs is recorded by a second tap, with what was agreed. */
function why(app, step, panel) {
  const told = panel.trouble();
  const given = reasons(REASONS.map((word) => say(word)), () => app.bar());
  const lines = told.slice(0, 5).map((words) => h("li", {}, words));
  const title = h("h2", { tabindex: "-1", id: "slip" }, h("span", {}, say("stack-why", { stack: step.stack_name })));
  const again = doButton(say("type-again"), () => panel.reopen());
  return {
    label: say("slip-outside"),
    nodes: [h("section", { class: "reason", "aria-labelledby": "slip" }, title, h("ul", { class: "told" }, lines), h("p", {}, say("stack-say-why")), given.nodes, again)],
    bar: () => (given.words() ? { words: say("record-anyway", { text: panel.words() }), act: () => panel.record(given.words()) } : { idle: say("stack-say-why") }),
    left: () => panel.left(),
    back: panel,
  };
}

/** Open the panel of a stack; `options`: text (typed before), replaces (the entry it corrects). */
export function stack(app, step, options = {}) {
  return new Stack(app, step, options);
}

/** Offer at the closing to say why of each stack that stands in the way of done; none where nothing does. */
export function explainings(app) {
  const { model } = app;
  return unsettled(model.sheet.steps, model.entries).map((one) => {
    const step = model.sheet.steps.find(({ figure }) => figure === one.figure);
    return h("div", {}, h("p", { class: "told" }, `${step.stack_name}: ${say(one.why === "missing" ? "stack-not-again" : "stack-unlike")}`), doButton(say("stack-explain", { stack: step.stack_name }), () => app.open(explain(app, step, one))));
  });
}

function explain(app, step, { out, back }) {
  const given = reasons(AFTERWARDS.map((word) => say(word)), () => app.bar());
  const record = () => app.record(app.model.entry(null, "reason", { words: given.words(), about: (back ?? out).id }), { stay: true, again: true });
  const title = h("h2", { tabindex: "-1", id: "slip" }, h("span", {}, say("stack-explain", { stack: step.stack_name })));
  return {
    label: say("slip-outside"),
    nodes: [h("section", { class: "reason", "aria-labelledby": "slip" }, title, given.nodes, doButton(say("leave-it"), () => app.openClosing()))],
    bar: () => (given.words() ? { words: say("stack-record-reason", { why: given.words() }), act: record } : { idle: say("stack-say-why") }),
    left: () => left(app, step),
  };
}

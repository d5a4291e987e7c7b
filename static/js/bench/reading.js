/* A reading: the open figure at 72 px, the keypad, and what it meets on its way to being recorded. */

import { h, show } from "./dom.js";
import { limitsStrip } from "./draw.js";
import { keypad, stepped, stepsOf as keypadSteps } from "./keypad.js";
import { isAsFound, isFar, judge, judgeWords, likelyMeaning, limitsIn } from "./limits.js";
import { labelOf } from "./names.js";
import { asPhase, clockTime } from "./parts.js";
import { cameOtherwise, unlike } from "./restoring.js";
import * as slips from "./slips.js";
import { stack } from "./stack.js";
import { isStack } from "./stack_left.js";
import { pickTool, rememberedTool } from "./tooling.js";
import { parse } from "./units.js";
import { say } from "./words.js";

const UNFINISHED = /[/.,\s−-]$|^$/;

/** Give the units that a step may be typed in, the default first. */
function unitsOf(model, step) {
  const offered = model.sheet.units[step.unit_kind]?.offered ?? [];
  return [...new Set([step.default_unit, ...(step.unit_kind === "count" ? [] : offered)])];
}

class Reading {
  constructor(app, step, { text = "", replaces = null, unit = null } = {}) {
    Object.assign(this, { app, step, replaces, text });
    this.units = unitsOf(app.model, step);
    this.unit = unit && this.units.includes(unit) ? unit : step.default_unit;
    this.size = this.unit === "in" ? 1 : 0;
    this.reason = "";
    this.tool = rememberedTool(step);
    this.field = h("input", {
      id: "reading", class: "reading", inputmode: "none", autocomplete: "off", autocapitalize: "off", spellcheck: "false",
      maxlength: 60, "aria-describedby": "reading-say", value: text, oninput: () => this.typed(),
      onkeydown: (event) => event.key === "Enter" && (event.preventDefault(), app.press()),
    }); // prettier-ignore
    this.say = h("p", { class: "say", id: "reading-say", role: "status" });
    this.caption = h("span", { class: "unit" });
    this.pad = h("div", { class: "pad" });
    this.typed();
    this.drawPad();
  }

  get options() {
    const { model } = this.app;
    return { tables: model.sheet.tables, unit: this.unit, comma: model.comma, signed: this.step.signed };
  }

  /** Read the field: {reading} or {error}; an empty one gives neither. */
  read() {
    const text = this.field.value.trim();
    if (!text) return {};
    try {
      const reading = parse(text, this.step.unit_kind, this.options);
      const label = labelOf(reading.unit, this.step.unit_kind);
      return { reading: { ...reading, text: reading.named || !label ? text : `${text} ${label}` } };
    } catch (error) {
      return { error: error.message };
    }
  }

  typed() {
    this.step = this.app.model.forJudging(this.step.key);
    const { reading, error } = this.read();
    const wrong = error && !UNFINISHED.test(this.field.value) ? error : "";
    this.field.classList.toggle("long", this.field.value.length > 7);
    if (wrong) this.field.setAttribute("aria-invalid", "true");
    else this.field.removeAttribute("aria-invalid");
    this.caption.textContent = reading?.named ? "" : labelOf(this.unit, this.step.unit_kind);
    this.tell(reading, wrong);
    this.app.bar();
  }

  /** Say how the figure stands to its limits, or what is wrong with it. */
  tell(reading, wrong) {
    const { step, app } = this;
    const { low = null, high = null } = step.limits ?? {};
    const { verdict } = judge(step, reading?.si ?? null);
    const words = wrong || judgeWords(step, reading, app.model.sheet.tables, { comma: app.model.comma });
    const out = wrong || verdict === "below" || verdict === "above";
    const strip = low !== null || high !== null ? limitsStrip(reading?.si ?? null, low, high, verdict, 268) : null;
    show(this.say, strip, h("span", { class: out ? "out" : null }, words), h("span", {}, this.more().join(" ")));
  }

  /** List what else helps here: that limits were moved, the other phase, the old value, the gauge. */
  more() {
    const { model } = this.app;
    const other = model.counterpart(this.step);
    const old = this.replaces && model.entries.find((entry) => entry.id === this.replaces);
    const here = limitsIn(this.step, this.unit, this.app.model.sheet.tables, this.app.model.comma);
    return [
      here ? say("limits-here", { limits: here }) : "",
      this.step.pending ? say("limits-follow") : "",
      this.step.limits?.moved_from ? say("moved-from", { from: this.step.limits.moved_from }) : "",
      other?.entry?.text ? say("other-phase", { text: other.entry.text, phase: asPhase(other.step) }) : "",
      old ? say("was", { text: old.text || old.words, by: old.by, time: clockTime(old.typed_at) }) : "",
      this.tool ? say("with-tool", { tool: this.tool }) : "",
    ].filter(Boolean);
  }

  drawPad() {
    const { step, app } = this;
    const held = document.activeElement?.id;
    const pad = {
      unit: this.unit, units: this.units, kind: step.unit_kind, size: this.size, signed: step.signed,
      mark: app.model.comma ? "," : ".", mustRead: Boolean(step.must_read),
      change: (what) => this.change(what), move: (way) => this.move(way),
      unreadable: () => app.open(slips.unreadable(app, step, this)),
    }; // prettier-ignore
    this.pad.replaceChildren(keypad(this.field, pad));
    if (held?.startsWith("key-")) document.getElementById(held)?.focus();
  }

  change({ unit = this.unit, size = unit === this.unit ? this.size : unit === "in" ? 1 : 0 }) {
    Object.assign(this, { unit, size });
    this.drawPad();
    this.typed();
  }

  /** Make the figure a step more or less; an empty field begins where the damper came from, or at its target. */
  move(way) {
    const steps = keypadSteps(this.unit);
    const options = { step: steps[this.size], way, unit: this.unit, kind: this.step.unit_kind, start: this.start(), options: this.options };
    this.field.value = stepped(this.field.value, options);
    this.typed();
  }

  start() {
    const other = this.app.model.counterpart(this.step)?.entry;
    const text = other?.unit === this.unit && other.text ? other.text : (this.step.limits?.target_text ?? "");
    return /^[\d\s./,]+/.exec(text)?.[0].trim() ?? "";
  }

  bar() {
    const { reading } = this.read();
    if (!this.field.value.trim() && this.step.required === false) return { words: say("skip-step", { name: this.step.name }), act: () => this.skip(), plain: true };
    if (!reading) return { idle: this.field.value.trim() ? say("no-figure-yet") : say("type-reading") };
    const values = { text: reading.text, phase: asPhase(this.step) };
    return { words: say(this.replaces ? "correct-to" : "record", values).trim(), act: () => this.commit(reading) };
  }

  /** Lead a reading to its record: by the tool it was taken with, past its limits, read back where that is asked. */
  commit(reading) {
    const { app, step } = this;
    if (step.tools?.length && !this.tool) {
      app.open(pickTool(app, step, (tool, reason) => (Object.assign(this, { tool, reason }), this.commit(reading)), this));
      return;
    }
    const { outside } = judge(step, reading.si);
    const meaning = likelyMeaning(step, reading, { ...this.options, units: this.units });
    const about = { reading, meaning, panel: this };
    if (outside === "absolute" && !isAsFound(step)) app.open(slips.absolute(app, step, about));
    else if (outside && !isAsFound(step)) app.open(slips.outside(app, step, about));
    else if (isFar(step, reading)) app.open(slips.unlikely(app, step, about));
    else if (step.second_tap) app.open(slips.readBack(app, step, about));
    else this.restore(reading);
  }

  /** Ask what was agreed where a setting is not as it came; `reason` is what was said for its limits. */
  restore(reading, reason = "") {
    const came = cameOtherwise(this.app.model, this.step, reading.si);
    if (came) this.app.open(unlike(this.app, this.step, { reading, panel: this, came, reason }));
    else this.record(reading, reason);
  }

  record(reading, reason = "", way = {}) {
    const { app, step } = this;
    const said = [reason, this.reason].filter(Boolean).join("; ");
    const { text, si, unit } = reading;
    app.record(app.model.entry(step, "reading", { text, si, unit, reason: said, tool: this.tool, replaces: this.replaces }), way);
  }

  /** Take another figure instead: what was offered as its meaning. */
  retake(meaning) {
    if (this.units.includes(meaning.unit)) this.unit = meaning.unit;
    this.field.value = meaning.text;
    this.drawPad();
    this.typed();
    const { reading } = this.read();
    if (reading) this.commit(reading);
  }

  /** Go on without a reading that is not required. */
  skip() {
    this.app.model.skipped.add(this.step.key);
    this.app.onward();
  }

  reopen() {
    this.app.open(this);
  }

  labelOf(unit) {
    return labelOf(unit, this.step.unit_kind);
  }

  get nodes() {
    const name = h("p", { class: "name" }, h("label", { for: "reading" }, this.step.name), h("span", { class: "cap" }, asPhase(this.step)));
    const line = h("p", { class: "line" }, this.field, this.caption);
    return [h("div", { class: "open" }, name, line, this.say), this.pad];
  }

  get label() {
    return say("entry-of", { name: this.step.name });
  }

  get focus() {
    return this.field;
  }
}


/** Open the keypad for a reading; `options`: text (typed before), replaces (the entry it corrects), unit. */
export function reading(app, step, options = {}) {
  return isStack(step) ? stack(app, step, options) : new Reading(app, step, options);
}

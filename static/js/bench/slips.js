/* What a reading may meet before it is recorded: a reason, a reading back, a likely meaning, a dead end. */

import { h } from "./dom.js";
import { readingMark } from "./draw.js";
import { judge, judgeWords, pastText } from "./limits.js";
import { asPhase, deadEnd, doButton, reasons } from "./parts.js";
import { say } from "./words.js";

const OUTSIDE = ["outside-true", "outside-worn", "outside-other-part", "outside-agreed"];
const UNREADABLE = ["unreadable-damaged", "unreadable-seized", "unreadable-missing", "unreadable-no-access"];

/** Title a slip: the mark of the verdict, then the sentence. */
function title(verdict, words) {
  return h("h2", { tabindex: "-1", id: "slip" }, verdict ? readingMark(verdict, 28) : null, h("span", {}, words));
}

function slip(...nodes) {
  return h("section", { class: "reason", "aria-labelledby": "slip" }, nodes);
}

function outsideWords(app, step, reading) {
  const words = judgeWords(step, reading, app.model.sheet.tables, { comma: app.model.comma });
  return say("reading-is", { text: reading.text, words: words.replace(/\.$/, "") });
}

/** "Charge is 1400 psi. Limits are 130 to 150. Did you mean 140?" with one tap to take it. */
function meant(app, step, { meaning, panel }) {
  if (!meaning) return [];
  const text = meaning.named ? meaning.text : `${meaning.text} ${panel.labelOf(meaning.unit)}`.trim();
  const take = doButton(say("take-instead", { text }), () => (panel.reopen(), panel.retake({ ...meaning, text: meaning.text })));
  return [h("p", { class: "meant" }, say("did-you-mean", { text })), take];
}

const again = (panel) => doButton(say("type-again"), () => panel.reopen());

/** Past an advisory limit: recorded anyway by a second tap, with a reason. */
export function outside(app, step, about) {
  const { reading, panel } = about;
  const { verdict } = judge(step, reading.si);
  const why = reasons(OUTSIDE.map((word) => say(word)), () => app.bar());
  const limits = h("p", {}, say("give-reason"));
  return {
    label: say("slip-outside"),
    nodes: [slip(title(verdict, outsideWords(app, step, reading)), meant(app, step, about), limits, why.nodes, again(panel))],
    bar: () =>
      why.words()
        ? { words: say("record-anyway", { text: reading.text }), act: () => panel.restore(reading, why.words()) }
        : { idle: say("say-why", { text: reading.text }) },
    back: panel,
  };
}

/** Far from what the damper can have had: recorded as it is by a second tap, no reason asked.
 *  Enter types it again: a quick hand or a scanner that is already at the next figure must not confirm this one unseen. */
export function unlikely(app, step, about) {
  const { reading, panel } = about;
  const { verdict } = judge(step, reading.si);
  const retype = again(panel);
  return {
    label: say("slip-unlikely"),
    nodes: [slip(title(verdict, outsideWords(app, step, reading)), meant(app, step, about), retype)],
    focus: retype,
    bar: () => ({
      words: say("record-as-it-is", { text: reading.text, phase: asPhase(step) }).trim(),
      act: () => panel.restore(reading),
    }),
    back: panel,
  };
}

/** Charge and IFP depth: read back large before they are recorded. */
export function readBack(app, step, { reading, panel }) {
  const figure = h("p", { class: "back", id: "slip", tabindex: "-1" }, reading.text);
  const words = judgeWords(step, reading, app.model.sheet.tables, { comma: app.model.comma });
  const name = h("h2", {}, say("read-back", { name: step.name }));
  return {
    label: say("slip-read-back"),
    nodes: [slip(name, figure, h("p", {}, [words, ...panel.more()].join(" ")), h("p", { class: "hint" }, say("read-back-hint")), again(panel))],
    bar: () => ({ words: say("record-read-back", { text: reading.text, phase: asPhase(step) }).trim(), act: () => panel.record(reading) }),
    back: panel,
  };
}

/** Say what an absolute limit is there for: the body's maximum, the IFP off cap and floor, the sheet's own word. */
export function pastWords(step, reading) {
  const { verdict, past } = judge(step, reading.si);
  if (verdict !== "above" && verdict !== "below") return "";
  const words = { text: reading.text, limit: pastText(step, verdict, past) };
  if (step.figure === "ifp depth" && (past === step.most || past === step.least)) return say(`past-ifp-${verdict}`, words);
  if (step.bind && (past === step.most || past === step.least)) return say(`past-bind-${verdict}`, words);
  return say(verdict === "above" && past === step.most ? "past-most" : `past-absolute-${verdict}`, words);
}

/** Past an absolute limit: nobody lifts it. The attempt may be put on record and unlocks nothing. */
export function absolute(app, step, about) {
  const { reading, panel } = about;
  const attempt = doButton(say("record-attempt", { text: reading.text }), () => panel.record(reading), { class: "do end" });
  return {
    stop: true,
    label: say("slip-absolute"),
    nodes: deadEnd(pastWords(step, reading), {
      who: [say("absolute-what"), say("absolute-who")],
      more: [...meant(app, step, about), again(panel), attempt],
    }),
    bar: () => ({ idle: say("absolute-idle") }),
    back: panel,
  };
}

/** Not readable: recorded with why. */
export function unreadable(app, step, panel) {
  const list = step.unit_kind === "torque" ? ["unreadable-snug", ...UNREADABLE] : UNREADABLE;
  const why = reasons(list.map((word) => say(word)), () => app.bar());
  const record = () => app.record(app.model.entry(step, "unreadable", { words: why.words(), replaces: panel.replaces }));
  return {
    label: say("slip-unreadable"),
    nodes: [slip(title("", say("not-readable", { name: step.name })), why.nodes, again(panel))],
    bar: () =>
      why.words() ? { words: say("record-unreadable", { why: why.words() }), act: record } : { idle: say("unreadable-why") },
    back: panel,
  };
}

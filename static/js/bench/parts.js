/* Pieces that several panels are built of: answers, typed fields, slips, lines. */

import { h, hidden } from "./dom.js";
import { breakLine, stateMark } from "./draw.js";
import { say } from "./words.js";

let made = 0;

const CLOCK = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };

/** Write a moment as hours and minutes of the shop's zone, whatever zone the tablet was set to. */
export function clockTime(moment) {
  const zone = document.getElementById("bench")?.dataset.zone;
  return new Date(moment).toLocaleTimeString("en-GB", zone ? { ...CLOCK, timeZone: zone } : CLOCK);
}

/** Write what is left of a wait: 12:40, or 1:02:40. */
export function left(milliseconds) {
  const seconds = Math.max(0, Math.ceil(milliseconds / 1000));
  const parts = [Math.floor(seconds / 60) % 60, seconds % 60].map((n) => String(n).padStart(2, "0"));
  const hours = Math.floor(seconds / 3600);
  return hours ? `${hours}:${parts.join(":")}` : parts.join(":");
}

/** Say as what a reading counts: "as received"; "" for a step without a phase. */
export function asPhase(step) {
  return step.phase ? say(`as-${step.phase}`) : "";
}

/** One answer of several. `answer`: value, words, small, off, checked. */
function answerLine(name, answer, choose) {
  const input = h("input", {
    type: "radio",
    name,
    value: answer.value,
    checked: answer.checked,
    "aria-disabled": answer.off ? "true" : null,
    onchange: () => choose(answer.value),
  });
  const small = answer.small ? h("small", { class: answer.out ? "out" : null }, answer.small) : null;
  return h("label", { class: answer.off ? "answer off" : "answer" }, input, h("span", {}, answer.words, small));
}

/** Draw answers; `two` gives both the same weight side by side with nothing else. */
export function answers(list, choose, two = false) {
  made += 1;
  const lines = list.map((answer) => answerLine(`answer-${made}`, answer, choose));
  return h("div", { class: two ? "answers two" : "answers" }, lines);
}

/** Draw a typed field with its label. */
export function field(label, { value = "", hint = "", wide = false, typed = () => {} } = {}) {
  made += 1;
  const id = `field-${made}`;
  const attributes = { id, value, autocomplete: "off", maxlength: wide ? 1000 : 300, "aria-describedby": hint ? `${id}-hint` : null };
  const input = h(wide ? "textarea" : "input", { ...attributes, rows: wide ? 4 : null, oninput: (event) => typed(event.target.value) });
  return h("div", { class: "f" }, h("label", { for: id }, label), input, hint ? h("p", { class: "hint", id: `${id}-hint` }, hint) : null);
}

/** Draw a question with what stands under it. */
export function ask(question, hint, ...nodes) {
  return h("fieldset", { class: "ask" }, h("legend", { tabindex: "-1" }, question), hint ? h("p", { class: "hint" }, hint) : null, nodes);
}

export function doButton(words, press, more = {}) {
  return h("button", { type: "button", class: "do", onclick: press, ...more }, words);
}

/**
 * Take a reason: likely ones to choose from, and a field for others. Gives {nodes, words()}; `changed` is told when
 * the bar has to say something else.
 */
export function reasons(list, changed, label = say("other-words")) {
  let chosen = "";
  let typed = "";
  const take = (value) => {
    chosen = value;
    changed();
  };
  const lines = answers(list.map((words) => ({ value: words, words })), take);
  const other = field(label, {
    typed: (value) => {
      typed = value.trim();
      changed();
    },
  });
  return { nodes: [lines, other], words: () => [chosen, typed].filter(Boolean).join("; ") };
}

/** Draw one step of a list: its line type with the word for it, its name, what came of it. */
export function stepLine(state, name, small, value, need = false) {
  const mark = [stateMark(state), hidden(say(`state-${state}`))];
  const words = h("span", {}, need ? h("b", {}, name) : name, small ? h("small", {}, small) : null);
  return h("li", { class: need ? "need" : null }, h("span", {}, mark), words, h("span", { class: "val" }, value));
}

/** Draw a dead end: the break line, what is, what must change, who can change it. */
export function deadEnd(title, { steps = [], who = "", more = [] } = {}) {
  return [
    h("div", { class: "break" }, breakLine()),
    h("h2", { tabindex: "-1" }, title),
    steps.length ? h("ol", { class: "steps" }, steps) : null,
    who ? [who].flat().map((words) => h("p", { class: "who" }, words)) : null,
    h("div", { class: "ways" }, more),
  ];
}

/* Our own number keypad: platform ones lack "/", and show only the locale's comma. */

import { h } from "./dom.js";
import { keySign } from "./draw.js";
import { labelOf } from "./names.js";
import { asFraction, fromSi, parse } from "./units.js";
import { say } from "./words.js";

const TAPE = [[1, 8], [1, 16], [1, 32]]; // prettier-ignore
const STEPS = {
  mm: [1, 0.5, 0.1], cm: [1, 0.5, 0.1], psi: [10, 5, 1], bar: [1, 0.5, 0.1], kPa: [50, 10, 5], Pa: [5000, 1000, 500],
  "N*m": [5, 1, 0.5], "lbf*ft": [5, 1, 0.5], "lbf*in": [10, 5, 1], degC: [5, 1, 0.5], degF: [5, 1, 0.5],
  click: [1], turn: [1, 0.5, 0.25], 1: [1], mL: [10, 5, 1],
}; // prettier-ignore
const PLAIN = [10, 1, 0.1];

/** Put text where the caret is, and tell the field's listeners. */
function put(field, text) {
  field.setRangeText(text, field.selectionStart, field.selectionEnd, "end");
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function takeBack(field) {
  const [start, end] = [field.selectionStart, field.selectionEnd];
  if (start === end && start > 0) field.setSelectionRange(start - 1, end);
  put(field, "");
}

function turnSign(field) {
  const negative = /^\s*[−-]/.test(field.value);
  field.value = negative ? field.value.replace(/^\s*[−-]\s*/, "") : `−${field.value}`;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/** The steps offered for a unit: fractions of a tape for inches, decimals for all others. */
export function stepsOf(unit) {
  return unit === "in" ? TAPE : (STEPS[unit] ?? PLAIN);
}

const stepWords = (step) => (Array.isArray(step) ? `${step[0]}/${step[1]}` : String(step));

function asDecimal(value, step, comma) {
  const places = Math.max(0, (String(step).split(".")[1] ?? "").length);
  const text = value.toFixed(places);
  return comma ? text.replace(".", ",") : text;
}

/** Give the figure one step further; an empty field begins at `start`, so that the first tap shows where it begins. */
export function stepped(text, { step, way, unit, kind, start, options }) {
  if (!text.trim() && start) return start;
  let value = 0;
  try {
    if (text.trim()) value = fromSi(parse(text, kind, { ...options, unit, signed: true }).si, unit, kind, options.tables);
  } catch {
    return text;
  }
  if (!Array.isArray(step)) {
    const next = value + way * step;
    return next < 0 && !options.signed ? text : asDecimal(next, Math.min(step, tail(text)), options.comma);
  }
  const next = value + (way * step[0]) / step[1];
  return next < 0 && !options.signed ? text : asFraction(next, 64);
}

/** The size of the last decimal of what stands there, so that a step never rounds it away. */
function tail(text) {
  const places = (/[.,](\d+)/.exec(text)?.[1] ?? "").length;
  return places ? 1 / 10 ** places : 1;
}

function button(mark, words, press, more = {}) {
  const { name = null, off = false, ...rest } = more;
  const content = [mark, words ? h("small", {}, words) : null];
  const state = off ? { "aria-disabled": "true" } : {};
  return h("button", { type: "button", "aria-label": name, ...state, ...rest, onclick: () => off || press() }, ...content);
}

/** Draw the step key: the sizes one under the other, the chosen one boxed; a tap takes the next. */
function stepKey(pad) {
  const sizes = stepsOf(pad.unit);
  const spans = sizes.map((size, at) => h("span", { class: at === pad.size ? "on" : null }, stepWords(size)));
  const name = say("key-step-is", { step: stepWords(sizes[pad.size]) });
  const press = () => pad.change({ size: (pad.size + 1) % sizes.length });
  return button(spans, say("key-step"), press, { class: "f w step", name, off: sizes.length < 2, id: "key-step" });
}

function unitKey(pad) {
  const at = pad.units.indexOf(pad.unit);
  const other = pad.units[(at + 1) % pad.units.length];
  const label = labelOf(pad.unit, pad.kind) || say("pieces");
  const off = pad.units.length < 2;
  const words = off ? say("key-only-unit") : say("key-or-unit", { unit: labelOf(other, pad.kind) });
  const press = () => pad.change({ unit: other });
  return button(h("b", {}, label), words, press, { class: "f w", off, id: "key-unit" });
}

/**
 * Build the keypad for a field. `pad`: unit, units, kind, size (which step), signed, mark (decimal sign), change({unit}
 * or {size}), move(way), unreadable(), mustRead. A tap leaves the focus in the field.
 */
export function keypad(field, pad) {
  const key = (text, more = {}) => button(text, "", () => put(field, text), more);
  const size = stepWords(stepsOf(pad.unit)[pad.size]);
  const rows = [
    key("7"), key("8"), key("9"), key("/", { class: "f", name: say("key-over") }),
    button(keySign("back"), say("key-back"), () => takeBack(field), { class: "f w" }),
    key("4"), key("5"), key("6"), button(keySign("space"), say("key-space"), () => put(field, " "), { class: "f w" }),
    button(keySign("more"), say("key-more", { step: size }), () => pad.move(1), { class: "f w" }),
    key("1"), key("2"), key("3"), key(pad.mark, { class: "f", name: say("key-point") }), stepKey(pad),
    unitKey(pad), key("0"), button("−", "", () => turnSign(field), { class: "f", off: !pad.signed, name: say("key-sign") }),
    button(say("key-unreadable"), say("key-say-why"), pad.unreadable, { class: "f w", off: pad.mustRead }),
    button(keySign("less"), say("key-less", { step: size }), () => pad.move(-1), { class: "f w" }),
  ]; // prettier-ignore
  const stay = (event) => event.preventDefault();
  return h("div", { class: "keys", role: "group", "aria-label": say("keypad"), onpointerdown: stay, onmousedown: stay }, rows);
}

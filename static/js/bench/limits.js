/* Judge a reading against its limits, say it in words, and guess what an unlikely figure was meant to be. */

import { asFraction, fmt, fromSi, parse } from "./units.js";
import { labelOf } from "./names.js";
import { say } from "./words.js";

const AS_FOUND = new Set(["received", "removed"]);
// The page's figure and the program's may differ in the last place where a unit has no exact decimal (psi).
const HAIR = 1e-12;
const UNLIKELY = 3;

const above = (si, limit) => si - limit > HAIR * Math.max(Math.abs(si), Math.abs(limit));

/** Say where a reading lies: inside, below, above, or none where there is no reading; a limit itself is inside. */
export function verdictOf(si, low, high) {
  if (si === null || si === undefined) return "none";
  if (low !== null && low !== undefined && above(low, si)) return "below";
  if (high !== null && high !== undefined && above(si, high)) return "above";
  return "inside";
}

/**
 * Judge a reading of a step: {verdict, outside}. `outside` is "", "advisory" or "absolute" as the program marks it:
 * past an absolute limit, or past the most that the body takes whatever the limits say.
 */
export function judge(step, si) {
  const { low = null, high = null, absolute = false } = step.limits ?? {};
  const verdict = verdictOf(si, low, high);
  const { most = null, least = null } = step;
  if (si !== null && most !== null && above(si, most)) return { verdict: "above", outside: "absolute", past: most };
  if (si !== null && least !== null && above(least, si)) return { verdict: "below", outside: "absolute", past: least };
  if (verdict !== "below" && verdict !== "above") return { verdict, outside: "", past: null };
  return { verdict, outside: absolute ? "absolute" : "advisory", past: verdict === "below" ? low : high };
}

const sumOf = (bind, read, name) => {
  const found = bind.springs.map((one) => read[one[`${name}_key`]] ?? one[name]);
  return found.length && found.every((si) => si !== null) ? found.reduce((sum, si) => sum + si, 0) : null;
};

/**
 * Give what coil bind bounds, {least, most}, each null where nothing does: the fitted length of springs by their closed
 * heights and the stroke, the travel left by what there is without any preload. `read` holds what was read as it goes
 * on, by the step's key; it goes before the sheet's figures. The program's twin is bench/coil_bind.py.
 */
export function bindBounds(bind, read) {
  const none = { least: null, most: null };
  const free = sumOf(bind, read, "free");
  const solid = sumOf(bind, read, "solid");
  if (solid === null || bind.stroke === null) return none;
  if (bind.figure === "spring fitted length") return { ...none, least: solid + bind.stroke };
  return free === null || solid >= free ? none : { ...none, most: free - solid - bind.stroke };
}

/** Give a step with the bounds of coil bind by what was read on this page, stored or only kept here. */
export function offCoilBind(step, read, tables, comma) {
  const { least, most } = bindBounds(step.bind, read);
  const text = (si) => (si === null ? "" : fmt(si, step.default_unit, step.unit_kind, tables, { comma }));
  return { ...step, least, least_text: text(least), most, most_text: text(most) };
}

/** Say whether a reading only tells how the damper came: it is recorded as it is, no reason asked. */
export const isAsFound = (step) => AS_FOUND.has(step.phase);

/** Write a difference of two SI figures as the reading itself was written: on tape fractions or in decimals. */
export function difference(si, step, like, tables, comma = false) {
  if (like?.text?.includes("/") && like.unit === "in") {
    const inches = fromSi(Math.abs(si), "in", "length", tables);
    const tape = [16, 32, 64].find((parts) => Math.abs(inches * parts - Math.round(inches * parts)) < 1e-6);
    if (tape) return `${asFraction(inches, tape)} ${labelOf("in", "length")}`;
  }
  const unit = like?.unit ?? step.default_unit;
  return fmt(Math.abs(si), unit, step.unit_kind, tables, { difference: true, comma, withUnit: step.unit_kind !== "count" });
}

function bare(text) {
  return text.replace(/\s*[^\d\s/.,−-][^\d]*$/u, "");
}

/** Write the limits in words: "130 to 150 psi", "at least 12 mm", "at most 150 psi"; "" where there are none. */
export function limitsWords(step, short = false) {
  const { low_text: low = "", high_text: high = "", words = "" } = step.limits ?? {};
  if (low && high) {
    const unit = high.slice(bare(high).length);
    const same = unit && low.endsWith(unit);
    return say("low-to-high", { low: same ? bare(low) : low, high: short && same ? bare(high) : high });
  }
  if (low) return say("at-least", { low });
  if (high) return say("at-most", { high });
  return words;
}

/** Say where a reading lies, in words: "Inside 1 3/4 to 2 3/4 in", "1 above 16". */
export function judgeWords(step, reading, tables, { comma = false, short = false } = {}) {
  const limits = limitsWords(step, short);
  if (!reading || reading.si === null || reading.si === undefined) return limits ? say("limits", { limits }) : "";
  const { verdict, past } = judge(step, reading.si);
  if (verdict === "inside") return limits ? say("inside", { limits }) : "";
  const far = difference(reading.si - past, step, reading, tables, comma);
  return say(verdict === "below" ? "below" : "above", { far, limit: pastText(step, verdict, past) });
}

/** Name the limit that was passed, as it was typed. */
export function pastText(step, verdict, past) {
  if (step.least !== null && step.least !== undefined && past === step.least) return step.least_text;
  if (verdict === "below") return step.limits.low_text;
  if (step.most !== null && step.most !== undefined && past === step.most) return step.most_text;
  return step.limits.high_text;
}

function inside(step, si) {
  return judge(step, si).verdict === "inside";
}

function figureOf(text) {
  return /^[+−-]?[\d\s./,]+/u.exec(text)?.[0].trim() ?? "";
}

/** Move the decimal mark of a typed figure by `places`; null for fractions. */
function moved(figure, places) {
  const match = /^(\d+)(?:[.,](\d*))?$/.exec(figure);
  if (!match) return null;
  const [, whole, part = ""] = match;
  const digits = (places < 0 ? "0".repeat(-places) : "") + whole + part + "0".repeat(Math.max(0, places));
  const at = (places < 0 ? -places : 0) + whole.length + places;
  const text = `${digits.slice(0, at)}.${digits.slice(at)}`;
  return text.replace(/0+$/, "").replace(/\.$/, "").replace(/^0+(?=\d)/, "");
}

/** List what a figure may have been meant as: the mark slipped, or another unit of the same sheet. */
function guesses(step, reading, units) {
  const figure = figureOf(reading.text);
  const slipped = [-1, 1, -2, 2].map((places) => moved(figure, places)).filter(Boolean);
  const others = units.filter((unit) => unit !== reading.unit);
  return [...slipped.map((text) => [text, reading.unit]), ...others.map((unit) => [figure, unit])];
}

/** Say the limits in the unit that is being typed, where the maker's sheet gives them in another; "" where it is the same. */
export function limitsIn(step, unit, tables, comma = false) {
  const { low = null, high = null, low_text: lowText = "", high_text: highText = "" } = step.limits ?? {};
  const words = [[low, lowText], [high, highText]].filter(([si, text]) => si !== null && text);
  if (step.unit_kind === "count" || !words.length) return "";
  try {
    if (words.every(([, text]) => parse(text, step.unit_kind, { tables, unit, comma, signed: true }).unit === unit)) return "";
  } catch {
    return ""; // a limit in words, not in figures
  }
  const write = ([si]) => fmt(si, unit, step.unit_kind, tables, { comma, withUnit: false });
  const label = labelOf(unit, step.unit_kind);
  const said = words.length === 2 ? say("low-to-high", { low: write(words[0]), high: `${write(words[1])} ${label}` }) : "";
  return said || say(low === null ? "at-most" : "at-least", { [low === null ? "high" : "low"]: `${write(words[0])} ${label}` });
}

/** Say whether a figure is so far outside its limits that the damper can hardly have had it. */
export function isFar(step, reading) {
  const { low = null, high = null } = step.limits ?? {};
  if (low === null || high === null || inside(step, reading.si)) return false;
  const past = reading.si < low ? low - reading.si : reading.si - high;
  return past > UNLIKELY * Math.abs(high - low) || past > Math.abs(high);
}

/**
 * Offer the likely meaning of a figure far outside its limits: {text, unit, si}, or null. Far is more than three times
 * the width of the limits; nothing is offered where two meanings would fit, for nothing is guessed, and no part of a click.
 */
export function likelyMeaning(step, reading, { units, tables, comma = false }) {
  if (!isFar(step, reading)) return null;
  const found = [];
  for (const [text, unit] of guesses(step, reading, units)) {
    try {
      const meant = parse(text, step.unit_kind, { tables, unit, comma, signed: step.signed });
      if (inside(step, meant.si) && (unit !== "click" || Number.isInteger(meant.si))) found.push(meant);
    } catch {
      /* Not a figure in that unit: no meaning to offer. */
    }
  }
  return found.length === 1 ? found[0] : null;
}

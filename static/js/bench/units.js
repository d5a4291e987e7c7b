/* Read a measurement as technicians write it, and print a computed one.

   Says yes and no as shopapp.calc.units does, with exact fractions until the last step; what can be read in two
   ways is refused. The sentence here is for the person typing; the program reads the same text again when it stores.
   Products of units that no tablet offers ("yd", "kgf/in2") are refused here and read there. */

import { GROUPED, KINDS, SPELLINGS, keyOf, labelOf, placesOf } from "./names.js";
import { say } from "./words.js";

const LONGEST = 60;
const VULGAR = {
  "¼": "1/4", "½": "1/2", "¾": "3/4", "⅐": "1/7", "⅑": "1/9", "⅒": "1/10", "⅓": "1/3", "⅔": "2/3",
  "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8",
  "⅝": "5/8", "⅞": "7/8",
}; // prettier-ignore
const VULGARS = `[${Object.keys(VULGAR).join("")}]`;
const MINUSES = /[−‐‑‒–]/g;
const SLASHES = /[⁄∕]/g;
const BLANKS = /[\t\u00a0\u2007\u2009\u200a\u202f\u2002\u2003]/g;
const MINUS = "\u2212";

/** What cannot be read; the message is a sentence for the user. */
export class UnitError extends Error {}

function refuse(word, values = {}) {
  throw new UnitError(say(word, values));
}

/** Make typographic marks plain; refuse what no keyboard of a figure writes. */
function tidy(text) {
  const plain = text.replace(MINUSES, "-").replace(SLASHES, "/").replace(BLANKS, " ").trim();
  if (/(?! )[\p{C}\p{Z}]/u.test(plain)) refuse("unit-character", { text });
  const foreign = Array.from(plain).some((c) => /\p{N}/u.test(c) && !/[0-9²³]/.test(c) && !(c in VULGAR));
  if (foreign) refuse("unit-digit", { text });
  const joined = plain.replace(new RegExp(`([0-9])(?: *|-)(${VULGARS})`, "g"), "$1 $2");
  return joined.replace(new RegExp(VULGARS, "g"), (char) => `${VULGAR[char]} `);
}

function over(top, bottom, plain) {
  if (BigInt(bottom) === 0n) refuse("unit-zero", { text: plain });
  return [BigInt(top), BigInt(bottom)];
}

function pointed(digits, plain, kind, comma) {
  const points = digits.split(".").length - 1;
  const commas = digits.split(",").length - 1;
  if (comma) {
    if (points + commas > 1) refuse("unit-marks", { text: plain });
    if (points && GROUPED.has(kind) && digits.split(".").pop().length === 3) refuse("unit-two", { text: plain });
    return digits.replace(",", ".");
  }
  if (commas && GROUPED.has(kind) && /^[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?$/.test(digits)) {
    return digits.replaceAll(",", "");
  }
  if (commas) refuse("unit-two", { text: plain });
  if (points > 1) refuse("unit-points", { text: plain });
  return digits;
}

/** Give a plain decimal ("2.5", "1e3", ".625") as an exact fraction. */
function exact(text) {
  const [body, power = "0"] = text.toLowerCase().split("e");
  const [whole, part = ""] = body.split(".");
  const size = Number(power) - part.length;
  const digits = BigInt((whole + part).replace("-", "") || "0") * (body.startsWith("-") ? -1n : 1n);
  return size < 0 ? [digits, 10n ** BigInt(-size)] : [digits * 10n ** BigInt(size), 1n];
}

function decimal(rest, plain, kind, comma) {
  const match = /^([0-9]*(?:[.,][0-9]+)*)([eE][+-]?[0-9]{1,4})?/.exec(rest);
  if (!match[1]) refuse("unit-no-figure", { text: plain });
  return [match[0], exact(pointed(match[1], plain, kind, comma) + (match[2] ?? ""))];
}

/** Give what was read, and the size as a fraction, of a text without its sign. */
function size(rest, plain, kind, comma) {
  const mixed = /^([0-9]+)(?: +|-)([0-9]+) ?\/ ?([0-9]+)/.exec(rest);
  if (mixed) {
    const [top, bottom] = over(mixed[2], mixed[3], plain);
    if (top >= bottom) refuse("unit-over-one", { text: plain });
    return [mixed[0], [BigInt(mixed[1]) * bottom + top, bottom]];
  }
  const fraction = /^([0-9]+) ?\/ ?([0-9]+)/.exec(rest);
  if (fraction) return [fraction[0], over(fraction[1], fraction[2], plain)];
  return decimal(rest, plain, kind, comma);
}

function goesOn(plain, read) {
  if (!read.includes("/") && /[.,]/.test(read) && plain.includes("/")) return "unit-mixes";
  if (plain.split("/").length > 2 && read.includes("/")) return "unit-bars";
  return "unit-one-figure";
}

function figure(plain, kind, comma) {
  const sign = /^([+-]?) */.exec(plain);
  const [read, number] = size(plain.slice(sign[0].length), plain, kind, comma);
  const rest = plain.slice(sign[0].length + read.length).trim();
  if (/^[0-9/.,;:+-]/.test(rest)) refuse(goesOn(plain, read), { text: plain });
  return [sign[1] === "-" ? -1n : 1n, number, rest];
}

/** Give the labels that a kind may be written in, for a sentence. */
function offer(kind) {
  return KINDS[kind].map(([, label]) => label).filter(Boolean).join(", ");
}

function unitNamed(rest, kind) {
  if (rest.includes("mPa")) refuse("unit-mpa");
  const name = Object.hasOwn(SPELLINGS[kind], keyOf(rest)) ? SPELLINGS[kind][keyOf(rest)] : undefined;
  if (!name) refuse("unit-unknown", { text: rest.slice(0, 40), units: offer(kind) });
  return name;
}

/** Round a fraction of big integers to the nearest float, halves to even. */
export function nearest([top, bottom]) {
  if (top === 0n) return 0;
  const length = (n) => n.toString(2).length;
  const size_ = top < 0n ? -top : top;
  const shift = 66 - length(size_) + length(bottom);
  const [n, d] = shift > 0 ? [size_ << BigInt(shift), bottom] : [size_, bottom << BigInt(-shift)];
  // The last bit says that something was cut off, so that the one rounding below is the right one.
  let value = Number((n / d) | (n % d ? 1n : 0n));
  for (let left = -shift; left; left -= Math.sign(left) * Math.min(Math.abs(left), 1000)) {
    value *= 2 ** (Math.sign(left) * Math.min(Math.abs(left), 1000));
  }
  return top < 0n ? -value : value;
}

function toSi(number, unit, kind, tables) {
  const [factor, offset] = tables[kind][unit].map((n) => exact(String(n)));
  const top = number[0] * factor[0] * offset[1] + offset[0] * number[1] * factor[1];
  const si = nearest([top, number[1] * factor[1] * offset[1]]);
  if (!Number.isFinite(si)) refuse("unit-large");
  if (si === 0 && top !== 0n) refuse("unit-small");
  if (kind === "temperature" && si < 1e-9) refuse("unit-cold");
  return si;
}

/**
 * Read a figure with its unit: {si, unit, text}. `options`: tables (from the sheet), unit (counts where none is
 * typed), comma (the decimal sign), signed. Throws UnitError with a sentence.
 */
export function parse(text, kind, options) {
  if (Array.from(text).length > LONGEST) refuse("unit-long");
  if (!text.trim()) refuse("unit-empty");
  const [sign, number, rest] = figure(tidy(text), kind, Boolean(options.comma));
  if (sign < 0n && !options.signed) refuse("unit-below", { text: text.trim() });
  const fallback = options.unit ?? (kind === "count" ? "1" : null);
  if (!rest && !fallback) refuse("unit-none", { text: text.trim(), units: offer(kind) });
  const unit = rest ? unitNamed(rest, kind) : unitNamed(fallback, kind);
  return { si: toSi([sign * number[0], number[1]], unit, kind, options.tables), unit, text: text.trim(), named: Boolean(rest) };
}

/** Give an SI figure in a unit as a float; a difference leaves the offset of temperatures out. */
export function fromSi(si, unit, kind, tables, difference = false) {
  const [factor, offset] = tables[kind][unit];
  return (si - (difference ? 0 : offset)) / factor;
}

/** Write inches as on a tape, "2 3/16": nearest, halves away from zero, lowest terms. */
export function asFraction(inches, denominator) {
  const scaled = Math.abs(inches) * denominator;
  const divisions = Math.floor(scaled + 0.5 + Math.max(1e-9, scaled / 2 ** 50));
  const part = divisions % denominator;
  const whole = (divisions - part) / denominator;
  const common = (a, b) => (b ? common(b, a % b) : a);
  const shared = common(part, denominator);
  const words = whole || !part ? [String(whole)] : [];
  if (part) words.push(`${part / shared}/${denominator / shared}`);
  return (divisions && inches < 0 ? MINUS : "") + words.join(" ");
}

/** Round half up at a number of decimals, on twelve figures: a half that is a hair short is a half. */
function halfUp(value, places) {
  const [top, bottom] = exact(Math.abs(value).toPrecision(12).replace("+", ""));
  const scaled = (2n * top * 10n ** BigInt(places) + bottom) / (2n * bottom);
  const digits = scaled.toString().padStart(places + 1, "0");
  return places ? `${digits.slice(0, -places)}.${digits.slice(-places)}` : digits;
}

/** Print a figure held in SI in a unit, with its label; trailing zeros of a difference go. */
export function fmt(si, unit, kind, tables, { difference = false, comma = false, withUnit = true } = {}) {
  const value = fromSi(si, unit, kind, tables, difference);
  let places = placesOf(unit, kind);
  let text = halfUp(value, places);
  // Zero is a temperature like any other; elsewhere a figure that reads as zero hides what is there.
  for (let extra = kind === "temperature" ? 0 : 3; extra && value && !Number(text); extra -= 1) text = halfUp(value, (places += 1));
  if (difference && text.includes(".")) text = text.replace(/\.?0+$/, "");
  if (comma) text = text.replace(".", ",");
  const label = withUnit ? labelOf(unit, kind) : "";
  const gap = label && label !== "°" ? " " : "";
  return `${value < 0 && Number(text.replace(",", ".")) ? MINUS : ""}${text}${gap}${label}`;
}

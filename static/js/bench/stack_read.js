/* Reading a stack of shims as a technician types or pastes it, and writing it in one way that reads back equal.

   Says yes and no as shopapp.calc.stacks does; both are held to tests/bench/stacks.json. A shim: {diameter, thickness
   (each {si, unit, text}), text, crossover}. */

import { labelOf } from "./names.js";
import { parse } from "./units.js";
import { say } from "./words.js";

export const MOST_SHIMS = 60;
const LONGEST = 1000;
const BLANKS = /[\t\u00a0\u2007\u2009\u200a\u202f\u2002\u2003]/g;
const BREAKS = /[\n;]|,(?=\s|$)/;
const TOKEN =
  /(?<crossover>\(?(?:crossover|co|c)(?![\p{L}\p{N}_])\)?)|(?<times>[x×*✕]|by(?![\p{L}\p{N}_])|off(?![\p{L}\p{N}_]))|(?<figure>[+\-−]?[0-9.,][0-9.,/⁄-]*[¼½¾⅓⅔⅛⅜⅝⅞]?|[¼½¾⅓⅔⅛⅜⅝⅞])|(?<unit>(?:(?![xX])\p{L})+|["″”])|(?<sign>[⌀øØ]) */iuy;
const FIGURE = /^[0-9.,/⁄¼½¾⅓⅔⅛⅜⅝⅞ -]+/;

/** What cannot be read as a stack; the message is a sentence for the user. */
export class StackError extends Error {}

function refuse(word, values = {}) {
  throw new StackError(say(word, values));
}

const noShim = (text) => refuse("stack-no-shim", { text: text.trim().slice(0, 60) });
const spelled = (figures) => figures.map(({ text, unit }) => `${text} ${unit}`.trim()).join(" x ");

/** Gather a line's figures: two with × between them belong together, two without are of two shims. */
function chainsOf(line) {
  const chains = [];
  let at = 0;
  while (at < line.length) {
    if (line[at] === " ") {
      at += 1;
      continue;
    }
    TOKEN.lastIndex = at;
    const match = TOKEN.exec(line);
    if (!match) noShim(line);
    at = TOKEN.lastIndex;
    const kind = Object.keys(match.groups).find((name) => match.groups[name] !== undefined);
    const chain = chains.at(-1);
    if (kind === "figure" && !chain?.open) chains.push({ figures: [figureAt(match)], crossover: false, open: false });
    else if (chain) goOn(chain, kind, match, line);
    else if (kind !== "sign") noShim(line);
  }
  return chains;
}

const figureAt = (match) => ({ text: match[0], start: match.index, end: match.index + match[0].length, unit: "" });

/** Take the next piece into a chain; refuse what does not belong after the last one. */
function goOn(chain, kind, match, line) {
  const last = chain.figures.at(-1);
  if (kind === "figure") {
    chain.figures.push(figureAt(match));
    chain.open = false;
  } else if (kind === "times" && !chain.open) chain.open = true;
  else if (kind === "unit" && !chain.open && !last.unit) Object.assign(last, { unit: match[0], end: match.index + match[0].length });
  else if (kind === "crossover" && !chain.open && !chain.crossover) chain.crossover = true;
  else if (kind !== "sign") noShim(line);
}

function length(figure, unit, options) {
  if (figure.text.includes(",") && !options.comma) refuse("stack-two-ways", { text: figure.text });
  const { si, unit: name } = parse(`${figure.text} ${figure.unit}`.trim(), "length", { ...options, unit, signed: false });
  return { si, unit: name, text: `${figure.text} ${figure.unit}`.trim() };
}

const isCount = (figure) => !figure.unit && /^[0-9]{1,4}$/.test(figure.text);

function isFlat(pair, options) {
  if (pair[0].unit || pair[1].unit) return true;
  const [wide, thick] = pair.map((figure) => length(figure, "mm", options).si);
  return wide > thick;
}

/** Give how many shims a chain stands for, and its two figures. */
function counted({ figures, open }, options) {
  if (open || ![2, 3].includes(figures.length)) noShim(spelled(figures));
  if (figures.length === 2) return [1, figures];
  const ways = [[figures[0], figures.slice(1)], [figures[2], figures.slice(0, 2)]]; // prettier-ignore
  const readings = ways.filter(([number, pair]) => isCount(number) && isFlat(pair, options));
  if (readings.length === 2) refuse("stack-two-readings", { text: spelled(figures) });
  if (!readings.length) noShim(spelled(figures));
  const count = Number(readings[0][0].text);
  if (count < 1 || count > MOST_SHIMS) refuse("stack-repeats", { most: MOST_SHIMS, count });
  return [count, readings[0][1]];
}

function shimOf(line, chain, pair, options) {
  const unit = pair[0].unit || pair[1].unit || "mm";
  const [diameter, thickness] = pair.map((figure) => length(figure, unit, options));
  const text = line.slice(pair[0].start, pair[1].end).trim();
  if (diameter.si <= 0 || thickness.si <= 0) refuse("stack-no-size", { text });
  return { diameter, thickness, text, crossover: chain.crossover };
}

/** Read a stack from the piston face outwards; an empty text is an empty stack. `options`: tables, comma. */
export function read(text, options) {
  if (text.length > LONGEST) refuse("stack-long", { most: MOST_SHIMS });
  const found = [];
  const bare = [];
  for (const line of text.replace(BLANKS, " ").replaceAll("\r", "\n").split(BREAKS)) {
    for (const chain of chainsOf(line)) {
      const [count, pair] = counted(chain, options);
      if (found.length + count > MOST_SHIMS) refuse("stack-many", { most: MOST_SHIMS });
      found.push(...Array.from({ length: count }, () => shimOf(line, chain, pair, options)));
      bare.push(!pair.some((figure) => figure.unit));
    }
  }
  const other = found.flatMap((shim) => [shim.diameter.unit, shim.thickness.unit]).find((unit) => unit !== "mm");
  if (other && bare.some(Boolean)) refuse("stack-units", { unit: labelOf(other, "length") });
  return found;
}

const figureOf = (part) => (FIGURE.exec(part.text)?.[0] ?? part.text).trim();
const unitOf = ({ unit }) => (unit === "mm" ? "" : labelOf(unit, "length"));

/** Give a shim as it is written beside a drawing: "36 × 0.20", "1.575 × 0.008 in". */
export function label(shim) {
  const figures = [figureOf(shim.diameter), figureOf(shim.thickness)];
  const units = [unitOf(shim.diameter), unitOf(shim.thickness)];
  if (units[0] === units[1]) return `${figures[0]} × ${figures[1]} ${units[0]}`.trim();
  return `${figures[0]} ${units[0] || "mm"} × ${figures[1]} ${units[1] || "mm"}`;
}

/** Write a stack so that the program reads the same figures: units at every shim as soon as one is not in mm. */
export function write(shims, { comma = false } = {}) {
  const plain = shims.every((shim) => shim.diameter.unit === "mm" && shim.thickness.unit === "mm");
  const one = (shim) => {
    const [wide, thick] = [figureOf(shim.diameter), figureOf(shim.thickness)];
    const mark = shim.crossover ? " c" : "";
    if (plain) return `${wide}x${thick}${mark}`;
    return `${wide} ${shim.diameter.unit}x${thick} ${shim.thickness.unit}${mark}`;
  };
  const runs = [];
  for (const text of shims.map(one)) {
    if (runs.at(-1)?.text === text) runs.at(-1).count += 1;
    else runs.push({ text, count: 1 });
  }
  return runs.map(({ text, count }) => (count === 1 ? text : `${count} x ${text}`)).join(comma ? "; " : ", ");
}

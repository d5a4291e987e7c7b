/* Comparing two stacks place by place, saying what is odd in an order, and what must be settled before a job is done.

   The same judges as shopapp.calc.stacks, shopapp.calc.shims and shopapp/bench/lock_stacks.py, held with them to
   tests/bench/stacks.json. A shim here is what a sheet gives: {diameter, thickness (m), label, crossover}. */

import { say } from "./words.js";

const HAIR = 1e-9;
const AS_FOUND = ["received", "removed"];
const SAID = { changed: "stack-changed", missing: "stack-missing", added: "stack-added" };
const near = (one, other) => Math.abs(one - other) <= HAIR;
const same = (one, other) => near(one.diameter, other.diameter) && near(one.thickness, other.thickness);

/** Say whether two stacks are the same shims in the same order. */
export const alike = (one, other) => one.length === other.length && one.every((shim, at) => same(shim, other[at]));

function beside(one, other) {
  if (same(one, other)) return { kind: "same", cost: [0, -1, 0] };
  const figures = Number(!near(one.diameter, other.diameter)) + Number(!near(one.thickness, other.thickness));
  return { kind: "changed", cost: [1, 0, figures] };
}

/** What may be done at a pair of places, the preferred one first. */
function waysAt(removed, built, out, back) {
  const ways = [];
  if (out < removed.length && back < built.length) ways.push({ ...beside(removed[out], built[back]), out: out + 1, back: back + 1 });
  if (out < removed.length) ways.push({ kind: "missing", cost: [1, 0, 2], out: out + 1, back });
  if (back < built.length) ways.push({ kind: "added", cost: [1, 0, 2], out, back: back + 1 });
  return ways;
}

const plus = (one, other) => one.map((figure, at) => figure + other[at]);
const order = (one, other) => one[0] - other[0] || one[1] - other[1] || one[2] - other[2];

/** Lay two stacks beside each other with the fewest shims changed, left out and added: rows of {kind, out, back, …}. */
export function compare(removed, built) {
  const costs = Array.from({ length: removed.length + 1 }, () => []);
  for (let out = removed.length; out >= 0; out -= 1) {
    for (let back = built.length; back >= 0; back -= 1) {
      const ways = waysAt(removed, built, out, back).map((way) => plus(way.cost, costs[way.out][way.back]));
      costs[out][back] = ways.sort(order)[0] ?? [0, 0, 0];
    }
  }
  const rows = [];
  let [out, back] = [0, 0];
  while (out < removed.length || back < built.length) {
    const least = costs[out][back];
    const way = waysAt(removed, built, out, back).find(({ cost, ...to }) => order(plus(cost, costs[to.out][to.back]), least) === 0);
    const [takes, puts] = [way.kind !== "added", way.kind !== "missing"];
    rows.push({
      kind: way.kind, outPlace: takes ? out + 1 : null, out: takes ? removed[out] : null,
      backPlace: puts ? back + 1 : null, back: puts ? built[back] : null,
    }); // prettier-ignore
    [out, back] = [way.out, way.back];
  }
  return rows;
}

export const changes = (rows) => rows.filter((row) => row.kind !== "same");

/** Say a row of a comparison in plain words. */
export function rowWords(row) {
  const place = row.backPlace ?? row.outPlace;
  return say(SAID[row.kind], { place, removed: row.out?.label ?? "", built: row.back?.label ?? "" });
}

function millimetres(metres, comma) {
  const text = (metres * 1000).toFixed(4).replace(/0+$/, "").replace(/\.$/, "");
  return `${comma ? text.replace(".", ",") : text} mm`;
}

/** List what does not make sense in a stack's order; `step` gives seat and clamp in m, null where nobody knows. */
export function problems(shims, { seat = null, clamp = null } = {}, comma = false) {
  const mm = (metres) => millimetres(metres, comma);
  const found = [];
  if (shims.length && seat && shims[0].diameter < seat - HAIR) found.push(say("stack-uncovered", { face: mm(shims[0].diameter), seat: mm(seat) }));
  shims.forEach(({ diameter }, at) => {
    const place = at + 1;
    if (clamp && diameter <= clamp + HAIR) found.push(say("stack-not-past", { diameter: mm(diameter), place, clamp: mm(clamp) }));
    const before = shims[at - 1];
    if (before && !before.crossover && diameter > before.diameter + HAIR) {
      found.push(say("stack-larger", { diameter: mm(diameter), place, before: mm(before.diameter) }));
    }
  });
  return found;
}

/** Ask about shims that are unlikely: nothing is refused for it. */
export function queries(shims) {
  const ask = ({ diameter, thickness, label }, at) => {
    const values = { place: at + 1, shim: label };
    if (thickness >= diameter) return say("stack-thicker-than-wide", values);
    if (thickness < 0.05e-3 - HAIR) return say("stack-thin", values);
    if (thickness > 1e-3 + HAIR) return say("stack-thick", values);
    return diameter > 0.1 + HAIR ? say("stack-wide", values) : null;
  };
  return shims.map(ask).filter(Boolean);
}

/** Find the latest entry of each step that no entry corrects: by step's key, its place among the entries. */
function latestOf(entries) {
  const replaced = new Set(entries.map((entry) => entry.replaces).filter(Boolean));
  const found = new Map();
  entries.forEach((entry, at) => {
    if (["reading", "unreadable"].includes(entry.kind) && entry.key && !replaced.has(entry.id)) found.set(entry.key, at);
  });
  return { found, replaced };
}

function explained(entries, replaced, out, back) {
  const both = [out, back].filter((at) => at !== null).map((at) => entries[at].id);
  const last = Math.max(out, back ?? out);
  const after = entries.slice(last + 1);
  const said = after.some((entry) => entry.kind === "reason" && both.includes(entry.about) && !replaced.has(entry.id));
  return said || (back !== null && Boolean(entries[last].reason));
}

/** List the stacks that stand in the way of done: {figure, why, out, back (entries)}; why is "missing" or "unlike". */
export function unsettled(steps, entries) {
  const { found, replaced } = latestOf(entries);
  const asked = steps.filter((step) => step.unit_kind === "stack");
  const last = (keys) => keys.reduce((most, { key }) => (found.has(key) ? Math.max(most ?? -1, found.get(key)) : most), null);
  return [...new Set(asked.map((step) => step.figure))].flatMap((figure) => {
    const of = asked.filter((step) => step.figure === figure);
    const built = of.filter((step) => !AS_FOUND.includes(step.phase));
    const out = last(of.filter((step) => AS_FOUND.includes(step.phase)));
    const back = last(built);
    if (!built.length || out === null || entries[out].kind !== "reading") return [];
    const differ = back !== null && entries[back].kind === "reading" && !alike(entries[out].shims, entries[back].shims);
    const why = back === null ? "missing" : differ ? "unlike" : "";
    if (!why || explained(entries, replaced, out, back)) return [];
    return [{ figure, why, out: entries[out], back: back === null ? null : entries[back] }];
  });
}

/** Take the end as done back while a stack stands in its way. */
export function holdStacks(judged, steps, entries) {
  if (!unsettled(steps, entries).length) return judged;
  return { ...judged, may_close_done: false, outcomes: judged.outcomes.filter((outcome) => outcome !== "done") };
}

/* What it means for a sheet who recorded: a trainee's entries wait for another hand, the final check for another pair of eyes.

   The twin of shopapp/bench/lock_people.py; both are held to the table tests/bench/people.json. It takes away from a
   standing and never gives. An entry: {id, kind, who (initials), to_countersign, about}. */

import { ORDER } from "./locks.js";

const SIGNED = new Set(["do", "reading", "unreadable", "proof", "wait end", "part", "tool", "choice", "finding"]);
const BEFORE_GAS = ["strip", "charge"];
const RESTORED = "restore";
const CHECKED = "final";
const AFTER_CHARGE = "prove";

const place = (stage) => ORDER.indexOf(stage);

/** Say whether an entry of this kind is one that somebody countersigns. */
export const isSigned = (kind) => SIGNED.has(kind);

/** Give the ids of the entries that wait to be countersigned. */
export function unsigned(entries) {
  const signed = new Set(entries.filter((entry) => entry.kind === "countersign").map((entry) => entry.about));
  return new Set(entries.filter((entry) => entry.to_countersign && !signed.has(entry.id)).map((entry) => entry.id));
}

/** Give the stage that a step keeps shut while its record is not countersigned; "" for none. */
function shutBy(step, needed) {
  if (BEFORE_GAS.includes(step.locks)) return step.locks;
  return step.stage === "charge" && step.kind === "reading" && !needed.has(step.key) ? AFTER_CHARGE : "";
}

/** Give for each stage that a missing signature keeps shut the keys of the steps that wait for it. */
function shutStages(steps, satisfied, waiting) {
  const needed = new Set(steps.flatMap((step) => step.needs ?? []));
  const firsts = steps
    .filter((step) => waiting.has(satisfied[step.key]))
    .map((step) => [shutBy(step, needed), step.key])
    .filter(([stage]) => stage);
  const found = {};
  for (const stage of ORDER) {
    const keys = firsts.filter(([first]) => place(first) <= place(stage)).map(([, key]) => key);
    if (keys.length) found[stage] = keys;
  }
  return found;
}

/** Give the initials of those by whose records the restored settings stand. */
export function restorers(steps, satisfied, entries) {
  const stand = new Set(steps.filter((step) => step.stage === RESTORED).map((step) => satisfied[step.key]));
  return new Set(entries.filter((entry) => stand.has(entry.id)).map((entry) => entry.who));
}

/** Say whether a step locks its own stage, and no earlier one is shut: a proof that stands there may be given. */
const opensItself = (step, shut) => step.locks === step.stage && !Object.keys(shut).some((stage) => place(stage) < place(step.stage));

function withoutOwnCheck(standing, steps, entries) {
  const restored = restorers(steps, standing.satisfied, entries);
  const who = new Map(entries.map((entry) => [entry.id, entry.who]));
  const asked = steps.filter((step) => step.stage === CHECKED && step.required !== false);
  const own = new Set(asked.map((step) => step.key).filter((key) => restored.has(who.get(standing.satisfied[key]))));
  if (!own.size) return standing;
  return {
    ...standing,
    satisfied: Object.fromEntries(Object.entries(standing.satisfied).filter(([key]) => !own.has(key))),
    missing: steps.map((step) => step.key).filter((key) => own.has(key) || standing.missing.includes(key)),
    states: { ...standing.states, [CHECKED]: "in work" },
    outcomes: standing.outcomes.filter((outcome) => outcome !== "done"),
    may_close_done: false,
  };
}

function lockedBy(locked, shut) {
  const found = { ...locked };
  for (const [stage, keys] of Object.entries(shut)) found[stage] = [...new Set([...(found[stage] ?? []), ...keys])];
  return found;
}

/** Take from a standing what waits for another hand. `second`: the final check is for somebody who did not restore. */
export function holdHands(standing, steps, entries, second = false) {
  const waiting = unsigned(entries);
  const found = second ? withoutOwnCheck(standing, steps, entries) : standing;
  const { satisfied } = found;
  const shut = shutStages(steps, satisfied, waiting);
  const late = new Set(steps.filter((step) => step.stage in shut && !opensItself(step, shut)).map((step) => step.key));
  const gone = new Set();
  if (Object.values(satisfied).some((id) => waiting.has(id))) gone.add("done");
  if (steps.some((step) => step.locks === "strip" && waiting.has(satisfied[step.key]))) gone.add("uncharged");
  const outcomes = found.outcomes.filter((outcome) => !gone.has(outcome));
  return {
    ...found,
    open: found.open.filter((stage) => !(stage in shut)),
    open_steps: found.open_steps.filter((key) => !late.has(key)),
    locked_by: lockedBy(found.locked_by, shut),
    outcomes,
    may_close_done: found.may_close_done && outcomes.includes("done"),
    unsigned: [...waiting],
  };
}

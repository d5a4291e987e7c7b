/* Judge a bench sheet: which stages are open, what stands, what is missing, how the job may end.

   The same judge as shopapp/bench/locks.py, held with it against the one table tests/bench/locks.json: what is kept
   here and not stored yet counts as well, so that a lock opens, and a stop holds, without the network.

   A step: {key, stage, kind, phase, locks, required, must_read, needs, options}. A record, in the order in which they
   were stored: {id, kind, key, answer, outside, out_of_order, replaces}. */

export const ORDER = [
  "receive", "wash", "settings", "spring off", "release", "strip", "inspect", "reseal",
  "rod", "fill", "close", "ifp", "charge", "prove", "restore", "final",
]; // prettier-ignore
const AS_FOUND = new Set(["received", "removed"]);
const NO_WORK = ["note", "taken", "reason", "countersign", "finding", "put right", "picture"];
const PLAIN = { do: "do", choice: "choice", part: "part", tool: "tool", picture: "picture" };
const UNSAFE = "unsafe";

const place = (stage) => ORDER.indexOf(stage);
const valuesOf = (step, flag) => (step.options ?? []).filter((option) => option[flag]).map((option) => option.value);

/** Read a sheet's steps and records once, so that each question below is short. */
function read(steps, records) {
  const replaced = new Set(records.map((record) => record.replaces).filter(Boolean));
  const current = new Map();
  records.forEach((record, at) => {
    if (!record.key || replaced.has(record.id)) return;
    if (!current.has(record.key)) current.set(record.key, []);
    current.get(record.key).push(at);
  });
  const sheet = { steps: new Map(steps.map((step) => [step.key, step])), rules: steps, records, current };
  sheet.needed = neededBy(sheet);
  sheet.places = new Map(records.map((record, at) => [record.id, at]));
  sheet.charges = [...records.keys()].filter((at) => letsIn(sheet, at));
  return sheet;
}

/** Say whether a record is what the step asks for; null where it says nothing about it (a note). */
function good(sheet, step, record) {
  if (step.kind === "reading") {
    if (record.kind === "unreadable") return !step.must_read && !sheet.needed.has(step.key);
    if (record.kind === "reading") return AS_FOUND.has(step.phase) || record.outside !== "absolute";
    return null;
  }
  if (step.kind === "proof") return record.kind === "proof" ? valuesOf(step, "passes").includes(record.answer) : null;
  if (step.kind === "choice" && record.kind === "choice") {
    const passes = valuesOf(step, "passes");
    return !passes.length || passes.includes(record.answer);
  }
  return PLAIN[step.kind] === record.kind ? true : null;
}

function waitEnded(sheet, key) {
  let end = null;
  for (const at of [...(sheet.current.get(key) ?? [])].reverse()) {
    const record = sheet.records[at];
    if (record.out_of_order) continue;
    if (record.kind === "wait") return fresh(sheet, sheet.steps.get(key), at) ? end : null;
    if (record.kind === "wait end") end ??= at;
  }
  return null;
}

function waitRuns(sheet, step) {
  if (step.kind !== "wait") return false;
  const found = (sheet.current.get(step.key) ?? []).filter((at) => !sheet.records[at].out_of_order && !NO_WORK.includes(sheet.records[at].kind));
  return found.length > 0 && sheet.records[found.at(-1)].kind === "wait";
}

/** Give the place of the record by which a step stands; null where it does not. */
function stands(sheet, key) {
  const step = sheet.steps.get(key);
  if (!step) return null;
  if (step.kind === "wait") return waitEnded(sheet, key);
  for (const at of [...(sheet.current.get(key) ?? [])].reverse()) {
    const record = sheet.records[at];
    const found = good(sheet, step, record);
    if (found === null || (found && record.out_of_order)) continue;
    // What was read before its need was read anew (a corrected body temperature) was judged by an old figure.
    return found && needsMet(sheet, step, at) && fresh(sheet, step, at) ? at : null;
  }
  return null;
}

function needsMet(sheet, step, before) {
  const needs = step.needs ?? [];
  if (!needs.length) return true;
  return needs.some((key) => {
    const at = stands(sheet, key);
    return at !== null && at < before;
  });
}

const isLock = (rule) => rule.kind === "proof" && Boolean(rule.locks);
const isCharge = (sheet, step) => step.stage === "charge" && step.kind === "reading" && !sheet.needed.has(step.key);

/** Say whether gas was let in: attempts, readings taken back and those out of order count as well; a slip does not. */
function letsIn(sheet, at) {
  const record = sheet.records[at];
  const step = sheet.steps.get(record.key);
  return Boolean(step) && record.kind === "reading" && isCharge(sheet, step) && meant(sheet, at) === at;
}

/** Say whether a record is of the same stage as a step, of another step than it, and stops nothing. */
function within(sheet, step, record) {
  const other = sheet.steps.get(record.key);
  if (NO_WORK.includes(record.kind)) return true;
  if (!other || other.stage !== step.stage || other.key === step.key) return false;
  return !valuesOf(other, "stops").includes(record.answer);
}

/**
 * Give the place of a reading as built whose correction at `before` is a slip of the pen: the same work. Only while
 * nothing but the same stage was recorded since; one out of order, or past an absolute limit, was no good reading.
 */
function slip(sheet, step, corrects, before) {
  const at = step.kind === "reading" && !AS_FOUND.has(step.phase) ? (sheet.places.get(corrects) ?? null) : null;
  if (at === null || at >= before) return null;
  const old = sheet.records[at];
  const good = old.kind === "reading" && old.key === step.key;
  if (!good || old.out_of_order || old.outside === "absolute") return null;
  return sheet.records.slice(at + 1, before).every((record) => within(sheet, step, record)) ? at : null;
}

/** Give the place of the reading that the one here corrects by a slip of the pen; its own otherwise. */
function meant(sheet, place) {
  const record = sheet.records[place];
  const step = sheet.steps.get(record.key);
  if (!step || record.kind !== "reading" || !record.replaces) return place;
  const at = slip(sheet, step, record.replaces, place);
  return at === null ? place : meant(sheet, at);
}

/** Say whether a step needs a body without gas: strip to ifp, and the proofs before gas. */
function beforeGas(step) {
  const stripped = place("strip") <= place(step.stage) && place(step.stage) < place("charge");
  return stripped || (step.kind === "proof" && step.locks === "charge");
}

/** Say whether work at a step has the proofs that it needs since gas was let in. */
function provedAnew(sheet, step) {
  const asks = beforeGas(step) || isCharge(sheet, step);
  if (!sheet.charges.length || !asks || step.kind === "picture") return true;
  const last = isLock(step) ? place(step.locks) - 1 : place(step.stage);
  return sheet.rules
    .filter((rule) => isLock(rule) && place(rule.locks) <= last)
    .every((rule) => (stands(sheet, rule.key) ?? -1) > sheet.charges.at(-1));
}

function works(sheet, record) {
  const step = sheet.steps.get(record.key);
  return Boolean(step) && !NO_WORK.includes(record.kind) && step.kind !== "proof" && beforeGas(step);
}

/** Say whether the body was closed and the IFP set before a proof before gas was given at `before`. */
function builtBefore(sheet, before) {
  return sheet.rules
    .filter((rule) => ["close", "ifp"].includes(rule.stage) && rule.required !== false)
    .filter((rule) => !["proof", "picture"].includes(rule.kind))
    .every((rule) => {
      const at = stands(sheet, rule.key);
      return at !== null && meant(sheet, at) < before;
    });
}

/** Say whether a step of the charge stage follows the charge (the valve closed): it is done after each one. */
function shutsGasIn(sheet, step) {
  if (step.stage !== "charge" || step.locks || ["reading", "tool"].includes(step.kind)) return false;
  return sheet.rules.slice(0, sheet.rules.indexOf(step)).some((rule) => isCharge(sheet, rule));
}

/** Say whether a proof is not overtaken by gas let in since, nor given before what it looks at. */
function fresh(sheet, step, at) {
  if (step.stage === "prove" || shutsGasIn(sheet, step)) return !sheet.charges.length || at > sheet.charges.at(-1);
  if (!isLock(step)) return true;
  const later = sheet.charges.filter((charge) => charge > at);
  if (later.length > 1) return false;
  if (later.length && sheet.records.slice(later[0]).some((record) => works(sheet, record))) return false;
  return step.locks !== "charge" || builtBefore(sheet, at);
}

function lockedBy(sheet, standing) {
  const locks = sheet.rules.filter((rule) => rule.locks && !standing.has(rule.key));
  const found = {};
  for (const stage of ORDER) {
    const keys = locks.filter((rule) => place(rule.locks) <= place(stage)).map((rule) => rule.key);
    if (keys.length) found[stage] = keys;
  }
  return found;
}

/** List the steps that may be recorded: those of open stages, and those of a shut one that alone keep it shut. */
function openSteps(sheet, locked) {
  const within = (stage) => locked[stage].every((key) => sheet.steps.get(key).stage === stage);
  const may = (rule) => !(rule.stage in locked) || (rule.locks === rule.stage && within(rule.stage));
  return sheet.rules.filter(may).map((rule) => rule.key);
}

/** Follow stops, releases and closings in their order. */
function holdOf(sheet) {
  let hold = { stopped: false, released: false, closed: "", stage: "" };
  for (const record of sheet.records) {
    const step = sheet.steps.get(record.key);
    if (record.kind === "finding") {
      // Unsafe to use, and found after it was called done: it holds gas and must not go.
      if (hold.closed === "done" && record.answer === UNSAFE) hold = { stopped: true, released: false, closed: "", stage: "" };
    } else if (step && valuesOf(step, "stops").includes(record.answer)) {
      hold = { stopped: true, released: false, closed: "", stage: step.stage };
    } else if (record.kind === "release") {
      hold.released = hold.stopped;
    } else if (record.kind === "close" && record.answer === UNSAFE && !hold.released) {
      hold = { stopped: true, released: false, closed: "", stage: "" };
    } else if (record.kind === "close") {
      hold.closed = record.answer;
    }
  }
  return hold;
}

/** Keys of the readings that only serve another: the body's temperature for the charge. */
const neededBy = (sheet) => new Set(sheet.rules.flatMap((rule) => rule.needs ?? []));

/** Say whether work of this stage or a later one is recorded, in order or not; a proof, and a need, are no work. */
function touched(sheet, stage) {
  const needed = neededBy(sheet);
  return sheet.records.some((record) => {
    const step = sheet.steps.get(record.key);
    if (!step || NO_WORK.includes(record.kind)) return false;
    return place(step.stage) >= place(stage) && step.kind !== "proof" && !needed.has(step.key);
  });
}

/** Give the place of the attempt that a figure as built, or the unfit answer that a part, now rests on; else null. */
function attempt(sheet, step) {
  if (step.kind === "choice" && step.locks === "charge") {
    const unfit = (sheet.current.get(step.key) ?? []).filter((at) => good(sheet, step, sheet.records[at]) === false);
    return unfit.length && stands(sheet, step.key) === null ? unfit.at(-1) : null;
  }
  if (step.kind !== "reading" || AS_FOUND.has(step.phase)) return null;
  for (const at of [...(sheet.current.get(step.key) ?? [])].reverse()) {
    const { kind, outside, out_of_order: late } = sheet.records[at];
    if (kind === "reading" && (outside === "absolute" || !late)) return outside === "absolute" ? at : null;
  }
  return null;
}

/** Give the place of the last proof of zero that stands, −1 for none. */
function zeroAt(sheet, standing) {
  const proofs = sheet.rules.filter((rule) => isLock(rule) && rule.locks === "strip");
  return Math.max(-1, ...proofs.map((rule) => standing.get(rule.key) ?? -1));
}

/** Say whether it holds gas while a figure or a part is no good, zero not proved since. */
function unsafeFigure(sheet, standing) {
  const attempts = sheet.rules.map((rule) => attempt(sheet, rule)).filter((at) => at !== null);
  if (!sheet.charges.length || !attempts.length) return false;
  return zeroAt(sheet, standing) < Math.max(...attempts, sheet.charges.at(-1));
}

/** Say whether gas was let in and zero is not proved since, whatever became of the reading. */
const holdsGas = (sheet, standing) => sheet.charges.length > 0 && zeroAt(sheet, standing) < sheet.charges.at(-1);

/** Say whether there is a proof of zero to stand by: where nothing is opened, nobody knows what is in it. */
const asksForZero = (sheet) => !sheet.rules.length || sheet.rules.some((rule) => isLock(rule) && rule.locks === "strip");

function outcomesOf(sheet, standing, mayCloseDone, hold) {
  if (hold.closed) return [];
  if (hold.stopped) return hold.released ? [UNSAFE] : [];
  const proofs = sheet.rules.filter((rule) => rule.kind === "proof" && rule.locks && !standing.has(rule.key));
  if (proofs.some((proof) => touched(sheet, proof.locks)) || unsafeFigure(sheet, standing)) return [UNSAFE];
  const found = ["unrepaired", "not serviceable", UNSAFE];
  if (mayCloseDone) found.push("done");
  const beforeGas = proofs.some((proof) => place(proof.locks) < place("charge"));
  if (!beforeGas && !holdsGas(sheet, standing) && asksForZero(sheet)) found.push("uncharged");
  return found;
}

function stageOf(sheet, missing, hold) {
  if (!sheet.records.length) return "";
  if (hold.stopped && hold.stage) return hold.stage;
  const left = missing.map((key) => sheet.steps.get(key).stage);
  const places = (left.length ? left : sheet.rules.map((rule) => rule.stage)).map(place).sort((a, b) => a - b);
  return places.length ? ORDER[left.length ? places[0] : places.at(-1)] : "";
}

function stateOf(sheet, stage, standing, waiting, stopped) {
  const rules = sheet.rules.filter((rule) => rule.stage === stage);
  const asked = rules.filter((rule) => rule.required !== false);
  const begun = rules.some((rule) => sheet.current.has(rule.key));
  if (stopped === stage) return "stopped";
  if (rules.some((rule) => waiting.includes(rule.key))) return "waiting";
  if ((asked.length || begun) && asked.every((rule) => standing.has(rule.key))) return "done";
  return begun ? "in work" : "planned";
}

/**
 * Judge what is recorded so far: {open, open_steps, stage, stopped, released, closed, may_close_done, missing, outcomes, states,
 * satisfied (key → id of the record it stands by), locked_by (stage → keys), waiting, holds_gas}.
 */
export function judge(steps, records) {
  const sheet = read(steps, records);
  const hold = holdOf(sheet);
  const standing = new Map();
  for (const rule of steps) {
    const at = stands(sheet, rule.key);
    if (at !== null) standing.set(rule.key, at);
  }
  const missing = steps.filter((rule) => rule.required !== false && !standing.has(rule.key)).map((rule) => rule.key);
  const waiting = steps.filter((rule) => !standing.has(rule.key) && waitRuns(sheet, rule)).map((rule) => rule.key);
  const locked = lockedBy(sheet, standing);
  const shut = hold.stopped || Boolean(hold.closed);
  const mayCloseDone = !shut && !missing.length;
  const at = stageOf(sheet, missing, hold);
  const stages = [...new Set(steps.map((rule) => rule.stage))];
  return {
    open: shut ? [] : ORDER.filter((stage) => !(stage in locked)),
    open_steps: shut ? [] : openSteps(sheet, locked),
    stage: at,
    stopped: hold.stopped,
    released: hold.released,
    closed: hold.closed,
    may_close_done: mayCloseDone,
    missing,
    outcomes: outcomesOf(sheet, standing, mayCloseDone, hold),
    states: Object.fromEntries(stages.map((stage) => [stage, stateOf(sheet, stage, standing, waiting, hold.stopped ? at : "")])),
    satisfied: Object.fromEntries([...standing].map(([key, at]) => [key, records[at].id])),
    locked_by: locked,
    holds_gas: holdsGas(sheet, standing),
    waiting,
  };
}

/**
 * Say whether an entry for a step would come out of order now: its stage shut, or what it needs not read. `corrects` is
 * the id of the record whose reading it corrects; a slip of the pen asks for no new proofs.
 */
export function outOfOrder(steps, records, key, corrects = "") {
  const sheet = read(steps, records);
  const step = sheet.steps.get(key);
  if (!step) return false;
  const late = !judge(steps, records).open_steps.includes(key) || !needsMet(sheet, step, records.length);
  return late || !(provedAnew(sheet, step) || slip(sheet, step, corrects, records.length) !== null);
}

/* What findings do to a sheet: one that is unsafe to use keeps the gas out, and the job from being done.

   The twin of shopapp/bench/lock_findings.py; both are held to the table tests/bench/findings.json. A finding: {id, grade,
   answer (the customer's), put_right}. One that is kept here and not stored yet counts as well. */

import { ORDER } from "./locks.js";

const SHUT_FROM = ORDER.indexOf("charge");
const UNSAFE = "unsafe";

/** Say whether a finding keeps the gas out: unsafe to use, and not both agreed and put right. */
export const holds = ({ grade, answer, put_right: right }) => grade === UNSAFE && !(answer === "yes" && right);

/**
 * List the findings as they stand on this page: what the program gave, and over it what is kept here and not stored yet. A
 * finding that is only kept has no number.
 */
export function findingsNow(told, entries) {
  const kept = entries.filter((entry) => !entry.stored_at);
  const right = new Set(kept.filter((entry) => entry.kind === "put right").map((entry) => entry.about));
  const gone = new Set(kept.filter((entry) => entry.kind === "finding" && entry.replaces).map((entry) => entry.replaces));
  const own = kept.filter((entry) => entry.kind === "finding" && !entry.replaced_by).map(asFinding);
  const stored = told.filter((finding) => !gone.has(finding.id));
  return [...stored.map((finding) => ({ ...finding, put_right: finding.put_right || right.has(finding.id) })), ...own];
}

function asFinding({ id, part, part_words, words, text, advice, answer }) {
  const costs = ["replace", "repair"].includes(advice);
  const asks = answer === UNSAFE || (answer === "should" && costs);
  return { id, number: null, part, part_words, condition: words, value: text, advice, grade: answer, answer: "", put_right: false, asks };
}

const isLate = (stage) => ORDER.indexOf(stage) >= SHUT_FROM;

/** Say whether a finding keeps this stage shut: the charge and what comes after it. */
export const shuts = (findings, stage) => isLate(stage) && findings.some(holds);

/** Take from a standing what a finding refuses. A damper that holds our gas meanwhile can only end as unsafe. */
export function holdBack(standing, steps, findings) {
  const held = findings.filter(holds).map((finding) => finding.id);
  if (!held.length) return { ...standing, held };
  const late = new Set(steps.filter((step) => isLate(step.stage)).map((step) => step.key));
  const outcomes = standing.outcomes.filter((outcome) => outcome !== "done");
  return {
    ...standing,
    open: standing.open.filter((stage) => !isLate(stage)),
    open_steps: standing.open_steps.filter((key) => !late.has(key)),
    may_close_done: false,
    outcomes: outcomes.length && standing.holds_gas ? [UNSAFE] : outcomes,
    held,
  };
}

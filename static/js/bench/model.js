/* What the page knows: the sheet as the program gave it, and over it what is kept here and not stored yet. */

import { findingsNow, holdBack, shuts } from "./held.js";
import { judge as judgeLimits, offCoilBind } from "./limits.js";
import { judge as judgeLocks, outOfOrder } from "./locks.js";
import { holdHands, isSigned } from "./people.js";
import { holdRestored } from "./restoring.js";
import { holdStacks } from "./stack_judge.js";

const OTHER_PHASES = { received: ["built"], removed: ["built"], built: ["received", "removed"] };
const NO_STEP_KINDS = new Set(["note", "taken", "reason", "countersign", "finding", "put right", "release", "close"]);

export class Model {
  constructor(sheet) {
    this.queue = null;
    this.skipped = new Set();
    this.take(sheet);
  }

  /** Take a fresh sheet. The tablet's clock is not believed: waits run by the program's. */
  take(sheet) {
    this.sheet = sheet;
    this.steps = new Map(sheet.steps.map((step) => [step.key, step]));
    this.offset = Date.parse(sheet.now) - Date.now();
    this.fresh();
  }

  fresh() {
    this.judged = null;
  }

  get now() {
    return Date.now() + this.offset;
  }

  get comma() {
    return Boolean(this.sheet.decimal_comma);
  }

  /** Everything recorded, stored first and then what is kept here, each with what it replaces marked. */
  get entries() {
    const kept = (this.queue?.kept ?? []).map((item) => this.asEntry(item.entry));
    const stored = new Set(this.sheet.entries.map((entry) => entry.id));
    const all = [...this.sheet.entries, ...kept.filter((entry) => !stored.has(entry.id))];
    const replaced = new Map(all.filter((entry) => entry.replaces).map((entry) => [entry.replaces, entry.id]));
    return all.map((entry) => ({ ...entry, replaced_by: replaced.get(entry.id) ?? entry.replaced_by ?? null }));
  }

  /** Show an entry that is kept here as the program will show it once it is stored. */
  asEntry(entry) {
    const key = entry.step === null ? "" : `${entry.step}:${entry.position}`;
    const step = this.steps.get(key);
    const outside = step && entry.kind === "reading" ? judgeLimits(step, entry.si).outside : "";
    return {
      ...entry,
      key,
      outside,
      answer: entry.answer || entry.outcome,
      phase: step?.phase ?? "",
      figure: step?.figure ?? "",
      out_of_order: false,
      shift: entry.kind === "note" && entry.answer === "shift",
      by: this.sheet.person.name,
      who: this.sheet.person.initials,
      to_countersign: Boolean(this.sheet.person.trainee) && isSigned(entry.kind),
      stored_at: null,
    };
  }

  get standing() {
    this.judged ??= this.mayBeDone(this.handed(holdBack(judgeLocks(this.sheet.steps, this.entries), this.sheet.steps, this.findings)));
    return this.judged;
  }

  /** What waits for another hand: a trainee's entries, a final check by who restored. */
  handed(judged) {
    const settled = holdRestored(holdStacks(judged, this.sheet.steps, this.entries), this.sheet.steps, this.entries);
    return holdHands(settled, this.sheet.steps, this.entries, Boolean(this.sheet.job.second_person));
  }

  /** Where the kind of work asks for a procedure and there is none, nothing proves the work: never "done". */
  mayBeDone(judged) {
    if (!this.sheet.closing.never_done) return judged;
    return { ...judged, may_close_done: false, outcomes: judged.outcomes.filter((outcome) => outcome !== "done") };
  }

  /** What is found at this damper and no later finding corrects. */
  get findings() {
    return findingsNow(this.sheet.findings ?? [], this.entries);
  }

  /** Give a stage by its code; a job without a procedure has none, and shows itself as one sheet. */
  stage(code) {
    const found = this.sheet.stages.find((stage) => stage.code === code);
    return found ?? { code: "", number: "", name: this.sheet.job.tag_text, cautions: [], locked_by: [] };
  }

  /** The pictures of a finding: those of every wording that it had, taken by entries that nothing corrects. */
  picturesOf(finding) {
    const { entries } = this;
    const ids = new Set();
    for (let id = finding.id; id && !ids.has(id); id = entries.find((entry) => entry.id === id)?.replaces) ids.add(id);
    const shows = (entry) => entry.kind === "picture" && !entry.replaced_by && !entry.step && ids.has(entry.about);
    return entries.filter(shows).flatMap((entry) => entry.pictures ?? []);
  }

  stepsOf(code) {
    return this.sheet.steps.filter((step) => step.stage === code);
  }

  stands(key) {
    return key in this.standing.satisfied;
  }

  mayRecord(key) {
    return this.standing.open_steps.includes(key);
  }

  isOutOfOrder(key) {
    return outOfOrder(this.sheet.steps, this.entries, key) || shuts(this.findings, this.steps.get(key).stage);
  }

  /** Entries of a step, oldest first; notes and the like are no entries of a step. */
  history(key) {
    return this.entries.filter((entry) => entry.key === key && !NO_STEP_KINDS.has(entry.kind));
  }

  /** The entry that counts: by which the step stands, else the last one that no other replaced. */
  current(key) {
    const found = this.history(key).filter((entry) => !entry.replaced_by);
    return found.find((entry) => entry.id === this.standing.satisfied[key]) ?? found.at(-1) ?? null;
  }

  /**
   * Give a step as it may be judged here. Limits that move with another reading (the body's temperature) are not known
   * while that one is only kept here: then the program judges when it stores, and what holds at any temperature holds.
   */
  forJudging(key) {
    const step = this.steps.get(key);
    if (step.bind) return offCoilBind(step, this.readOf(step.bind), this.sheet.tables, this.comma);
    const pending = step.needs?.some((need) => this.stands(need) && !this.current(need).stored_at);
    return pending ? { ...step, limits: null, pending } : step;
  }

  /** What was read of springs as they go on, by step: what bounds the readings of coil bind. */
  readOf(bind) {
    const keys = bind.springs.flatMap((one) => [one.free_key, one.solid_key]).filter((key) => key && this.stands(key));
    const read = keys.map((key) => [key, this.current(key)?.si]);
    return Object.fromEntries(read.filter(([, si]) => si !== null && si !== undefined));
  }

  /** The same figure in the other phase: as built beside as received, as received beside as built. */
  counterpart(step) {
    const phases = OTHER_PHASES[step.phase] ?? [];
    const other = this.sheet.steps.find(
      (one) => step.figure && one.figure === step.figure && one.position === step.position && phases.includes(one.phase),
    );
    return other ? { step: other, entry: this.current(other.key) } : null;
  }

  /** The wait that runs for a step: {ends, entry}; the end is computed here while its beginning is only kept here. */
  wait(step) {
    const begun = this.history(step.key).filter((entry) => entry.kind === "wait").at(-1);
    if (!begun || !this.standing.waiting.includes(step.key)) return null;
    const told = this.sheet.waits.find((wait) => wait.entry === begun.id);
    const ends = told ? Date.parse(told.ends) : Date.parse(begun.typed_at) + this.offset + step.minutes * 60_000;
    return { ends, entry: begun.id };
  }

  /** The notes to the next shift that nobody took yet, also where the taking is only kept here. */
  shiftNotes() {
    const all = this.entries;
    const taken = new Set(all.filter((entry) => entry.kind === "taken").map((entry) => entry.about));
    return all.filter((entry) => entry.kind === "note" && entry.shift && !entry.replaced_by && !taken.has(entry.id));
  }

  waits() {
    return this.sheet.steps.map((step) => ({ step, wait: this.wait(step) })).filter(({ wait }) => wait);
  }

  /** The next step of a stage that may be recorded and is not yet, after `key` and then from the start. */
  nextOpen(stage, key = null) {
    const steps = this.stepsOf(stage);
    const at = steps.findIndex((step) => step.key === key);
    const round = [...steps.slice(at + 1), ...steps.slice(0, at + 1)];
    const waiting = this.standing.waiting;
    const open = (step) => this.mayRecord(step.key) && !this.stands(step.key);
    return round.find((step) => open(step) && !waiting.includes(step.key) && !this.skipped.has(step.key)) ?? null;
  }

  /** The stage to go to when this one is through: the next with steps, or the first where something is missing. */
  nextStage(code) {
    const stages = this.sheet.stages.filter((stage) => this.stepsOf(stage.code).length);
    const at = stages.findIndex((stage) => stage.code === code);
    const next = stages[at + 1];
    if (next && this.stepsOf(next.code).some((step) => this.mayRecord(step.key))) return next;
    const missing = this.standing.missing.find((key) => this.mayRecord(key) && !this.standing.waiting.includes(key));
    return missing ? this.stage(this.steps.get(missing).stage) : null;
  }

  /** Where the page opens: the stage of the next missing step. */
  firstStage() {
    const code = this.standing.stage || this.sheet.job.stage;
    return this.stage(code).code || (this.sheet.stages[0]?.code ?? "");
  }

  isOwner() {
    return this.sheet.person.roles.includes("owner");
  }

  /** Make an entry as the program takes it; `more` holds what it says. `si` and `unit` are for this page only. */
  entry(step, kind, more = {}) {
    const blank = {
      text: "", words: "", answer: "", reason: "", tool: "", lots: [], replaces: null, about: null, outcome: "",
    }; // prettier-ignore
    return {
      id: uuid(),
      job: this.sheet.job.id,
      step: step?.id ?? null,
      position: step?.position ?? "",
      kind,
      ...blank,
      ...more,
      typed_at: new Date().toISOString(),
    };
  }
}

/** Make an id; `randomUUID` is missing on a page that is not served over HTTPS. */
export function uuid() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

/* The page of one damper: one document, one sheet shown at a time, one step open, everything recorded kept here first. */

import * as answered from "./answers.js";
import * as asked from "./asked.js";
import { Darkroom } from "./darkroom.js";
import { h, show } from "./dom.js";
import * as ending from "./ending.js";
import * as finding from "./finding.js";
import * as looking from "./looking.js";
import { Model } from "./model.js";
import { asPhase, clockTime, left } from "./parts.js";
import { Inert, lookAt } from "./preview.js";
import { picturing } from "./picture.js";
import { Queue } from "./queue.js";
import { reading } from "./reading.js";
import { explainNext } from "./restoring.js";
import * as shift from "./shift.js";
import { sheet, zones } from "./sheet.js";
import * as signing from "./signing.js";
import { say } from "./words.js";

const at = (id) => document.getElementById(id);
const PANELS = {
  do: answered.doing, proof: answered.proof, choice: answered.proof, wait: answered.waiting,
  part: answered.fitting, tool: answered.tooling, picture: picturing, reading,
}; // prettier-ignore
const LATE = 10 * 60_000;
const DRAWN = new Set(["eye centres", "preload", "ifp depth", "charge"]);

class App {
  constructor(data, addresses) {
    this.addresses = addresses;
    this.model = new Model(data);
    this.drawing = at("drawing");
    this.stage = this.model.firstStage();
    this.key = null;
    this.panel = null;
  }

  start(token) {
    const { job, person, preview } = this.model.sheet;
    const tell = (news) => this.heard(news);
    const darkroom = new Darkroom({ place: this.addresses.pictures, token, job: job.id });
    this.darkroom = darkroom;
    this.model.queue = preview ? new Inert(tell) : new Queue({ place: this.addresses.entries, token, job: job.id, person: person.initials, tell, darkroom });
    this.model.fresh();
    this.stage = this.model.firstStage();
    this.goStage(this.stage);
    if (preview) lookAt(this, preview, PANELS);
    this.model.queue.start();
    document.addEventListener("keydown", (event) => this.keyed(event));
    window.addEventListener("resize", () => this.draw());
    document.fonts.ready.then(() => this.draw());
    setInterval(() => this.tick(), 1000);
  }

  /** Go to a stage: its next open step, else what stands in the way, else that it is through. */
  goStage(code) {
    this.stage = code;
    const { standing } = this.model;
    const next = this.model.nextOpen(code);
    if (!this.model.sheet.stages.length && !standing.closed && !standing.stopped) return this.open(ending.closing(this), null);
    if (standing.closed) return this.open(ending.closed(this), null);
    if (standing.stopped) return this.open(ending.stopped(this), null);
    if (next) return this.go(next.key);
    const waits = this.model.stepsOf(code).find((step) => standing.waiting.includes(step.key));
    if (waits) return this.go(waits.key);
    if (!standing.open.includes(code) && !this.model.stepsOf(code).some((step) => this.model.mayRecord(step.key))) {
      return this.open(ending.locked(this, code), null);
    }
    return this.open(ending.through(this, code), null);
  }

  /** Open a step: to record it where it may be recorded, to look at it where it stands. */
  go(key) {
    const { model } = this;
    const step = model.steps.get(key);
    this.stage = step.stage;
    const entry = model.current(key);
    if (entry && (model.stands(key) || model.standing.stopped || model.standing.closed)) {
      return this.open(looking.recorded(this, step, entry), key);
    }
    if (model.standing.stopped || model.standing.closed) return this.goStage(step.stage);
    if (!model.mayRecord(key)) return this.open(ending.locked(this, step.stage), key);
    if (model.isOutOfOrder(key)) return this.open(this.needed(step), key);
    if (signing.notTheirs(model, step) || signing.ownCheck(model, step)) return this.open(signing.forOthers(this, step), key);
    return this.open(PANELS[step.kind](this, step), key, asked.begin(this, step));
  }

  /** A step that needs another reading first: it says which, and leads there. */
  needed(step) {
    const first = this.model.steps.get(step.needs.find((key) => !this.model.stands(key)) ?? step.needs[0]);
    const go = h("button", { type: "button", class: "do", onclick: () => this.go(first.key) }, say("go-to-step", { name: first.name }));
    const words = [h("h2", { tabindex: "-1" }, say("needs-first", { name: step.name, first: first.name })), h("p", { class: "told" }, say("needs-why"))];
    return { label: say("entry-of", { name: step.name }), nodes: [h("div", { class: "ask" }, words, go)], bar: () => ({ idle: say("needs-idle", { first: first.name }) }) };
  }

  /** Correct what is recorded: a new entry that names the old one. */
  correct(step, entry) {
    this.open(PANELS[step.kind](this, step, { replaces: entry.id, unit: entry.unit || null }), step.key);
  }

  /** Change a refused entry: its step opens with what was typed, and the refused one goes. */
  change(step, entry) {
    this.model.queue.discard(entry.id);
    this.stage = step.stage;
    const options = entry.kind === "reading" ? { text: entry.words || entry.text, replaces: entry.replaces } : { replaces: entry.replaces, shots: entry.pictures };
    this.open(PANELS[step.kind](this, step, options), step.key);
  }

  discard(id) {
    this.model.queue.discard(id);
    if (this.model.queue.refused.length) this.openRefused();
    else this.again();
  }

  openMenu() {
    this.open(looking.menu(this));
  }

  openIndex() {
    this.open(looking.index(this, this.stage));
  }

  openClosing() {
    this.open(ending.closing(this));
  }

  openFindings() {
    this.open(finding.list(this));
  }

  openShift() {
    this.open(shift.notes(this));
  }

  openRefused() {
    this.open(looking.refused(this) ?? this.panel);
  }

  /** Open again what was open before a slip or the menu. */
  again() {
    if (this.key && !this.model.standing.stopped && !this.model.standing.closed) this.go(this.key);
    else this.goStage(this.stage);
  }

  /** Show a panel on the right, under what stands `over` it; `key` names the step that it is about. */
  open(panel, key = this.key, over = null) {
    this.panel = panel;
    this.key = key;
    const entry = at("entry");
    entry.className = panel.stop ? "stop" : "entry";
    entry.setAttribute("aria-label", panel.label);
    entry.replaceChildren(...[over, panel.nodes].flat(3).filter(Boolean));
    entry.scrollTop = 0;
    // The left is drawn last: bar and entry decide how much room it has.
    this.bar();
    this.draw();
    const first = panel.focus ?? entry.querySelector("[tabindex='-1'], input, textarea, button, a");
    // Shown inside another page, as a preview, it takes the focus from nobody who is typing there.
    if (window.parent === window || document.hasFocus()) first?.focus({ preventScroll: true });
  }

  draw() {
    zones(at("zones"), this);
    sheet(at("left"), this, this.drawing);
    this.titles();
  }

  /** Draw the action bar: one bright action worded verb and value, or what is to do before there is one. */
  bar() {
    const bar = this.panel?.bar?.();
    if (!bar) return;
    const class_ = bar.end ? "go end" : bar.plain ? "go plain" : "go";
    const node = bar.idle
      ? h("p", { class: "idle", id: "action" }, bar.idle)
      : bar.href
        ? h("a", { class: class_, id: "action", href: bar.href }, bar.words)
        : h("button", { type: "button", class: class_, id: "action", onclick: () => this.press() }, bar.words);
    show(at("act"), node);
  }

  /** Do what the bar says; the panel is asked again, so that a tap acts on what stands there now. */
  press() {
    const bar = this.panel?.bar?.();
    if (bar?.href) location.assign(bar.href);
    else bar?.act?.();
  }

  /** What the bar says where nothing is to record: the next step, the next sheet, the closing. */
  nextBar(key) {
    const { model } = this;
    if (model.standing.closed) return { words: say("my-bench"), href: this.addresses.bench };
    if (model.standing.stopped) return { idle: say("stopped-idle") };
    const next = model.nextOpen(this.stage, key);
    if (next) return { words: say("next-step", { name: next.name }), act: () => this.go(next.key) };
    const stage = model.nextStage(this.stage);
    if (stage && stage.code !== this.stage) {
      return { words: say("go-to-stage", { number: stage.number, name: stage.name }), act: () => this.goStage(stage.code) };
    }
    if (model.standing.may_close_done) return { words: say("close-job"), act: () => this.openClosing() };
    return signing.signNext(this) ?? explainNext(this) ?? { idle: say("nothing-open") };
  }

  /** Keep an entry here and go on: to the next open step of the sheet, by itself. */
  record(entry, { stay = false, again = false } = {}) {
    const step = this.model.steps.get(`${entry.step}:${entry.position}`);
    this.model.queue.add(entry);
    at("told").textContent = say("kept", { name: step?.name ?? say(`value-${entry.kind.replace(" ", "-")}`), text: entry.text });
    if (this.model.standing.stopped || this.model.standing.closed) this.goStage(this.stage);
    else if (again) this.again();
    else if (stay) this.go(this.key);
    else this.onward();
  }

  onward() {
    const next = this.model.nextOpen(this.stage, this.key);
    if (next) this.go(next.key);
    else this.goStage(this.stage);
  }

  /** Hear from the queue: what is kept here changed, or an answer came with a fresh sheet. */
  heard({ sheet: fresh, answers }) {
    const before = this.model.standing;
    if (fresh) this.model.take(fresh);
    this.model.fresh();
    const { standing } = this.model;
    const turned = standing.stopped !== before.stopped || standing.closed !== before.closed;
    if (answers.some(({ entry }) => DRAWN.has(entry?.figure) || entry?.kind === "finding")) this.redraw();
    const attempt = answers.find(({ entry }) => entry?.outside === "absolute" && entry.phase === "built");
    if (turned) this.goStage(this.stage);
    else if (this.panel?.held && answers.length) this.again();
    else if (attempt && this.panel) this.open(this.attempted(attempt.entry), attempt.entry.key);
    else if (this.panel) {
      this.draw();
      if (this.panel.tell) this.panel.typed();
      else this.bar();
    }
  }

  /** Draw the damper anew from its numbers: the program draws, one code for page and paper. */
  async redraw() {
    if (!this.drawing) return;
    try {
      const page = new DOMParser().parseFromString(await (await fetch(location.pathname)).text(), "text/html");
      const fresh = page.getElementById("drawing");
      if (fresh) this.drawing.replaceChildren(...fresh.childNodes);
    } catch {
      /* No connection: the drawing stays as it was, the figures beside it are right. */
    }
  }

  /** The program found a stored figure past an absolute limit: it is on record and unlocks nothing. */
  attempted(entry) {
    const { model } = this;
    const step = model.steps.get(entry.key);
    this.stage = step.stage;
    return ending.attempt(this, step, entry);
  }

  titles() {
    const { model } = this;
    const { queue, sheet: data } = model;
    const last = queue.lastStored ?? data.entries.map((entry) => entry.stored_at).filter(Boolean).sort().at(-1);
    const parts = [
      h("b", {}, queue.inert ? say("nothing-recorded") : queue.kept.length ? say("kept-here", { count: queue.kept.length }) : say("all-stored")),
      last ? ` · ${say("last-stored", { time: clockTime(last) })}` : "",
      queue.trouble && queue.kept.length ? ` · ${queue.trouble}` : "",
    ];
    show(at("kept"), parts);
    at("kept-box").classList.toggle("late", Boolean(queue.kept.length && queue.trouble) && Date.now() - Date.parse(queue.kept[0].entry.typed_at) > LATE);
    const { number } = model.stage(this.stage);
    at("sheet-number").textContent = data.stages.length ? `${number}/${data.stages.length}` : "–";
  }

  tick() {
    for (const clock of document.querySelectorAll("[data-ends]")) {
      clock.textContent = left(Number(clock.dataset.ends) - this.model.now);
    }
    const over = this.panel?.tick?.() ?? false;
    if (over !== this.wasOver) this.bar();
    this.wasOver = over;
  }

  /** Digits typed anywhere go to the open reading; Enter does what the bar says, but on a button, which is its own. */
  keyed(event) {
    const field = at("reading");
    const target = event.target instanceof HTMLElement ? event.target : document.body;
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    if (event.key === "Enter" && !target.matches("textarea, select, button, a, input[type=file]")) {
      event.preventDefault();
      this.press();
    } else if (field && /^[\d/.,−-]$/.test(event.key) && !target.matches("input, textarea, select")) {
      field.focus({ preventScroll: true });
    }
  }
}

const data = at("sheet-data");
if (data) {
  const page = at("bench");
  const { tag, entries, pictures, bench, damper } = page.dataset;
  const app = new App(JSON.parse(data.textContent), { tag, entries, pictures, bench, damper });
  app.start(document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "");
}

/* Picking a tool by its tag: its standing in words, a reason past its date, a dead end where it failed its check. */

import { h } from "./dom.js";
import { answers, ask, doButton, field, reasons } from "./parts.js";
import { say } from "./words.js";

const OVERDUE = ["overdue-compared", "overdue-only-one"];
const used = new Map();

const sameTag = (tag) => tag.replace(/[\s-]/g, "").toLowerCase();
const toolsKey = (step) => step.tools.map((tool) => tool.tag).join(" ");

/** Give the tool last used here for such a step, while it is in good standing; "" otherwise. */
export function rememberedTool(step) {
  if (!step.tools?.length) return "";
  const tag = used.get(toolsKey(step));
  return step.tools.find((tool) => tool.tag === tag && tool.standing === "good")?.tag ?? "";
}

function standingWords(tool) {
  return say(`standing-${tool.standing}`, { until: tool.checked_until ?? "" });
}

/** Say what stands in the way of using a tool: "" where nothing does. */
function barred(app, tool) {
  if (tool.standing === "failed") return say("tool-failed", { tag: tool.tag });
  if (tool.standing !== "good" && tool.critical && !app.model.isOwner()) return say("tool-owner", { tag: tool.tag });
  return "";
}

class Picking {
  constructor(app, step, use, back) {
    Object.assign(this, { app, step, use, back, chosen: null, unknown: "" });
    this.list = answers(step.tools.map((tool) => this.line(tool)), (tag) => this.choose(tag));
  }

  line(tool) {
    const out = tool.standing !== "good";
    return { value: tool.tag, words: `${tool.tag} ${tool.name}`, small: standingWords(tool), out, off: tool.standing === "failed" };
  }

  choose(tag) {
    this.chosen = this.step.tools.find((tool) => sameTag(tool.tag) === sameTag(tag)) ?? null;
    this.unknown = this.chosen || !tag.trim() ? "" : tag.trim();
    for (const input of this.list.querySelectorAll("input")) input.checked = input.value === this.chosen?.tag;
    this.app.bar();
  }

  bar() {
    if (this.unknown) return { idle: say("tool-unknown", { tag: this.unknown }) };
    if (!this.chosen) return { idle: this.step.tools.length ? say("tool-pick") : say("tool-none") };
    const no = barred(this.app, this.chosen);
    if (no) return { idle: no };
    const tool = `${this.chosen.tag} ${this.chosen.name}`;
    if (this.chosen.standing === "good") return { words: say("tool-use", { tool }), act: () => this.take("") };
    return { words: say("tool-use-overdue", { tag: this.chosen.tag }), act: () => this.app.open(overdue(this)) };
  }

  take(reason) {
    used.set(toolsKey(this.step), this.chosen.tag);
    this.use(this.chosen.tag, reason);
  }

  get nodes() {
    const typed = field(say("tool-tag"), { hint: say("tool-tag-hint"), typed: (value) => this.choose(value) });
    const again = this.back ? doButton(say("back-to-reading"), () => this.back.reopen()) : null;
    const question = this.back ? say("tool-which", { name: this.step.name }) : this.step.name;
    return [ask(question, this.back ? "" : this.step.text, this.list, typed, again)];
  }

  get label() {
    return say("entry-of", { name: this.step.name });
  }
}

/** Past its date a tool needs a reason; where the figure could hurt somebody, the owner's. */
function overdue(picking) {
  const { app, chosen } = picking;
  const why = reasons(OVERDUE.map((word) => say(word)), () => app.bar(), say("overdue-why"));
  const title = h("h2", { tabindex: "-1", id: "slip" }, `${chosen.tag}: ${standingWords(chosen)}`);
  const again = doButton(say("tool-another"), () => app.open(picking));
  return {
    label: say("overdue-why"),
    nodes: [h("section", { class: "reason", "aria-labelledby": "slip" }, title, why.nodes, again)],
    bar: () =>
      why.words()
        ? { words: say("tool-use-anyway", { tag: chosen.tag }), act: () => picking.take(why.words()) }
        : { idle: say("tool-say-why", { tag: chosen.tag }) },
  };
}

/** Ask which tool a reading was taken with; `use(tag, reason)` goes on. */
export function pickTool(app, step, use, back = null) {
  return new Picking(app, step, use, back);
}

/* A damper that came back: why, asked when its job is closed, with the stage or the lot by name. */

import { h } from "./dom.js";
import { answers, ask, doButton } from "./parts.js";
import { say } from "./words.js";

function choice(label, options, choose) {
  const id = "comeback-which";
  const lines = [h("option", { value: "" }, say("choose")), ...options.map(({ value, words }) => h("option", { value: String(value) }, words))];
  return h("div", { class: "f" }, h("label", { for: id }, label), h("select", { id, onchange: (event) => choose(event.target.selectedIndex - 1) }, lines));
}

/** Ask for the cause; `close` takes {cause, stage, lots} and closes the job with it. */
export function comeback(app, asked, close) {
  const said = { cause: "", stage: "", lots: [] };
  const room = h("div", { class: "which" });
  const pick = (value) => {
    Object.assign(said, { cause: value, stage: "", lots: [] });
    const which = {
      stage: () => choice(say("comeback-stage"), asked.stages, (at) => ((said.stage = asked.stages[at]?.value ?? ""), app.bar())),
      lot: () => choice(say("comeback-lot"), asked.lots, (at) => ((said.lots = at < 0 ? [] : [{ line: 1, lot: asked.lots[at].value }]), app.bar())),
    }[value];
    room.replaceChildren(...(which ? [which()] : []));
    app.bar();
  };
  // A lot is only offered where the first job fitted one.
  const causes = asked.causes.filter(({ value }) => value !== "lot" || asked.lots.length);
  const whole = () => said.cause && (said.cause !== "stage" || said.stage) && (said.cause !== "lot" || said.lots.length);
  const words = () => asked.causes.find(({ value }) => value === said.cause)?.words ?? "";
  return {
    label: say("comeback"),
    nodes: [ask(say("comeback-why", { order: asked.order }), "", answers(causes, pick), room, doButton(say("leave-it"), () => app.openClosing()))],
    bar: () => (whole() ? { words: say("comeback-close", { cause: words() }), act: () => close(said) } : { idle: say(said.cause ? "comeback-which" : "comeback-idle") }),
  };
}

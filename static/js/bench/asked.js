/* What the customer asked of this one damper: whole in the first step of all, and over every sheet after it. */

import { h } from "./dom.js";
import { doButton } from "./parts.js";
import { say } from "./words.js";

function firstKey(model) {
  return model.sheet.stages[0]?.steps[0] ?? null;
}

/** Say it whole where the work begins: it stands over the first step's own words. */
export function begin(app, step) {
  const { wish } = app.model.sheet.job;
  if (!wish || step.key !== firstKey(app.model)) return null;
  return h("p", { class: "wish" }, h("b", {}, say("asked")), " ", wish);
}

/** A line over the sheet says it in two lines; it opens whole on the right. */
export function line(app) {
  const { wish } = app.model.sheet.job;
  if (!wish || (app.key === firstKey(app.model) && !app.panel?.asked)) return null;
  return h("button", { type: "button", class: "shift wish", onclick: () => app.open(whole(app)) }, h("b", {}, say("asked")), " ", h("span", {}, wish));
}

function whole(app) {
  const { wish } = app.model.sheet.job;
  return {
    label: say("asked"),
    asked: true,
    nodes: [h("div", { class: "look" }, h("h2", { tabindex: "-1" }, say("asked")), h("p", { class: "told" }, wish), doButton(say("leave-it"), () => app.again()))],
    bar: () => app.nextBar(app.key),
  };
}

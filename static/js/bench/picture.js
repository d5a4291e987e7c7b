/* Pictures of a step or of a finding: taken or chosen, looked at, each with its words, recorded together. */

import { h, show } from "./dom.js";
import { skip } from "./answers.js";
import { doButton } from "./parts.js";
import { uuid } from "./model.js";
import { say } from "./words.js";

const MOST = 12;
const LONGEST = 120;

/** Say how many pictures there are. */
export function countWords(count) {
  return say(count === 1 ? "picture-one" : "picture-many", { count });
}

/** A picture step; `shots` are those of an entry that was refused. */
export function picturing(app, step, { replaces = null, shots = null } = {}) {
  const old = replaces ? app.model.entries.find((one) => one.id === replaces) : null;
  const list = (shots ?? old?.pictures ?? []).map((shot) => ({ ...shot }));
  const record = () => app.record(app.model.entry(step, "picture", { pictures: list, replaces }));
  const bar = () => ({ words: say(replaces ? "picture-correct-to" : "picture-record", { count: countWords(list.length) }), act: record });
  return shooting(app, { label: say("entry-of", { name: step.name }), title: step.name, hint: step.text, likely: step.name, list, bar, ways: [replaces ? doButton(say("leave-it"), () => app.again()) : skip(app, step)] });
}

/** Pictures for a finding that is not recorded yet: back to it, with them. */
export function forDraft(app, { title, likely, list, back }) {
  const bar = () => ({ words: say("picture-back", { count: countWords(list.length) }), act: back });
  return shooting(app, { label: title, title, hint: say("picture-finding-hint"), likely, list, bar, ways: [doButton(say("leave-it"), () => (list.splice(0), back()))] });
}

/** More pictures for a finding that is recorded. */
export function forFinding(app, { id, title, likely, back }) {
  const list = [];
  const record = () => (app.record(about(app, id, list), { stay: true, again: true }), back());
  const bar = () => ({ words: say("picture-record", { count: countWords(list.length) }), act: record });
  return shooting(app, { label: title, title, hint: say("picture-finding-hint"), likely, list, bar, ways: [doButton(say("leave-it"), back)] });
}

/** Make the entry that shows the pictures of a finding. */
export function about(app, id, list) {
  return app.model.entry(null, "picture", { pictures: list.map(({ id: picture, caption }) => ({ id: picture, caption })), about: id });
}

function shooting(app, { label, title, hint, likely, list, bar, ways }) {
  const rows = h("ol", { class: "shots" });
  const trouble = h("p", { class: "told out", role: "status" });
  const draw = () => {
    show(rows, list.map((shot, at) => line(app, list, shot, at, draw)));
    app.bar();
  };
  const take = async (event) => {
    const files = [...event.target.files];
    event.target.value = "";
    trouble.textContent = files.length + list.length > MOST ? say("picture-most", { most: MOST }) : "";
    for (const file of files.slice(0, MOST - list.length)) {
      const id = await app.darkroom.take(uuid(), file);
      list.push({ id, caption: likely.slice(0, LONGEST) });
    }
    draw();
  };
  show(rows, list.map((shot, at) => line(app, list, shot, at, draw)));
  const inputs = h("div", { class: "ways two" }, chooser(say("picture-take"), take, { capture: "environment" }), chooser(say("picture-choose"), take, { multiple: true }));
  return {
    label,
    nodes: [h("div", { class: "ask taking" }, h("h2", { tabindex: "-1" }, title), hint ? h("p", { class: "hint" }, hint) : null, inputs, trouble, rows, ways)],
    bar: () => barOf(list, bar),
  };
}

function barOf(list, bar) {
  const bare = list.findIndex((shot) => !shot.caption.trim());
  if (!list.length) return { idle: say("picture-idle") };
  return bare >= 0 ? { idle: say("picture-caption-idle", { number: bare + 1 }) } : bar();
}

/** A file field that looks like a key: the camera, or a file that is there already. */
function chooser(words, take, more) {
  return h("label", { class: "do choose" }, h("span", {}, words), h("input", { type: "file", accept: "image/*", onchange: take, ...more }));
}

function line(app, list, shot, at, draw) {
  const id = `shot-${shot.id}`;
  const typed = (event) => ((shot.caption = event.target.value), app.bar());
  const away = () => (list.splice(at, 1), draw());
  const image = h("img", { src: app.darkroom.source(shot.id), alt: say("picture-number", { number: at + 1 }) });
  const words = h("div", { class: "f" }, h("label", { for: id }, say("picture-caption", { number: at + 1 })), h("input", { id, value: shot.caption, maxlength: LONGEST, autocomplete: "off", oninput: typed }));
  return h("li", {}, image, words, doButton(say("picture-away"), away, { "aria-label": say("picture-away-number", { number: at + 1 }) }));
}

/** Show pictures with their words, each opening the whole one. */
export function gallery(app, pictures) {
  if (!pictures?.length) return null;
  const shown = pictures.map(({ id, caption }) => {
    const source = app.darkroom.source(id);
    return h("li", {}, h("a", { href: source, target: "_blank", rel: "noopener" }, h("img", { src: source, alt: caption })), h("span", { "aria-hidden": "true" }, caption));
  });
  return h("ul", { class: "gallery" }, shown);
}

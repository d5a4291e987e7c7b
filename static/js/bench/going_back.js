/* What was issued to a job and not used: asked piece by piece before it is closed. The program has the last word. */

import { h } from "./dom.js";
import { answers, ask, doButton, field } from "./parts.js";
import { say } from "./words.js";

/** Give what is issued to the job as the program told it; null while a part is only kept here and nobody knows its lots. */
export function issued(model) {
  const kept = model.queue.kept.some(({ entry }) => entry.kind === "part");
  return kept ? null : (model.sheet.closing.issued ?? []);
}

function lineOf(row, said, changed) {
  const room = h("div", { class: "which" });
  const amount = () => field(say("back-amount", { left: row.left }), { value: said.text, typed: (value) => ((said.text = value.trim()), changed()) });
  const choose = (value) => {
    Object.assign(said, { answer: value, text: value === "back" ? row.left : "" });
    room.replaceChildren(...(value === "back" && !row.one ? [amount()] : []));
    room.scrollIntoView({ block: "nearest" });
    changed();
  };
  const list = ["used", "back"].map((value) => ({ value, words: say(value === "used" ? "back-used" : "back-goes"), checked: said.answer === value }));
  const about = h("p", { class: "told" }, h("b", {}, row.name), " ", [row.place, say("back-lot", { batch: row.batch }), row.left].filter(Boolean).join(", "));
  const node = h("div", { class: "backs", role: "group", "aria-label": `${row.name}, ${row.place}` }, about, answers(list, choose, true), room);
  choose(said.answer);
  return node;
}

/**
 * Ask of each part whether it was used; `go(back)` closes with the answers, `words(count)` is what the bar says. With
 * `used` all of it counts as used until something else is said: the way a job that is done ends.
 */
export function goingBack(app, rows, { used, go, words }) {
  const said = new Map(rows.map((row) => [row.move, { answer: used ? "used" : "", text: "" }]));
  const lines = h("div", { class: "backlist" });
  const changed = () => app.panel?.back && app.bar();
  const draw = () => lines.replaceChildren(...rows.map((row) => lineOf(row, said.get(row.move), changed)));
  const all = (answer) => () => {
    for (const one of said.values()) one.answer = answer;
    draw();
    app.bar();
  };
  draw();
  const open = () => rows.filter((row) => !said.get(row.move).answer || (said.get(row.move).answer === "back" && !said.get(row.move).text));
  const back = () => rows.map((row) => ({ move: row.move, text: said.get(row.move).text }));
  const ways = h("div", { class: "ways two" }, doButton(say("back-none"), all("used")), doButton(say("back-all"), all("back")));
  return {
    back: true,
    label: say("back-title"),
    nodes: [ask(say("back-title"), say("back-hint"), ways, lines, doButton(say("leave-it"), () => app.openClosing()))],
    bar: () => {
      const left = open().length;
      if (left) return { idle: say("back-open", { count: left }) };
      return { words: words(back().filter((one) => one.text).length), act: () => go(back()) };
    },
  };
}

/** Say of a closed job what went back, and what is billed all the same. */
export function wentBack(entry) {
  const rows = (entry?.back ?? []).map((row) => h("li", {}, say("back-went", { name: row.name, shown: row.shown, batch: row.batch })));
  const billed = (entry?.billed ?? []).map((words) => h("li", { class: "out" }, words));
  return rows.length + billed.length ? [h("h3", {}, say("back-heading")), h("ul", { class: "went" }, rows, billed)] : [];
}

/* The new-order sheet by keyboard, and what it comes to kept current. Sums and warnings are the server's: none is made here. */

const form = document.querySelector("[data-new-order]");
const agreed = document.querySelector("#agreed");
const parts = [...form.querySelectorAll("fieldset.part")];
const PRICED = /^(customer|vehicle|work|all_brought|limit_gross|promised_day|promised_hour|r\d+_(brought|tag|model|work|back|place))$/;
const WAIT = 150;
const FOCUSABLE = "input:not([type=hidden]), select, textarea, summary, button";

let timer = 0;
let asked = null;
let held = { name: "", value: "" };

/** Keep what stands in an entry as the focus comes to it, and as it is changed whole: half a figure is no limit. */
function hold(event) {
  held = { name: event.target.type === "text" ? event.target.name : "", value: event.target.value };
}

/** Send the sheet as it stands, without its files, and show what comes back; a later change takes an earlier one's place. */
async function ask() {
  asked?.abort();
  asked = new AbortController();
  const body = new FormData(form);
  for (const input of form.querySelectorAll("input[type=file]")) body.delete(input.name);
  if (body.has(held.name)) body.set(held.name, held.value);
  body.set("look_up", "agreed");
  try {
    const answer = await fetch(form.action, { method: "POST", body, signal: asked.signal, redirect: "error" });
    if (answer.ok) agreed.innerHTML = await answer.text();
  } catch {
    /* The network is away or a later change took over: the sheet itself says it when it is sent. */
  }
}

function changed(event) {
  if (agreed.contains(event.target) || !PRICED.test(event.target.name ?? "")) return;
  // What is shown is no longer what the sheet says: no sum was seen until the new one stands there.
  const seen = agreed.querySelector("[name=sum_shown]");
  if (seen) seen.value = "";
  clearTimeout(timer);
  timer = setTimeout(ask, WAIT);
}

/** Give the first entry within that can take the focus. */
function firstEntry(within) {
  return [...within.querySelectorAll(FOCUSABLE)].find((one) => one.checkVisibility() && !one.disabled) ?? null;
}

/** Give the first entry of the next part, or of the one before, that can take the focus. */
function neighbour(from, step) {
  for (let at = parts.indexOf(from) + step; at >= 0 && at < parts.length; at += step) {
    const found = firstEntry(parts[at]);
    if (found) return found;
  }
  return null;
}

const isOffered = (row) => row.querySelector("[name$=_offered]").value !== "";
const isTyped = (row) => [...row.querySelectorAll("input[type=text], select")].some((one) => one.value !== "");

/** Give the first entry of the damper beside that in `row`: on from one that is typed, back from any, never an offered one. */
function damperBeside(row, step) {
  const to = step > 0 ? row.nextElementSibling : row.previousElementSibling;
  return to && !isOffered(row) && !isOffered(to) && (step < 0 || isTyped(row)) ? firstEntry(to) : null;
}

function walk(event) {
  const step = { PageDown: 1, PageUp: -1 }[event.key];
  const part = event.target.closest("fieldset.part");
  if (!step || !part || event.ctrlKey || event.altKey || event.metaKey) return;
  event.preventDefault();
  const row = event.target.closest(".entries tbody tr");
  const beside = row && damperBeside(row, step);
  const to = beside ?? neighbour(part, step);
  to?.focus();
  to?.closest(beside ? "tr" : "fieldset.part").scrollIntoView({ block: "nearest" });
}

function pressed(event) {
  if (event.isComposing) return;
  if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) {
    event.preventDefault();
    form.requestSubmit(document.querySelector("button.go[form=new-order]"));
  } else walk(event);
}

/** Tell the server where a look-up was asked for: the focus goes on there. */
function sent() {
  const from = document.activeElement;
  form.elements.came_from.value = form.contains(from) && from.name !== "look_up" ? (from.name ?? "").slice(0, 40) : "";
}

for (const kind of ["focusin", "change"]) form.addEventListener(kind, hold);
form.addEventListener("change", changed);
form.addEventListener("keydown", pressed);
form.addEventListener("submit", sent, true);
document.querySelector("[data-keys]").hidden = false;

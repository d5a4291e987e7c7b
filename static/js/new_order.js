/* The new-order sheet by keyboard, and what it comes to kept current. Sums and warnings are the server's: none is made here. */

const form = document.querySelector("[data-new-order]");
const agreed = document.querySelector("#agreed");
const parts = [...form.querySelectorAll("fieldset.part")];
const PRICED = /^(customer|vehicle|work|all_brought|limit_gross|promised_day|promised_hour|r\d+_(brought|tag|model|work|back|place))$/;
const WAIT = 150;
const FOCUSABLE = "input:not([type=hidden]), select, textarea, summary, button";

let timer = 0;
let asked = null;

/** Send the sheet as it stands, without its files, and show what comes back; a later change takes an earlier one's place. */
async function ask() {
  asked?.abort();
  asked = new AbortController();
  const body = new FormData(form);
  for (const input of form.querySelectorAll("input[type=file]")) body.delete(input.name);
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

/** Give the first entry of the next part, or of the one before, that can take the focus. */
function neighbour(from, step) {
  for (let at = parts.indexOf(from) + step; at >= 0 && at < parts.length; at += step) {
    const found = [...parts[at].querySelectorAll(FOCUSABLE)].find((one) => one.checkVisibility() && !one.disabled);
    if (found) return found;
  }
  return null;
}

function walk(event) {
  const step = { PageDown: 1, PageUp: -1 }[event.key];
  const part = event.target.closest("fieldset.part");
  if (!step || !part || event.ctrlKey || event.altKey || event.metaKey) return;
  event.preventDefault();
  const to = neighbour(part, step);
  to?.focus();
  to?.closest("fieldset.part").scrollIntoView({ block: "nearest" });
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

form.addEventListener("change", changed);
form.addEventListener("keydown", pressed);
form.addEventListener("submit", sent, true);
document.querySelector("[data-keys]").hidden = false;

/* The find box: a key to jump into it, arrows through the hits, Enter opens the first or the chosen one. */

const field = document.querySelector("#find-q");
const hits = document.querySelector("#hits");
const count = document.querySelector("#find-count");
const form = field.form;
const came = location.pathname;

const links = () => [...hits.querySelectorAll("a")];
const asked = () => field.value.trim().slice(0, field.maxLength);

/** Say whether what is shown is found by what stands in the field now. */
function fresh() {
  return hits.querySelector("[data-for]")?.dataset.for === asked();
}

function addressOf(more = {}) {
  return `${form.action}?${new URLSearchParams({ q: asked(), ...more })}`;
}

/** Mark the hit that Enter would open while the field has the focus. */
function markFirst() {
  for (const link of hits.querySelectorAll(".sel")) link.classList.remove("sel");
  if (document.activeElement === field && fresh()) hits.querySelector("a.hit")?.classList.add("sel");
}

/**
 * Open the first hit. A scanner is faster than the hits: what it typed goes to the program, which opens
 * a whole tag or its own first hit, and shows the page where it finds nothing.
 */
function enter(event) {
  const first = fresh() ? hits.querySelector("a.hit") : null;
  if (asked() === "" || (fresh() && !first)) return;
  event.preventDefault();
  location.assign(first ? first.href : addressOf({ open: 1 }));
}

function walk(event) {
  const all = links();
  const at = all.indexOf(document.activeElement);
  const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: all.length - 1 }[event.key];
  if (event.key === "Escape" || to === -1) field.focus();
  else if (to !== undefined) all[Math.min(to, all.length - 1)].focus();
  else return;
  event.preventDefault();
}

function jump(event) {
  if (document.documentElement.dataset.findKey === "off") return;
  if (event.key !== "/" || event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.target instanceof Element && event.target.closest("input, textarea, select, [contenteditable]")) return;
  event.preventDefault();
  field.focus();
  field.select();
}

field.addEventListener("keydown", (event) => {
  if (event.isComposing) return;
  if (event.key === "Enter") enter(event);
  if (event.key === "ArrowDown" && links().length) {
    event.preventDefault();
    links()[0].focus();
  }
});
field.addEventListener("focus", markFirst);
field.addEventListener("blur", markFirst);
hits.addEventListener("keydown", walk);
document.addEventListener("keydown", jump);
document.body.addEventListener("htmx:afterSwap", () => {
  history.replaceState(null, "", asked() ? addressOf() : came);
  markFirst();
});
for (const failure of ["htmx:responseError", "htmx:sendError"]) {
  document.body.addEventListener(failure, () => {
    hits.replaceChildren();
    count.textContent = count.dataset.silent;
  });
}
markFirst();

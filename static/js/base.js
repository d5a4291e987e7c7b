/* What every page needs: the theme, the focus on the error slip, one submit a click. */

const KEY = "theme";
const FIND_KEY = "find-key";
const root = document.documentElement;

/** Read the stored theme; storage may be shut, then the sheet stays light. */
function storedTheme() {
  try {
    return localStorage.getItem(KEY) === "dark" ? "dark" : "light";
  } catch {
    return "light";
  }
}

function storeTheme(theme) {
  try {
    localStorage.setItem(KEY, theme);
  } catch {
    /* Storage is shut: the choice lasts for this page. */
  }
}

/** Show a theme and word each switch with the other one. */
function showTheme(theme) {
  root.dataset.theme = theme;
  for (const button of document.querySelectorAll("[data-theme-switch]")) {
    button.hidden = false;
    button.textContent = theme === "dark" ? button.dataset.light : button.dataset.dark;
  }
}

function switchTheme(event) {
  if (!(event.target instanceof Element) || !event.target.closest("[data-theme-switch]")) return;
  const theme = root.dataset.theme === "dark" ? "light" : "dark";
  storeTheme(theme);
  showTheme(theme);
}

/**
 * Refuse a second submit of one form. The buttons stay enabled, because a disabled one
 * loses its focus and is left out of what is sent; a page shown again from the
 * browser's memory starts afresh.
 */
function submitOnce(event) {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post") return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
  event.submitter?.setAttribute("aria-disabled", "true");
}

function forgetSubmits() {
  for (const form of document.querySelectorAll("form[data-sent]")) {
    delete form.dataset.sent;
    for (const button of form.elements) button.removeAttribute("aria-disabled");
  }
}

/** Say whether the single key leads to the find box: it does until somebody unticks it on their own page. */
function findKey() {
  try {
    return localStorage.getItem(FIND_KEY) !== "off";
  } catch {
    return true;
  }
}

function storeFindKey(on) {
  try {
    localStorage.setItem(FIND_KEY, on ? "on" : "off");
  } catch {
    /* Storage is shut: the choice lasts for this page. */
  }
}

/** Let the page know of the key, and name it only where it works. */
function showFindKey(on) {
  root.dataset.findKey = on ? "on" : "off";
  for (const one of document.querySelectorAll("#find-q, [data-find-page]")) {
    if (on) one.setAttribute("aria-keyshortcuts", "/");
    else one.removeAttribute("aria-keyshortcuts");
  }
  for (const link of document.querySelectorAll("[data-find-page]")) {
    link.textContent = on ? link.dataset.with : link.dataset.without;
  }
}

/** Lay the tick for the key on one's own page. */
function tickFindKey() {
  const tick = document.querySelector("#find-key");
  if (!tick) return;
  tick.checked = root.dataset.findKey === "on";
  tick.closest("[data-own-keys]").hidden = false;
  tick.addEventListener("change", () => (storeFindKey(tick.checked), showFindKey(tick.checked)));
}

/** Open the find page by the key that jumps into the find box, where a page has no box. */
function openFind(event) {
  if (root.dataset.findKey === "off") return;
  if (event.key !== "/" || event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented) return;
  if (event.target instanceof Element && event.target.closest("input, textarea, select, [contenteditable]")) return;
  if (!document.querySelector("#find-q")) document.querySelector("[data-find-page]")?.click();
}

function ready() {
  showTheme(storedTheme());
  showFindKey(findKey());
  tickFindKey();
  document.querySelector("[data-error-slip]")?.focus();
}

root.dataset.theme = storedTheme();
document.addEventListener("click", switchTheme);
document.addEventListener("submit", submitOnce);
document.addEventListener("keydown", openFind);
window.addEventListener("pageshow", forgetSubmits);
if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", ready);
else ready();

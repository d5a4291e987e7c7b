/* Count running waits down on pages that are no sheet. The page says when each is over, in words that do without this;
   here the minutes that are left are added, by the program's clock: the tablet's is not believed. */

const page = document.querySelector("[data-now]");
const ahead = page ? Date.parse(page.dataset.now) - Date.now() : 0;

/** Give what is left in words: minutes while there are many, then minutes and seconds. */
function words(left) {
  if (left <= 0) return page.dataset.over;
  const minutes = Math.ceil(left / 60_000);
  if (left >= 120_000) return page.dataset.left.replace("{minutes}", String(minutes));
  const seconds = Math.ceil(left / 1000);
  return page.dataset.last.replace("{time}", `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`);
}

function tick() {
  for (const clock of document.querySelectorAll("[data-ends]")) {
    const said = words(Date.parse(clock.dataset.ends) - (Date.now() + ahead));
    if (clock.textContent !== said) clock.textContent = said;
  }
}

if (page) {
  tick();
  setInterval(tick, 1000);
}

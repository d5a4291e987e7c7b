/* The owner's draft: what is asked to be seen comes into view, where the preview stands below the steps. */

const glass = document.getElementById("preview");

function shown(event) {
  const link = event.target instanceof Element ? event.target.closest("a[target=preview]") : null;
  if (!link || !glass) return;
  const { top, bottom } = glass.getBoundingClientRect();
  if (top > innerHeight / 2 || bottom < innerHeight / 2) glass.scrollIntoView({ block: "start" });
}

document.addEventListener("click", shown);

// Another model's sheet is shown as soon as it is chosen; without this the button does it.
const models = document.getElementById("preview-model");
models?.addEventListener("change", () => models.form.submit());

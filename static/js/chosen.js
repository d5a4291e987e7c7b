/* Pictures that are chosen and not sent yet: shown small under their entry, with name and size, from the browser's own memory. */

const strips = new WeakMap();

function sizeWords(bytes) {
  const unit = bytes < 1_000_000 ? "kilobyte" : "megabyte";
  const amount = unit === "kilobyte" ? bytes / 1000 : bytes / 1_000_000;
  return new Intl.NumberFormat(document.documentElement.lang || "en", { style: "unit", unit, maximumFractionDigits: unit === "megabyte" ? 1 : 0 }).format(amount);
}

/** Build one picture; where the browser cannot show it, its name and size do alone. */
function small(file) {
  const node = document.createElement("span");
  const picture = document.createElement("img");
  const address = URL.createObjectURL(file);
  picture.alt = "";
  picture.addEventListener("load", () => URL.revokeObjectURL(address));
  picture.addEventListener("error", () => (URL.revokeObjectURL(address), picture.remove()));
  picture.src = address;
  const words = document.createElement("small");
  words.textContent = `${file.name}, ${sizeWords(file.size)}`;
  node.append(picture, words);
  return node;
}

function show(input) {
  let strip = strips.get(input);
  if (!strip) {
    strip = document.createElement("span");
    strip.className = "chosen";
    strips.set(input, strip);
    input.after(strip);
  }
  strip.replaceChildren(...[...input.files].map(small));
}

for (const input of document.querySelectorAll("input[type=file][multiple]")) {
  input.addEventListener("change", () => show(input));
  if (input.files.length) show(input); // a page that was gone back to keeps what was chosen
}

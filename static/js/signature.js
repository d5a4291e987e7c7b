/* A written line on the page: strokes beside the typed name, which does alone. They leave the page as whole numbers. */

import SignaturePad from "../vendor/signature_pad-5.1.4.js";

const WIDTH = 1000;
const HEIGHT = 300;
const clamp = (value, most) => Math.min(most, Math.max(0, Math.round(value)));

const isPoint = (point) => Array.isArray(point) && point.length === 2 && point.every(Number.isFinite);
const isStroke = (stroke) => Array.isArray(stroke) && stroke.length > 0 && stroke.every(isPoint);

/** Read what a refused form brings back; what is no signature is left out. */
function stored(field) {
  try {
    const strokes = JSON.parse(field.value || "[]");
    return Array.isArray(strokes) && strokes.every(isStroke) ? strokes : [];
  } catch {
    return [];
  }
}

/** Build the line for one hidden field: its words stand in the field's data. */
function lay(field) {
  const { words, clear, hint } = field.dataset;
  const canvas = document.createElement("canvas");
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", words);
  const wipe = document.createElement("button");
  wipe.type = "button";
  wipe.className = "do";
  wipe.textContent = clear;
  const told = document.createElement("p");
  told.className = "hint";
  told.textContent = hint;
  const box = document.createElement("div");
  box.className = "written";
  box.append(canvas, told, wipe);
  const beside = document.getElementById(field.dataset.beside)?.closest(".f") ?? field;
  beside.after(box);
  return { canvas, wipe };
}

function sign(field) {
  const { canvas, wipe } = lay(field);
  const pad = new SignaturePad(canvas, { minWidth: 1.2, maxWidth: 2.4 });
  const ink = () => getComputedStyle(canvas).color;
  const scale = () => WIDTH / canvas.getBoundingClientRect().width;

  const draw = () => {
    const { width, height } = canvas.getBoundingClientRect();
    const ratio = Math.max(devicePixelRatio, 1);
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    canvas.getContext("2d").scale(ratio, ratio);
    pad.penColor = ink();
    pad.clear();
    const points = (stroke) => stroke.map(([x, y], time) => ({ x: x / scale(), y: y / scale(), time, pressure: 0.5 }));
    pad.fromData(stored(field).map((stroke) => ({ points: points(stroke), penColor: ink(), minWidth: 1.2, maxWidth: 2.4 })));
  };
  const keep = () => {
    const by = scale();
    const strokes = pad.toData().map(({ points }) => points.map(({ x, y }) => [clamp(x * by, WIDTH), clamp(y * by, HEIGHT)]));
    field.value = strokes.length ? JSON.stringify(strokes) : "";
  };
  pad.addEventListener("endStroke", keep);
  wipe.addEventListener("click", () => (pad.clear(), keep()));
  addEventListener("resize", draw);
  field.closest("details")?.addEventListener("toggle", draw); // some browsers give it no size while it is folded away
  new MutationObserver(draw).observe(document.documentElement, { attributes: true, attributeFilter: ["data-theme"] });
  draw();
}

for (const field of document.querySelectorAll("input[type=hidden][data-beside]")) sign(field);

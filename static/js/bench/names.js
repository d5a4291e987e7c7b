/* The units that the bench reads: name, label, usual decimals, spellings in key form.

   The same table as shopapp/calc/units/kinds.py, held against it by a test. Factors are not here: they come
   with the sheet, from the program that stores the reading. */

const METRE = "m metre metres meter meters";
const POUND_FEET =
  "ft*lb ft*lbs ft*lbf lb*ft lbs*ft ftlb ftlbs ftlbf lbft lbsft lbfft foot*pound foot*pounds pound*foot pound*feet";
const POUND_INCHES = "in*lb in*lbs in*lbf lb*in lbs*in inlb inlbs inlbf lbin lbsin lbfin inch*pound inch*pounds";

/** Kind → rows of [name, label, decimals, spellings]; the first is the SI unit. */
export const KINDS = {
  length: [
    ["m", "m", 4, METRE],
    ["mm", "mm", 2, "millimetre millimetres millimeter millimeters"],
    ["cm", "cm", 2, "centimetre centimetres centimeter centimeters"],
    ["um", "µm", 0, "µm μm micron microns micrometre micrometres micrometer micrometers"],
    ["in", "in", 3, '" ins inch inches'],
    ["thou", "thou", 1, ""],
    ["ft", "ft", 3, "foot feet"],
  ],
  pressure: [
    ["Pa", "Pa", 0, "pascal pascals"],
    ["hPa", "hPa", 0, ""],
    ["kPa", "kPa", 0, ""],
    ["MPa", "MPa", 3, ""],
    ["bar", "bar", 2, "bars"],
    ["mbar", "mbar", 0, ""],
    ["psi", "psi", 1, "lbf/in2 lb/in2 lbs/in2 lbf/in^2 lb/in^2 lbs/in^2"],
    ["atm", "atm", 3, ""],
    ["kgf/cm2", "kgf/cm²", 2, "kgf/cm^2 kg/cm2 kg/cm^2"],
  ],
  torque: [
    ["N*m", "N·m", 1, "nm n*m newton*metre newton*metres newton*meter newton*meters"],
    ["lbf*ft", "ft-lb", 1, POUND_FEET],
    ["lbf*in", "in-lb", 0, POUND_INCHES],
    ["kgf*m", "kgf·m", 2, "kg*m kgm kgfm m*kg m*kgf"],
    ["kgf*cm", "kgf·cm", 1, "kg*cm kgcm kgfcm cm*kg cm*kgf"],
  ],
  distance: [
    ["m", "m", 0, METRE],
    ["km", "km", 0, "kms kilometre kilometres kilometer kilometers"],
    ["mile", "mi", 0, "mi miles"],
  ],
  running_time: [
    ["s", "s", 0, "sec secs second seconds"],
    ["min", "min", 0, "mins minute minutes"],
    ["h", "h", 1, "hr hrs hour hours"],
    ["day", "d", 1, "d days"],
  ],
  volume: [
    ["m3", "m³", 6, "m^3"],
    ["L", "L", 3, "ltr ltrs litre litres liter liters"],
    ["mL", "ml", 0, "mls cc ccm cm3 cm^3 millilitre millilitres milliliter milliliters"],
    ["US fl oz", "US fl oz", 1, "fl*oz floz us*floz fluid*ounce fluid*ounces us*fluid*ounces"],
    ["imp fl oz", "imp fl oz", 1, "imp*floz imp*fluid*ounce imp*fluid*ounces"],
    ["US pint", "US pint", 2, "us*pt us*pints"],
    ["imp pint", "imp pint", 2, "imp*pt imp*pints"],
    ["US qt", "US qt", 3, "us*quart us*quarts us*qts"],
    ["imp qt", "imp qt", 3, "imp*quart imp*quarts imp*qts"],
    ["US gal", "US gal", 3, "us*gallon us*gallons"],
    ["imp gal", "imp gal", 3, "imp*gallon imp*gallons"],
    ["in3", "in³", 2, "in^3 cu*in cu*ins cubic*inch cubic*inches"],
  ],
  temperature: [
    ["K", "K", 1, "kelvin kelvins"],
    ["degC", "°C", 1, "c deg*c degree*c degrees*c celsius deg*celsius degrees*celsius"],
    ["degF", "°F", 1, "f deg*f degree*f degrees*f fahrenheit deg*fahrenheit degrees*fahrenheit"],
  ],
  spring_rate: [
    ["N/m", "N/m", 0, ""],
    ["N/mm", "N/mm", 1, ""],
    ["lbf/in", "lb/in", 0, 'lb/in lbs/in lb/inch lbs/inch lbf/inch pounds/inch lb/" lbs/" lbf/"'],
    ["kgf/mm", "kgf/mm", 2, "kg/mm"],
  ],
  mass: [
    ["kg", "kg", 2, "kgs kilogram kilograms kilogramme kilogrammes"],
    ["g", "g", 0, "gram grams gramme grammes"],
    ["lb", "lb", 2, "lbs lbm pound pounds"],
    ["oz", "oz", 2, "ounce ounces"],
  ],
  force: [
    ["N", "N", 0, "newton newtons"],
    ["kN", "kN", 3, ""],
    ["lbf", "lbf", 0, "lb lbs lb*f pound pounds"],
    ["kgf", "kgf", 1, "kg kgs kp"],
  ],
  viscosity: [
    ["mm2/s", "mm²/s", 2, "mm^2/s"],
    ["m2/s", "m²/s", 8, "m^2/s"],
    ["cSt", "cSt", 2, "centistoke centistokes"],
    ["St", "St", 4, "stoke stokes"],
  ],
  angle: [
    ["degree", "°", 1, "deg degs degrees"],
    ["rad", "rad", 3, "radian radians"],
    ["turn", "turns", 2, "turns rev revs"],
  ],
  count: [
    ["1", "", 0, "pc pcs piece pieces off"],
    ["click", "clicks", 0, "clicks"],
    ["turn", "turns", 2, "turns"],
  ],
};

/** Kinds whose figures run into the thousands, so that people write a mark at them. */
export const GROUPED = new Set(["distance", "running_time"]);

const MARKS = {
  "·": "*", "⋅": "*", "•": "*", "×": "*", "∙": "*", "²": "^2", "³": "^3", "°": " deg ", "º": " deg ",
  "℃": "degC", "℉": "degF", "Ω": "?", "”": '"', "“": '"', "„": '"', "‟": '"', "″": '"', "ʺ": '"', "＂": '"',
  "’": "'", "‘": "'", "′": "'", "ʹ": "'", "⁄": "/", "∕": "/",
  "‐": "-", "‑": "-", "‒": "-", "–": "-", "—": "-",
}; // prettier-ignore

/** Give the form in which spellings are compared: "ft. lbs" and "ft-lbs" become "ft*lbs". */
export function keyOf(text) {
  let plain = Array.from(text, (char) => MARKS[char] ?? char).join("");
  plain = plain.replaceAll("''", '"').replaceAll("**", "^").trim().toLowerCase();
  plain = plain.replace(/\s+per\s+/g, "/").replace(/\s*\/\s*/g, "/");
  plain = plain.replace(/[\s\-*.]*\*[\s\-*.]*|[\s\-.]+/g, "*").replace(/^\*+|\*+$/g, "");
  plain = plain.replace(/^u\*s\*/, "us*").replace(/^(?:imperial|uk)\*/, "imp*");
  return plain.replace(/\bdeg\*([cfk])$/, "deg$1");
}

/** Kind → spelling → name of the unit. */
export const SPELLINGS = Object.fromEntries(
  Object.entries(KINDS).map(([kind, rows]) => [
    kind,
    Object.fromEntries(
      rows.flatMap(([name, , , spellings]) =>
        [keyOf(name), ...spellings.split(" ").filter(Boolean)].map((spelling) => [spelling, name]),
      ),
    ),
  ]),
);

/** Give how a unit is shown beside its figure; the name itself where the table has none. */
export function labelOf(unit, kind) {
  const row = (KINDS[kind] ?? []).find(([name]) => name === unit);
  return row ? row[1] : (unit ?? "");
}

/** Give the decimals usual for a unit. */
export function placesOf(unit, kind) {
  return (KINDS[kind] ?? []).find(([name]) => name === unit)?.[2] ?? 3;
}

"""The kinds of measurement, the units offered for each, and how people write them.

A spelling stands here in its key form (see `names.key`): lower case, words joined by ``*``.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Offered:
    """A unit offered for a kind: its name, its label on screen and paper, decimals, spellings.

    `factor` is the expression that `factors.product` reads; empty means the name in lower case.
    """

    name: str
    label: str
    places: int
    spellings: tuple[str, ...] = ()
    factor: str = ""


def _unit(name: str, label: str, places: int, spellings: str = "", factor: str = "") -> Offered:
    return Offered(name, label, places, tuple(spellings.split()), factor)


_METRE = "m metre metres meter meters"

KINDS: dict[str, tuple[Offered, ...]] = {
    "length": (
        _unit("m", "m", 4, _METRE),
        _unit("mm", "mm", 2, "millimetre millimetres millimeter millimeters"),
        _unit("cm", "cm", 2, "centimetre centimetres centimeter centimeters"),
        _unit("um", "µm", 0, "µm μm micron microns micrometre micrometres micrometer micrometers"),
        _unit("in", "in", 3, '" ins inch inches'),
        _unit("thou", "thou", 1),
        _unit("ft", "ft", 3, "foot feet"),
    ),
    "pressure": (
        _unit("Pa", "Pa", 0, "pascal pascals"),
        _unit("hPa", "hPa", 0),
        _unit("kPa", "kPa", 0),
        _unit("MPa", "MPa", 3),
        _unit("bar", "bar", 2, "bars"),
        _unit("mbar", "mbar", 0),
        _unit("psi", "psi", 1, "lbf/in2 lb/in2 lbs/in2 lbf/in^2 lb/in^2 lbs/in^2"),
        _unit("atm", "atm", 3),
        _unit("kgf/cm2", "kgf/cm²", 2, "kgf/cm^2 kg/cm2 kg/cm^2"),
    ),
    "torque": (
        _unit("N*m", "N·m", 1, "nm n*m newton*metre newton*metres newton*meter newton*meters"),
        _unit(
            "lbf*ft", "ft-lb", 1,
            "ft*lb ft*lbs ft*lbf lb*ft lbs*ft ftlb ftlbs ftlbf lbft lbsft lbfft foot*pound foot*pounds "
            "pound*foot pound*feet",
        ),
        _unit(
            "lbf*in", "in-lb", 0,
            "in*lb in*lbs in*lbf lb*in lbs*in inlb inlbs inlbf lbin lbsin lbfin inch*pound inch*pounds",
        ),
        _unit("kgf*m", "kgf·m", 2, "kg*m kgm kgfm m*kg m*kgf"),
        _unit("kgf*cm", "kgf·cm", 1, "kg*cm kgcm kgfcm cm*kg cm*kgf"),
    ),
    "distance": (
        _unit("m", "m", 0, _METRE),
        _unit("km", "km", 0, "kms kilometre kilometres kilometer kilometers"),
        _unit("mile", "mi", 0, "mi miles"),
    ),
    "running_time": (
        _unit("s", "s", 0, "sec secs second seconds"),
        _unit("min", "min", 0, "mins minute minutes"),
        _unit("h", "h", 1, "hr hrs hour hours"),
        _unit("day", "d", 1, "d days"),
    ),
    "volume": (
        _unit("m3", "m³", 6, "m^3"),
        _unit("L", "L", 3, "ltr ltrs litre litres liter liters"),
        _unit("mL", "ml", 0, "mls cc ccm cm3 cm^3 millilitre millilitres milliliter milliliters"),
        _unit("US fl oz", "US fl oz", 1, "fl*oz floz us*floz fluid*ounce fluid*ounces us*fluid*ounces",
              "us*fl*oz"),
        _unit("imp fl oz", "imp fl oz", 1, "imp*floz imp*fluid*ounce imp*fluid*ounces", "imp*fl*oz"),
        _unit("US pint", "US pint", 2, "us*pt us*pints", "us*pint"),
        _unit("imp pint", "imp pint", 2, "imp*pt imp*pints", "imp*pint"),
        _unit("US qt", "US qt", 3, "us*quart us*quarts us*qts", "us*qt"),
        _unit("imp qt", "imp qt", 3, "imp*quart imp*quarts imp*qts", "imp*qt"),
        _unit("US gal", "US gal", 3, "us*gallon us*gallons", "us*gal"),
        _unit("imp gal", "imp gal", 3, "imp*gallon imp*gallons", "imp*gal"),
        _unit("in3", "in³", 2, "in^3 cu*in cu*ins cubic*inch cubic*inches"),
    ),
    "temperature": (
        _unit("K", "K", 1, "kelvin kelvins"),
        _unit("degC", "°C", 1, "c deg*c degree*c degrees*c celsius deg*celsius degrees*celsius"),
        _unit("degF", "°F", 1, "f deg*f degree*f degrees*f fahrenheit deg*fahrenheit degrees*fahrenheit"),
    ),
    "spring_rate": (
        _unit("N/m", "N/m", 0),
        _unit("N/mm", "N/mm", 1),
        _unit("lbf/in", "lb/in", 0, 'lb/in lbs/in lb/inch lbs/inch lbf/inch pounds/inch lb/" lbs/" lbf/"'),
        _unit("kgf/mm", "kgf/mm", 2, "kg/mm"),
    ),
    "mass": (
        _unit("kg", "kg", 2, "kgs kilogram kilograms kilogramme kilogrammes"),
        _unit("g", "g", 0, "gram grams gramme grammes"),
        _unit("lb", "lb", 2, "lbs lbm pound pounds"),
        _unit("oz", "oz", 2, "ounce ounces"),
    ),
    "force": (
        _unit("N", "N", 0, "newton newtons"),
        _unit("kN", "kN", 3),
        _unit("lbf", "lbf", 0, "lb lbs lb*f pound pounds"),
        _unit("kgf", "kgf", 1, "kg kgs kp"),
    ),
    "viscosity": (
        _unit("mm2/s", "mm²/s", 2, "mm^2/s"),
        _unit("m2/s", "m²/s", 8, "m^2/s"),
        _unit("cSt", "cSt", 2, "centistoke centistokes"),
        _unit("St", "St", 4, "stoke stokes"),
    ),
    "angle": (
        _unit("degree", "°", 1, "deg degs degrees"),
        _unit("rad", "rad", 3, "radian radians"),
        _unit("turn", "turns", 2, "turns rev revs"),
    ),
    "count": (
        _unit("1", "", 0, "pc pcs piece pieces off"),
        _unit("click", "clicks", 0, "clicks"),
        _unit("turn", "turns", 2, "turns", "knob_turn"),
    ),
}  # fmt: skip
"""Kind → its units; the first is the SI one, in which `Measurement.si` counts."""

UNITS_BY_KIND: dict[str, dict[str, str]] = {
    kind: {unit.name: unit.label for unit in units} for kind, units in KINDS.items()
}
"""Kind → the names a form may offer → how they are shown; the SI name stands first."""

SI_UNIT: dict[str, str] = {kind: units[0].name for kind, units in KINDS.items()}
"""Kind → the name of the unit that `Measurement.si` counts in."""

HINTS: dict[tuple[str, str], str] = {
    ("pressure", "psig"): "Write plain psi; the field itself says that it is the gauge reading.",
    ("pressure", "psia"): "Write plain psi; the field itself says whether gauge or absolute is meant.",
    ("volume", "oz"): "“oz” is a weight; write “fl oz” for US or “imp fl oz” for imperial fluid ounces.",
    ("volume", "pint"): "Write “US pint” or “imp pint”; they differ by a fifth.",
    ("volume", "pints"): "Write “US pint” or “imp pint”; they differ by a fifth.",
    ("volume", "pt"): "Write “US pint” or “imp pint”; they differ by a fifth.",
    ("volume", "qt"): "Write “US qt” or “imp qt”; they differ by a fifth.",
    ("volume", "quart"): "Write “US qt” or “imp qt”; they differ by a fifth.",
    ("volume", "quarts"): "Write “US qt” or “imp qt”; they differ by a fifth.",
    ("volume", "gal"): "Write “US gal” or “imp gal”; they differ by a fifth.",
    ("volume", "gallon"): "Write “US gal” or “imp gal”; they differ by a fifth.",
    ("volume", "gallons"): "Write “US gal” or “imp gal”; they differ by a fifth.",
    ("temperature", "deg"): "Say which degrees: °C or °F.",
    ("length", "'"): "Write feet as ft, and one unit only: 38 in, not 3 ft 2 in.",
}
"""(kind, spelling) → what to say instead of guessing."""

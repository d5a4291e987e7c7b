"""Exact factors of the units, and the algebra of products and powers of them.

Everything is a `Fraction` built from definitions: 1 in = 25.4 mm and 1 lb = 0.45359237 kg
(international yard and pound, 1959), g_n = 9.80665 m/s² (CGPM 1901), 1 atm = 101325 Pa,
1 US gallon = 231 in³, 1 imperial gallon = 4.54609 L, 0 °C = 273.15 K.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from ..words import said
from .errors import UnitError, shown

Dimensions = tuple[tuple[str, int], ...]
"""Base and power, sorted by base, powers of zero left out: pascal is m⁻¹, kg¹, s⁻²."""

_TOKEN = re.compile(r"([a-zµμ_]+)\^?(-?[1-9])?")
_MOST_TOKENS = 6


@dataclass(frozen=True, slots=True)
class Factor:
    """What one of a unit is in coherent SI units: value · `factor` + `offset`.

    Angles count in degrees. `offset` is other than zero only for temperatures, in kelvin.
    """

    factor: Fraction
    dimensions: Dimensions
    offset: Fraction = Fraction(0)


def _dimensions(**powers: int) -> Dimensions:
    return tuple(sorted((base, power) for base, power in powers.items() if power))


_LENGTH = _dimensions(m=1)
_VOLUME = _dimensions(m=3)
_MASS = _dimensions(kg=1)
_TIME = _dimensions(s=1)
_TEMPERATURE = _dimensions(K=1)
_FORCE = _dimensions(kg=1, m=1, s=-2)
_PRESSURE = _dimensions(kg=1, m=-1, s=-2)
_ANGLE = _dimensions(degree=1)

_INCH = Fraction("0.0254")
_FOOT = 12 * _INCH
_MILE = 5280 * _FOOT
_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_POUND_FORCE = _POUND * _GRAVITY
_US_GALLON = 231 * _INCH**3
_IMPERIAL_GALLON = Fraction("0.00454609")
_DEGREES_PER_RADIAN = Fraction("57.29577951308232087679815481410517033240547")

_SIZES: dict[Dimensions, dict[str, Fraction | int | str]] = {
    (): {"1": 1},
    _dimensions(click=1): {"click": 1},
    _dimensions(knob_turn=1): {"knob_turn": 1},
    _LENGTH: {
        "m": 1, "km": 1000, "cm": "0.01", "mm": "0.001", "um": "0.000001", "µm": "0.000001",
        "μm": "0.000001", "in": _INCH, "inch": _INCH, "thou": _INCH / 1000, "ft": _FOOT, "foot": _FOOT,
        "yd": 3 * _FOOT, "yard": 3 * _FOOT, "mi": _MILE, "mile": _MILE,
    },
    _VOLUME: {
        "l": "0.001", "liter": "0.001", "litre": "0.001", "cl": "0.00001", "ml": "0.000001", "cc": "0.000001",
        "us*fl*oz": _US_GALLON / 128, "us*pint": _US_GALLON / 8,
        "us*qt": _US_GALLON / 4, "us*gal": _US_GALLON,
        "imp*fl*oz": _IMPERIAL_GALLON / 160, "imp*pint": _IMPERIAL_GALLON / 8,
        "imp*qt": _IMPERIAL_GALLON / 4, "imp*gal": _IMPERIAL_GALLON,
    },
    _MASS: {"kg": 1, "g": "0.001", "mg": "0.000001", "lb": _POUND, "oz": _POUND / 16},
    _TIME: {"s": 1, "min": 60, "h": 3600, "hour": 3600, "d": 86400, "day": 86400},
    _TEMPERATURE: {"k": 1, "kelvin": 1},
    _FORCE: {
        "n": 1, "newton": 1, "kn": 1000, "lbf": _POUND_FORCE, "ozf": _POUND_FORCE / 16, "kgf": _GRAVITY,
    },
    _PRESSURE: {
        "pa": 1, "pascal": 1, "hpa": 100, "kpa": 1000, "mpa": 1000000, "bar": 100000, "mbar": 100,
        "psi": _POUND_FORCE / _INCH**2, "atm": 101325,
    },
    _ANGLE: {"degree": 1, "deg": 1, "turn": 360, "rad": _DEGREES_PER_RADIAN, "radian": _DEGREES_PER_RADIAN},
    _dimensions(m=2, s=-1): {"cst": "0.000001", "st": "0.0001"},
    _dimensions(m=1, s=-1): {"mph": _MILE / 3600},
}  # fmt: skip

ATOMS: dict[str, Factor] = {
    name: Factor(Fraction(size), dimensions)
    for dimensions, sizes in _SIZES.items()
    for name, size in sizes.items()
}
ATOMS["degc"] = Factor(Fraction(1), _TEMPERATURE, Fraction("273.15"))
ATOMS["degf"] = Factor(Fraction(5, 9), _TEMPERATURE, Fraction("459.67") * Fraction(5, 9))


def product(expression: str) -> Factor:
    """Return the factor of a name or of a product of names and powers, left to right.

    `expression` is in lower case: ``psi``, ``lbf*ft``, ``kgf/cm2``, ``mm^2/s``. A unit with
    an offset stands alone only; `UnitError` otherwise and for a name that is not known.
    """
    if expression in ATOMS:
        return ATOMS[expression]
    pieces = re.split(r"([*/])", expression)
    if len(pieces) > 2 * _MOST_TOKENS:
        raise UnitError(said("{text} is not a unit this shop knows.", text=shown(expression)))
    factor, powers = Fraction(1), dict[str, int]()
    for place in range(0, len(pieces), 2):
        sign = -1 if place and pieces[place - 1] == "/" else 1
        atom, power = _token(pieces[place], expression)
        factor *= atom.factor ** (sign * power)
        for base, base_power in atom.dimensions:
            powers[base] = powers.get(base, 0) + sign * power * base_power
    return Factor(factor, _dimensions(**powers))


def _token(token: str, expression: str) -> tuple[Factor, int]:
    match = _TOKEN.fullmatch(token)
    atom = ATOMS.get(match[1]) if match else None
    if match is None or atom is None or atom.offset:
        raise UnitError(said("{text} is not a unit this shop knows.", text=shown(expression)))
    return atom, int(match[2] or 1)

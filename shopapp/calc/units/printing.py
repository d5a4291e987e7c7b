"""Printing computed figures: decimals half up, tape fractions, a real minus."""

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from ..words import said
from .conversion import Number, as_float, exact, from_si
from .errors import UnitError
from .kinds import KINDS, UNITS_BY_KIND
from .names import unit_of

MINUS = "\u2212"
_HAIR = Fraction(1, 10**9)
_MOST_EXTRA_PLACES = 3
_MOST_PLACES = 12
_ONE_OF = {"clicks": "click", "turns": "turn"}


def as_fraction(inches: Number, denominator: int = 16) -> str:
    """Return inches as on a tape: ``2 3/16``, ``0``, ``2``, ``-1/16``.

    The nearest fraction, halves away from zero (a float a billionth of a division, or four
    units in its last place, under a half counts as one), in lowest terms. `UnitError` for NaN
    and infinity and for a denominator that is not a whole number from 1 to 1024.
    """
    if isinstance(denominator, bool) or not isinstance(denominator, int) or not 1 <= denominator <= 1024:
        raise UnitError(said("A tape is divided into 1 to 1024 parts of an inch; 16 and 32 are usual."))
    scaled = abs(exact(inches)) * denominator
    hair = max(_HAIR, scaled / 2**50)
    divisions = math.floor(scaled + Fraction(1, 2) + hair)
    whole, part = divmod(divisions, denominator)
    fraction = Fraction(part, denominator)
    words = [str(whole)] if whole or not part else []
    if part:
        words.append(f"{fraction.numerator}/{fraction.denominator}")
    sign = "-" if divisions and inches < 0 else ""
    return sign + " ".join(words)


def fmt(
    si: Number,
    unit: str,
    kind: str,
    *,
    places: int | None = None,
    denominator: int | None = None,
    decimal_comma: bool = False,
    difference: bool = False,
    with_unit: bool = True,
) -> str:
    """Print a figure held in SI in `unit`, as people read it: ``151.9 psi``, ``2 3/16"``, ``−20.0 °C``.

    `places` are the decimals, else those usual for the unit, and up to three more where the
    figure would otherwise read as zero. `denominator` asks for a tape fraction and is meant
    for inches only. A `difference` of temperatures is printed without the offset. Half up,
    away from zero; the minus is U+2212; no marks at thousands. `UnitError` for NaN, infinity
    and a unit of another kind. A whole one of what is counted stands in the singular: ``1 click``, but ``1.00 turns``.
    """
    value = as_float(from_si(exact(si), unit, kind, difference=difference))
    name = unit_of(unit, kind).name
    if denominator is not None:
        if name != "in":
            raise UnitError(said("Fractions of a tape are for inches only."))
        return as_fraction(value, denominator).replace("-", MINUS) + ('"' if with_unit else "")
    # Zero is a temperature like any other; elsewhere a figure that reads as zero hides what is there.
    fixed = places is not None or kind == "temperature"
    figure = _rounded(value, _places(name, kind) if places is None else places, fixed=fixed)
    if decimal_comma:
        figure = figure.replace(".", ",")
    label = label_after(figure, UNITS_BY_KIND[kind].get(name, name))
    if not with_unit or not label:
        return figure
    return f"{figure}{label}" if label == "°" else f"{figure} {label}"


def label_after(figure: str, label: str) -> str:
    """Return a unit's label as it stands after a figure: ``1 click``, ``1/4 turn``, ``12 clicks``, ``1.00 turns``."""
    whole, slash, parts = figure.lstrip(f"-{MINUS}").partition("/")
    part_of_one = whole.isdecimal() and parts.isdecimal() and int(whole) <= int(parts)
    return _ONE_OF.get(label, label) if part_of_one or (whole == "1" and not slash) else label


def _places(name: str, kind: str) -> int:
    return next((offered.places for offered in KINDS[kind] if offered.name == name), 3)


def _rounded(value: float, places: int, *, fixed: bool) -> str:
    if isinstance(places, bool) or not isinstance(places, int) or not 0 <= places <= _MOST_PLACES:
        raise UnitError(
            said("A figure is printed with 0 to {most_places} decimals.", most_places=_MOST_PLACES)
        )
    # Twelve figures first: a half that is a hair short in binary is a half.
    number = Decimal(f"{value:.12g}")
    extra = 0 if fixed else _MOST_EXTRA_PLACES
    while extra and number and places < _MOST_PLACES and not _half_up(number, places):
        places, extra = places + 1, extra - 1
    rounded = _half_up(number, places)
    text = f"{abs(rounded):f}"
    return MINUS + text if rounded < 0 else text


def _half_up(number: Decimal, places: int) -> Decimal:
    step = Decimal(1).scaleb(-places)
    if number.adjusted() + places >= 27:
        return number
    return number.quantize(step, rounding=ROUND_HALF_UP)

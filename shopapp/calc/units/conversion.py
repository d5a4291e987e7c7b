"""From one unit to another, exactly until the last step."""

import math
from decimal import Decimal
from fractions import Fraction

from ..words import said
from .errors import UnitError, shown
from .kinds import KINDS, SI_UNIT
from .names import SPELLINGS, Unit, key, unit_of, unit_of_any_kind

Number = int | float | Fraction | Decimal
"""A figure as the functions of units take it."""

_COLDEST_K = Fraction(1, 10**9)


def exact(value: Number) -> Fraction:
    """Return `value` as a fraction; `UnitError` for NaN, infinity and what is no number."""
    if isinstance(value, bool) or not isinstance(value, int | float | Fraction | Decimal):
        raise UnitError(said("The figure must be a number."))
    if isinstance(value, float | Decimal) and not math.isfinite(value):
        raise UnitError(said("The figure must be an ordinary number, not empty and not endless."))
    return Fraction(value)


def as_float(value: Fraction) -> float:
    """Return the nearest float; `UnitError` where it is too large, or too small to be told from zero."""
    try:
        number = float(value)
    except OverflowError:
        raise UnitError(said("The figure is too large to be a measurement.")) from None
    if value and not number:
        raise UnitError(said("The figure is too small to be a measurement."))
    return number


def convert(value: Number, from_unit: str, to_unit: str) -> float:
    """Convert a figure between two units of the same sort; temperatures with their offset.

    The names are those that `parse` reads and products and powers of them (``lbf*ft``,
    ``kgf/cm2``, ``in3``). `lb` is the mass, `lb/in` the spring rate, `ft-lb` the torque.
    `UnitError` for units that do not fit together, NaN, infinity, and a temperature at or
    under absolute zero. Exact factors, one rounding at the end. Source: the definitions named
    in `factors`.
    """
    source, target = _pair(from_unit, to_unit)
    si = exact(value) * source.size.factor + source.size.offset
    if source.size.dimensions == (("K", 1),):
        check_temperature(si)
    return as_float((si - target.size.offset) / target.size.factor)


def convert_difference(value: Number, from_unit: str, to_unit: str) -> float:
    """Convert a difference between two figures: as `convert`, but temperatures without their offset.

    36 degrees of Fahrenheit are 20 kelvin. The difference may be below zero.
    """
    source, target = _pair(from_unit, to_unit)
    return as_float(exact(value) * source.size.factor / target.size.factor)


def _pair(from_unit: str, to_unit: str) -> tuple[Unit, Unit]:
    source, target = unit_of_any_kind(from_unit), unit_of_any_kind(to_unit)
    if source.size.dimensions != target.size.dimensions:
        raise UnitError(
            said(
                "{from_unit} and {to_unit} do not measure the same thing.",
                from_unit=shown(from_unit),
                to_unit=shown(to_unit),
            )
        )
    return source, target


def check_temperature(kelvin: Fraction) -> None:
    """Refuse a temperature at or under absolute zero; a billionth of a kelvin counts as zero."""
    # The float nearest to −273.15 lies a hair above absolute zero.
    if kelvin < _COLDEST_K:
        raise UnitError(said("A temperature must be above absolute zero (−273.15 °C, −459.67 °F)."))


def _si_size(kind: str) -> Fraction:
    return SPELLINGS[kind][key(SI_UNIT[kind])].size.factor


def to_si(value: Fraction, unit: str, kind: str) -> Fraction:
    """Return a figure in `unit` in the SI unit of its kind, exactly; absolute zero is refused."""
    size = unit_of(unit, kind).size
    si = (value * size.factor + size.offset) / _si_size(kind)
    if kind == "temperature":
        check_temperature(si)
    return si


def from_si(si: Fraction, unit: str, kind: str, *, difference: bool = False) -> Fraction:
    """Return an SI figure of a kind in `unit`, exactly; a difference leaves the offset out."""
    size = unit_of(unit, kind).size
    if kind == "temperature" and not difference:
        check_temperature(si)
    offset = Fraction(0) if difference else size.offset
    return (si * _si_size(kind) - offset) / size.factor


def browser_tables() -> dict[str, dict[str, list[float]]]:
    """Return kind → unit → [factor, offset] as floats, ready for JSON: si = value · factor + offset.

    The page computes with what the server gives here, so that both always agree.
    """
    return {kind: {unit.name: _line(unit.name, kind) for unit in units} for kind, units in KINDS.items()}


def _line(name: str, kind: str) -> list[float]:
    size = unit_of(name, kind).size
    return [float(size.factor / _si_size(kind)), float(size.offset / _si_size(kind))]


def browser_spellings() -> dict[str, dict[str, str]]:
    """Return kind → spelling → name of the unit; spellings in the form of `names.key`."""
    return {
        kind: {spelling: unit.name for spelling, unit in table.items()} for kind, table in SPELLINGS.items()
    }

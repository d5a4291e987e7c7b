"""One shim of a stack: two figures beside the text that stays as it was typed."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ..units import UNITS_BY_KIND, Measurement

HAIR_M = 1e-9
"""Below this two lengths are one: what a conversion leaves, a thousandth of what a micrometer shows."""

_FIGURE = re.compile(r"[0-9.,/⁄¼½¾⅓⅔⅛⅜⅝⅞ -]+")


@dataclass(frozen=True, slots=True)
class Shim:
    """A shim at its place: lengths as typed, `text` the shim as typed without its repeats.

    `crossover` marks the small shim that lets a larger one follow.
    """

    diameter: Measurement
    thickness: Measurement
    text: str
    crossover: bool = False


Stack = tuple[Shim, ...]
"""Shims from the piston face outwards."""


def same(one: Shim, other: Shim) -> bool:
    """Say whether two shims have the same figures, in whatever unit each was typed."""
    return alike(one.diameter, other.diameter) and alike(one.thickness, other.thickness)


def alike(one: Measurement, other: Measurement) -> bool:
    """Say whether two lengths are one."""
    return abs(one.si - other.si) <= HAIR_M


def label(shim: Shim) -> str:
    """Return a shim as it is written beside a drawing: ``36 × 0.20``, ``1.575 × 0.008 in``.

    Figures as typed; millimetres go without saying.
    """
    units = [_unit(shim.diameter), _unit(shim.thickness)]
    figures = [figure(shim.diameter), figure(shim.thickness)]
    if units[0] == units[1]:
        return f"{figures[0]} × {figures[1]} {units[0]}".strip()
    return f"{figures[0]} {units[0] or 'mm'} × {figures[1]} {units[1] or 'mm'}"


def _unit(length: Measurement) -> str:
    return "" if length.unit == "mm" else UNITS_BY_KIND["length"].get(length.unit, length.unit)


def figure(length: Measurement) -> str:
    """Return a length's figure as typed, without its unit."""
    found = _FIGURE.match(length.text)
    return found[0].strip() if found else length.text


def plates(stack: Sequence[Shim]) -> list[tuple[float, float]]:
    """Return (diameter, thickness) in m, as `shims.order_problems` takes them; `deflection` takes radii."""
    return [(shim.diameter.si, shim.thickness.si) for shim in stack]


def crossovers(stack: Sequence[Shim]) -> tuple[int, ...]:
    """Return the places (from 0) of the shims that are marked as crossover shims."""
    return tuple(place for place, shim in enumerate(stack) if shim.crossover)

"""Shim stacks as thin plates: how far the face shim bends, how stiff it is, whether the order makes sense.

Each shim is an annular plate, clamped at the clamp's edge and free outside. Plates slide on each other and bend to
one surface, so that their stiffnesses add: Σt³, never (Σt)³. That is a stated model, not measured truth: it knows
no friction and no gap at a crossover shim, and bends on linearly where a real plate grows stiffer (`linear_ok`).
"""

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from itertools import pairwise

from .figures import between, not_negative, positive
from .units import fmt
from .words import said

YOUNGS_PA = 206e9
"""Of spring steel, where nothing better is known."""

POISSON = 0.3

Plate = tuple[float, float]
"""Outer radius (or diameter, where a function says so) and thickness, in m."""

# The closed form subtracts what is nearly equal where a shim hardly passes its clamp: floats would keep nothing there.
_DIGITS = 60
_HAIR_M = 1e-9


@dataclass(frozen=True, slots=True)
class Deflection:
    """How far the face shim's edge moves, and the moment at the clamp in N·m per m of its circumference.

    `linear_ok` is false once the edge moves half the thinnest plate or more: the figure is then too large.
    """

    edge_m: float
    clamp_moment_n: float
    linear_ok: bool


@dataclass(frozen=True, slots=True)
class _Ring:
    """A ring of the stack in which the same plates lie on each other: its radii and its stiffness in N·m."""

    inside: Decimal
    outside: Decimal
    stiffness: Decimal


@dataclass(frozen=True, slots=True)
class _Load:
    """Pressure over the whole face, and a line load in N per m of circumference at its edge."""

    pressure: Decimal
    line: Decimal
    edge: Decimal


def deflection(
    plates: Sequence[Plate],
    clamp_radius_m: float,
    *,
    pressure_pa: float = 0.0,
    edge_load_n: float = 0.0,
    youngs_pa: float = YOUNGS_PA,
    poisson: float = POISSON,
) -> Deflection:
    """Return how far a stack bends under a pressure on its face, a load around the face shim's edge, or both.

    `plates` are (outer radius, thickness) in m from the piston face outwards; behind the face shim their order does
    not matter to this model. `edge_load_n` is the whole load around the edge. `ValueError` for no plate, a figure
    not above zero, a plate no larger than the clamp, and one larger than the face shim: what reaches past it is
    pressed by nothing. Source: Kirchhoff plate, closed form ring by ring (Timoshenko, Roark table 11.2).
    """
    known, clamp = _checked(plates, clamp_radius_m)
    load = _load(
        known[0][0], not_negative(pressure_pa, "The pressure"), not_negative(edge_load_n, "The edge load")
    )
    modulus = positive(youngs_pa, "Young's modulus")
    ratio = between(poisson, 0.0, 0.5, "Poisson's ratio")
    with localcontext() as context:
        context.prec = _DIGITS
        edge, moment = _bend(list(_rings(known, clamp, modulus, ratio)), load, Decimal(ratio))
    thinnest = min(thickness for _, thickness in known)
    return Deflection(edge_m=edge, clamp_moment_n=moment, linear_ok=edge < thinnest / 2)


def stiffness(
    plates: Sequence[Plate],
    clamp_radius_m: float,
    *,
    youngs_pa: float = YOUNGS_PA,
    poisson: float = POISSON,
) -> float:
    """Return the stack's stiffness in N/m: a load around the face shim's edge over the way the edge moves.

    Plates, errors and source as for `deflection`.
    """
    bent = deflection(plates, clamp_radius_m, edge_load_n=1.0, youngs_pa=youngs_pa, poisson=poisson)
    return 1.0 / bent.edge_m


def _checked(plates: Sequence[Plate], clamp_radius_m: float) -> tuple[list[Plate], float]:
    clamp = positive(clamp_radius_m, "The clamp's radius")
    known = [(positive(r, "A shim's radius"), positive(t, "A shim's thickness")) for r, t in plates]
    if not known:
        raise ValueError(said("There is no shim in the stack."))
    if any(radius <= clamp for radius, _ in known):
        raise ValueError(
            said("A shim no larger than the clamp does not bend; every shim must reach past it.")
        )
    if any(radius > known[0][0] + _HAIR_M for radius, _ in known):
        raise ValueError(
            said(
                "A shim is larger than the face shim: nothing presses on what reaches past it; no stiffness is given."
            )
        )
    return known, clamp


def _load(edge_m: float, pressure: float, whole: float) -> _Load:
    return _Load(Decimal(pressure), Decimal(whole / (2 * math.pi * edge_m)), Decimal(edge_m))


def _rings(plates: Sequence[Plate], clamp: float, modulus: float, ratio: float) -> Iterator[_Ring]:
    """Cut the stack at every edge of a plate, from the clamp outwards; nothing lies past the face shim."""
    edge = plates[0][0]
    cuts = sorted({clamp, *(min(radius, edge) for radius, _ in plates)})
    bending = Decimal(modulus) / (12 * (1 - Decimal(ratio) ** 2))
    for inside, outside in pairwise(cuts):
        cubes = sum(Decimal(thickness) ** 3 for radius, thickness in plates if min(radius, edge) >= outside)
        yield _Ring(Decimal(inside), Decimal(outside), bending * cubes)


def _bend(rings: Sequence[_Ring], load: _Load, ratio: Decimal) -> tuple[float, float]:
    """Return the way of the edge and the moment at the clamp.

    The slope is none at the clamp and the moment none at the edge: shot once with the load and no moment, once
    with a moment of one and no load, the moment at the clamp follows because both are straight.
    """
    nothing = _Load(Decimal(0), Decimal(0), load.edge)
    way, left = _shot(rings, load, Decimal(0), ratio)
    way_of_one, left_of_one = _shot(rings, nothing, Decimal(1), ratio)
    moment = -left / left_of_one
    return float(way + moment * way_of_one), float(moment)


def _shot(rings: Sequence[_Ring], load: _Load, moment: Decimal, ratio: Decimal) -> tuple[Decimal, Decimal]:
    """Go outwards ring by ring from a moment at the clamp; return the way of the edge and the moment left there."""
    slope, way = Decimal(0), Decimal(0)
    for ring in rings:
        slope, moment, gone = _across(ring, load, slope, moment, ratio)
        way += gone
    return way, moment


def _across(
    ring: _Ring, load: _Load, slope: Decimal, moment: Decimal, ratio: Decimal
) -> tuple[Decimal, Decimal, Decimal]:
    """Return slope, moment and way gained at a ring's outside from slope and moment at its inside.

    Within a ring the slope is A·r + B/r and the part that the load makes; the moment is D·(slope' + ν·slope/r).
    """
    r, end, stiff = ring.inside, ring.outside, ring.stiffness
    loaded, rise, way_start = _part_of_load(r, load, stiff)
    free_slope, free_rise = slope - loaded, (moment / stiff - ratio * slope / r) - rise
    even, inverse = (free_rise + free_slope / r) / 2, (free_slope * r - free_rise * r * r) / 2
    loaded_end, rise_end, way_end = _part_of_load(end, load, stiff)
    slope_end = even * end + inverse / end + loaded_end
    moment_end = stiff * (even - inverse / end**2 + rise_end + ratio * slope_end / end)
    way = even * (end**2 - r**2) / 2 + inverse * (end / r).ln() + way_end - way_start
    return slope_end, moment_end, way


def _part_of_load(r: Decimal, load: _Load, stiff: Decimal) -> tuple[Decimal, Decimal, Decimal]:
    """Return what the load makes of the slope at `r`, of its rise along r, and of the way (its integral).

    From D·(φ″ + φ′/r − φ/r²) = −Q with the shear Q = c/r − q·r/2 and c = w·a + q·a²/2.
    """
    shear = load.line * load.edge + load.pressure * load.edge**2 / 2
    log = (r / load.edge).ln()
    slope = -shear * (r * log / 2 - r / 4) + load.pressure * r**3 / 16
    rise = -shear * (log / 2 + Decimal("0.25")) + 3 * load.pressure * r**2 / 16
    way = -shear * (r**2 * log / 4 - r**2 / 4) + load.pressure * r**4 / 64
    return slope / stiff, rise / stiff, way / stiff


def order_problems(
    stack: Sequence[Plate],
    *,
    clamp_diameter_m: float,
    seat_diameter_m: float,
    crossovers: Collection[int] = (),
    unit: str = "mm",
    decimal_comma: bool = False,
) -> list[str]:
    """Return what does not make sense in a stack's order, a sentence each; none where it does.

    `stack` is (diameter, thickness) in m from the piston face outwards, `crossovers` the places (from 0) of the
    crossover shims: only the shim after one may be larger than the one before it. The face shim must cover the
    port seat, every shim must reach past the clamp. Places are told from 1, figures in `unit`. An empty stack and no
    thickness are sentences; `ValueError` only for what is no ordinary length.
    """
    clamp = positive(clamp_diameter_m, "The clamp's diameter")
    seat = positive(seat_diameter_m, "The port seat's diameter")
    known = [(not_negative(d, "A shim's diameter"), not_negative(t, "A shim's thickness")) for d, t in stack]
    if not known:
        return [said("There is no shim in the stack.")]
    pen = _Pen(unit, decimal_comma)
    problems = list(_uncovered(known[0][0], seat, pen))
    for place, (diameter, thickness) in enumerate(known):
        problems += _alone(place, diameter, thickness, clamp, pen)
        if place and place - 1 not in crossovers and diameter > known[place - 1][0] + _HAIR_M:
            problems.append(_larger(place, diameter, known[place - 1][0], pen))
    problems += _crossovers_nowhere(crossovers, len(known))
    return problems


@dataclass(frozen=True, slots=True)
class _Pen:
    """How lengths are written in a sentence."""

    unit: str
    decimal_comma: bool

    def __call__(self, length_m: float) -> str:
        figure = fmt(length_m, self.unit, "length", places=4, with_unit=False)
        short = figure.rstrip("0").rstrip(".") or "0"
        return f"{short.replace('.', ',') if self.decimal_comma else short} {self.unit}"


def _uncovered(face: float, seat: float, pen: _Pen) -> Iterator[str]:
    if face < seat - _HAIR_M:
        yield said(
            "The face shim of {face} does not cover the port seat of {seat}.", face=pen(face), seat=pen(seat)
        )


def _alone(place: int, diameter: float, thickness: float, clamp: float, pen: _Pen) -> Iterator[str]:
    if thickness == 0:
        yield said("The shim at place {place} has no thickness.", place=place + 1)
    if diameter <= clamp + _HAIR_M:
        yield said(
            "The shim of {diameter} at place {place} does not reach past the clamp of {clamp}.",
            diameter=pen(diameter), place=place + 1, clamp=pen(clamp),
        )  # fmt: skip


def _larger(place: int, diameter: float, before: float, pen: _Pen) -> str:
    return said(
        "The shim of {diameter} at place {place} is larger than the one of {before} before it, which is not marked as "
        "a crossover shim.",
        diameter=pen(diameter), place=place + 1, before=pen(before),
    )  # fmt: skip


def _crossovers_nowhere(crossovers: Collection[int], count: int) -> Iterator[str]:
    for place in sorted(crossovers):
        if not 0 <= place < count:
            yield said(
                "A crossover shim is marked at place {place}; the stack has {count} places.",
                place=place + 1, count=count,
            )  # fmt: skip

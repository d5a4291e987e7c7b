"""Say where each part is on the drawing of each construction, for the leader of a finding."""

from collections.abc import Callable, Mapping
from typing import Final

from shopapp.drawings.damper.layout import Body, Layout, Reservoir
from shopapp.drawings.damper.numbers import WITH_TANK, Build
from shopapp.drawings.svg import Point


def _gap_after_first(body: Body) -> Point:
    """Give where the first spring ends: the divider's place, or where it would be."""
    return (body.coils[0].end + 3, -body.outer - 3)


ON_BODY: Final[Mapping[str, Callable[[Body], Point]]] = {
    "eyelet": lambda b: (b.right_eye, -b.eye * 0.66),
    "main spring": lambda b: ((b.coils[-1].start + b.coils[-1].end) / 2, -b.spring_half),
    "tender spring": lambda b: (b.coils[0].start + 6, -b.spring_half),
    "divider": _gap_after_first,
    "retainer": lambda b: (b.retainer + 3.5, -b.reach * 0.75),
    "bump stop": lambda b: (b.retainer - 8, -b.rod - 4),
    "preload adjuster": lambda b: (b.ring + 4, -b.reach + 3),
    "lock ring": lambda b: (b.ring - 3, -b.reach + 8),
    "body": lambda b: (b.face + (b.seal - b.face) * 0.3, -b.outer),
    "rod": lambda b: ((b.seal + b.retainer - 24) / 2, -b.rod * 0.5),
    "seal head": lambda b: (b.seal - 4, -b.half * 0.75),
    "rod seal": lambda b: (b.seal - 9.5, -b.rod - 2.2),
    "bushing": lambda b: (b.seal - 15, -b.rod - 2),
    "piston": lambda b: (b.seal - 47, -(b.half + b.rod) / 2),
    "piston band": lambda b: (b.seal - 47, -b.half + 2.2),
    "spacer": lambda b: (b.seal - 34, -b.rod - 1),
    "shims": lambda b: (b.seal - 57, -b.rod - 4),
    "piston nut": lambda b: (b.seal - 66, -b.rod - 1),
    "rebound adjuster": lambda b: (b.right_eye - b.eye - 3, -b.rod * 0.6),
}
ON_TANK: Final[Mapping[str, Callable[[Reservoir], Point]]] = {
    "hose": lambda r: (r.left - 7, r.axis + 3),
    "compression adjuster": lambda r: (r.left + 4.5, r.axis + r.half * 0.4),
    "reservoir": lambda r: (r.left + (r.gas_face - r.left) * 0.4, r.axis + r.outer),
    "reservoir cap": lambda r: (r.right - 12, r.axis - 3),
    "gas valve": lambda r: (r.right + 6, r.axis + 3),
}
_IFP: Final[Mapping[str, Callable[[Reservoir], Point]]] = {
    "ifp": lambda r: (r.gas_face - 10, r.axis - 4),
    "bleed screw": lambda r: (r.gas_face - 4, r.axis - 2),
}
_BLADDER: Final[Mapping[str, Callable[[Reservoir], Point]]] = {
    "bladder": lambda r: ((r.left + r.right) / 2, r.axis - r.half * 0.68),
}
_CAP: Final[Mapping[str, Callable[[Body], Point]]] = {
    "gas valve": lambda b: ((b.cap + b.face) / 2, b.outer + 9),
    "compression adjuster": lambda b: (b.cap + 5, -b.outer * 0.5),
}
_IFP_IN_BODY: Final[Mapping[str, Callable[[Body], Point]]] = {
    "ifp": lambda b: ((b.ifp or b.face) + 10, -b.half * 0.4),
    "bleed screw": lambda b: ((b.ifp or b.face) + 4, -b.half * 0.2),
}
_TANK: Final = frozenset({*ON_TANK} - {"gas valve", "compression adjuster"})
ABSENT: Final[Mapping[Build, frozenset[str]]] = {
    Build.RESERVOIR: frozenset({"bladder"}),
    Build.BLADDER: frozenset({"ifp", "bleed screw"}),
    Build.THROUGH_ROD: frozenset({"bladder"}),
    Build.IFP_BODY: frozenset({*_TANK, "bladder"}),
    Build.EMULSION: frozenset({*_TANK, "bladder", "ifp", "bleed screw"}),
    Build.TWIN_TUBE: frozenset({*_TANK, "bladder", "ifp", "bleed screw"}),
}
"""Parts that a construction has not: a finding about one stands without a leader."""


def on_tank(part: str, build: Build) -> bool:
    """Say whether a part of this construction is at the reservoir or compensator: its balloon stands below."""
    return build in WITH_TANK and (part in ON_TANK or part in _IFP or part in _BLADDER)


def anchor(place: Layout, part: str) -> Point | None:
    """Give the point of a part that a leader goes to; None for one that this drawing has no place for."""
    body, tank = place.body, place.reservoir
    if part in ABSENT[body.build]:
        return None
    if tank is not None:
        found = {**ON_TANK, **_IFP, **_BLADDER}.get(part)
        if found is not None:
            return found(tank)
    own = {**ON_BODY, **_CAP, **_IFP_IN_BODY}.get(part)
    return own(body) if own is not None else None

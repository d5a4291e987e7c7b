"""Draw findings as numbered balloons with leaders to their parts: the body's in a row above, the reservoir's below."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shopapp.drawings.damper.layout import Body, Layout, Reservoir
from shopapp.drawings.strokes import THIN, text
from shopapp.drawings.svg import Point, Svg, circle, element, group, line

GAP = 5.0


@dataclass(frozen=True, slots=True)
class Balloon:
    """One finding: its number, the code of its part, and its words for whoever does not see the drawing."""

    number: int
    part: str
    words: str = ""


def _gap_after_first(body: Body) -> Point:
    """Give where the first spring ends: the divider's place, or where it would be."""
    return (body.coils[0].end + 3, -body.outer - 3)


ON_BODY: dict[str, Callable[[Body], Point]] = {
    "eyelet": lambda b: (b.right_eye, -b.eye * 0.66),
    "main spring": lambda b: ((b.coils[-1].start + b.coils[-1].end) / 2, -b.spring_half),
    "tender spring": lambda b: (b.coils[0].start + 6, -b.spring_half),
    "divider": _gap_after_first,
    "retainer": lambda b: (b.retainer + 3.5, -b.reach * 0.75),
    "bump stop": lambda b: (b.retainer - 8, -b.rod - 4),
    "preload adjuster": lambda b: (b.ring + 4, -b.reach + 3),
    "lock ring": lambda b: (b.ring - 3, -b.reach + 8),
    "body": lambda b: (b.face + (b.seal - b.face) * 0.3, -b.half),
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
ON_RESERVOIR: dict[str, Callable[[Reservoir], Point]] = {
    "hose": lambda r: (r.left - 7, r.axis + 3),
    "compression adjuster": lambda r: (r.left + 4.5, r.axis + r.half * 0.4),
    "reservoir": lambda r: (r.left + (r.gas_face - r.left) * 0.4, r.axis + r.outer),
    "ifp": lambda r: (r.gas_face - 10, r.axis - 4),
    "bleed screw": lambda r: (r.gas_face - 4, r.axis - 2),
    "bladder": lambda r: (r.gas_face + 8, r.axis - r.half * 0.3),
    "reservoir cap": lambda r: (r.right - 12, r.axis - 3),
    "gas valve": lambda r: (r.right + 6, r.axis + 3),
}


def room(size: float) -> float:
    """Give the height that one row of balloons takes."""
    return 2 * radius(size) + 2 * GAP


def radius(size: float) -> float:
    """Give a balloon's radius for a size of text."""
    return size * 0.68


def is_above(balloon: Balloon) -> bool:
    """Say whether a balloon stands in the row above: those of the body, and those without a place of their own."""
    return balloon.part not in ON_RESERVOIR


def balloon_row(place: Layout, balloons: Sequence[Balloon], *, y: float, width: float, size: float) -> Svg:
    """Draw balloons in one row at the height `y`, in the order of their parts, so that no leader crosses another.

    What has no place on the drawing (oil, another part) stands at the row's end without a leader.
    """
    ends = [(balloon, anchor(place, balloon.part)) for balloon in balloons]
    ends.sort(key=lambda pair: (pair[1] is None, pair[1] or (0, 0), pair[0].number))
    places = spread([end[0] if end else width for _balloon, end in ends], width, size)
    return group(
        *(_balloon(balloon, (x, y), end, size) for (balloon, end), x in zip(ends, places, strict=True)),
        data_findings="",
    )


def anchor(place: Layout, part: str) -> Point | None:
    """Give the point of a part that a leader goes to; None for one that the drawing has no place for."""
    if part in ON_BODY:
        return ON_BODY[part](place.body)
    if part in ON_RESERVOIR:
        return ON_RESERVOIR[part](place.reservoir)
    return None


def spread(wanted: Sequence[float], width: float, size: float) -> list[float]:
    """Move places along a row apart until no two balloons touch; they stay on the sheet while there is room."""
    least = 2 * radius(size) + GAP
    edge = radius(size) + 2
    found: list[float] = []
    for x in wanted:
        found.append(max(x, found[-1] + least if found else edge))
    limit = width - edge
    for index in range(len(found) - 1, -1, -1):
        found[index] = min(found[index], limit)
        limit = found[index] - least
    return found


def _balloon(balloon: Balloon, at: Point, end: Point | None, size: float) -> Svg:
    r = radius(size)
    ring = circle(at, r, 1.6)
    number = text(at, str(balloon.number), size * 0.82, anchor="middle", bold=True)
    if end is None:
        return group(ring, number, data_finding=str(balloon.number))
    towards = 1 if end[1] > at[1] else -1
    leader = line((at[0], at[1] + towards * r), end, THIN)
    dot = element("circle", cx=end[0], cy=end[1], r=2.4, fill="currentColor")
    return group(leader, dot, ring, number, data_finding=str(balloon.number))

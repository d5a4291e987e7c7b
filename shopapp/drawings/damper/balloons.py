"""Draw findings as numbered balloons with leaders to their parts: the body's above, the reservoir's below."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopapp.drawings.damper.anchors import anchor, on_tank
from shopapp.drawings.damper.paper import Stroke, cut
from shopapp.drawings.damper.rows import Drawn
from shopapp.drawings.strokes import THIN, Box, text
from shopapp.drawings.svg import Point, Svg, circle, element, group, line

GRID = 8.0
ROWS = 12
BEYOND = 4
SIDEWAYS = 0.7


@dataclass(frozen=True, slots=True)
class Balloon:
    """One finding: its number, the code of its part, and its words for whoever does not see the drawing."""

    number: int
    part: str
    words: str = ""


def radius(size: float) -> float:
    """Give a balloon's radius for a size of text."""
    return size * 0.8


def balloons_on(sheet: Drawn, balloons: Sequence[Balloon]) -> list[Svg]:
    """Draw the findings where there is room, from left to right, so that no leader crosses another or any words.

    What has no place on this drawing (oil, a part that the construction has not) stands at the row's end without a
    leader.
    """
    ends = [(one, anchor(sheet.place, one.part)) for one in balloons]
    ends.sort(key=lambda pair: (pair[1] is None, pair[1] or (0, 0), pair[0].number))
    leaders: list[Stroke] = []
    drawn = [_put(sheet, one, end, leaders) for one, end in ends]
    return [group(*drawn, data_findings="")] if drawn else []


def _put(sheet: Drawn, balloon: Balloon, end: Point | None, leaders: list[Stroke]) -> Svg:
    r = radius(sheet.pen.size)
    at = _place(sheet, balloon, end, leaders)
    strokes = [] if end is None else [_leader(at, end, r)]
    sheet.pen.paper.put(_area(at, r), strokes)
    leaders.extend(strokes)
    ring = circle(at, r, 1.6)
    number = text(at, str(balloon.number), sheet.pen.size, anchor="middle", bold=True)
    if end is None:
        return group(ring, number, data_finding=str(balloon.number))
    dot = element("circle", cx=end[0], cy=end[1], r=2.4, fill="currentColor")
    return group(line(*strokes[0], THIN), dot, ring, number, data_finding=str(balloon.number))


def _place(sheet: Drawn, balloon: Balloon, end: Point | None, leaders: Sequence[Stroke]) -> Point:
    """Find the nearest place without a line through words; where there is none, one that stands on nothing."""
    paper, r = sheet.pen.paper, radius(sheet.pen.size)
    free: Point | None = None
    for at in _places(sheet, balloon, end):
        strokes = [] if end is None else [_leader(at, end, r)]
        crossed = any(cut(stroke, other) for stroke in strokes for other in (*leaders, *paper.leaders))
        if not crossed and paper.takes(_area(at, r), strokes):
            return at
        if free is None and paper.has_room(_area(at, r)):
            free = at
    assert free is not None, "there is always a row beyond everything"
    return free


def _places(sheet: Drawn, balloon: Balloon, end: Point | None) -> Iterator[Point]:
    """Give places from the nearest on; at last rows beyond everything, where there is always room."""
    paper, r = sheet.pen.paper, radius(sheet.pen.size)
    body = sheet.place.body
    down = 1 if end is not None and (on_tank(balloon.part, body.build) or end[1] > body.outer) else -1
    wanted = end or (paper.width - r - 4, 0.0)
    edge = body.reach + 5 + r
    across = [r + 4 + GRID * index for index in range(int((paper.width - 2 * r - 8) / GRID) + 1)]
    grid = [(x, down * (edge + GRID * row)) for row in range(ROWS) for x in across]
    aside = SIDEWAYS if end is not None else SIDEWAYS / 8
    yield from sorted(grid, key=lambda at: (abs(at[0] - wanted[0]) * aside + abs(at[1] - wanted[1]), at))
    heights = [area.top if down < 0 else area.bottom for area in (*paper.texts, *paper.solids)]
    beyond = min(heights) - r - 6 if down < 0 else max(heights) + r + 6
    for row in range(BEYOND):
        y = beyond + down * row * (2 * r + 6)
        yield from sorted(((x, y) for x in across), key=lambda at: abs(at[0] - wanted[0]))


def _area(at: Point, r: float) -> Box:
    return Box(at[0] - r, at[1] - r, at[0] + r, at[1] + r)


def _leader(at: Point, end: Point, r: float) -> Stroke:
    """Lead from the ring's edge to the part."""
    dx, dy = end[0] - at[0], end[1] - at[1]
    far = (dx * dx + dy * dy) ** 0.5 or 1.0
    return ((at[0] + dx / far * r, at[1] + dy / far * r), end)

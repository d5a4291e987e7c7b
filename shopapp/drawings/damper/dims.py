"""Draw the dimension lines with their words: the drawing's index to the readings. Each takes the nearest free place."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

from shopapp.drawings.damper.paper import EDGE, Paper, Stroke
from shopapp.drawings.strokes import THIN, Box, arrow, box, leader, text, text_width
from shopapp.drawings.svg import Point, Svg, element, group, line

STEP = 4.0
STEPS = 48
AWAY = 14
TOUCH = 24.0
BOLD = 1.08
SIDEWAYS = 0.35


@dataclass(frozen=True, slots=True)
class Lettering:
    """How dimensions are written: size, which one is open, and where each leads."""

    size: float
    paper: Paper
    opened: str = ""
    links: Mapping[str, str] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)

    @property
    def width(self) -> float:
        return self.paper.width

    def fitted(self, name: str, words: str) -> tuple[str, float]:
        """Give words with their width; too long ones for the sheet are cut, and say so by three points."""
        wide = BOLD if name == self.opened else 1.0
        shown = words
        while len(shown) > 1 and text_width(shown, self.size) * wide > self.width - 80:
            shown = shown[: -2 if shown.endswith("…") else -1] + "…"
        return shown, text_width(shown, self.size) * wide + 8

    def area(self, wide: float, centre: Point) -> Box:
        """Give the box of words of a width round a point."""
        high = self.size * 0.62
        return Box(centre[0] - wide / 2, centre[1] - high, centre[0] + wide / 2, centre[1] + high)

    def put(self, name: str, drawn: str, words: str, area: Box) -> Svg:
        """Close one dimension as a group of the blue ink, linked where it has an entry; the open one is boxed."""
        is_open = name == self.opened
        middle = ((area.left + area.right) / 2, (area.top + area.bottom) / 2)
        written = text(middle, words, self.size, anchor="middle", bold=is_open)
        shown = f"{drawn}{box(area, 2) if is_open else ''}{written}"
        if name in self.links:
            shown = element("a", shown, _touch(area), href=self.links[name], aria_label=self.names.get(name))
        return group(shown, ink="dim", data_dim=name)


def _touch(area: Box) -> Svg:
    """Give a finger room round the words: no drawing shows it."""
    high = max(area.height, TOUCH)
    return element(
        "rect",
        x=area.left,
        y=(area.top + area.bottom - high) / 2,
        width=area.width,
        height=high,
        fill="none",
        pointer_events="all",
    )


@dataclass(frozen=True, slots=True)
class Rows:
    """Where rows of words begin, and which way they go on: down (1) or up (-1)."""

    base: float
    down: int

    def __iter__(self) -> Iterator[float]:
        return (self.base + self.down * STEP * index for index in range(STEPS))


def span(
    pen: Lettering,
    name: str,
    words: str,
    ends: tuple[float, float],
    edges: tuple[float, float],
    rows: Rows,
    *,
    dashed: bool,
) -> Svg:
    """Draw a dimension along the axis in the first row that has room for it: `ends` in x.

    `edges` are the heights at which its two extension lines begin. Words that do not fit between the arrows stand to
    the right, or to the left.
    """
    (start, first), (end, last) = sorted(zip(ends, edges, strict=True))
    shown, wide = pen.fitted(name, words)
    free: tuple[Box, list[Stroke], float] | None = None
    for y in rows:
        for x, off in _beside(start, end, wide):
            area = pen.area(wide, (x, y + off * rows.down * pen.size * 0.85))
            strokes = [*_along(start, end, y, area), ((start, first), (start, y)), ((end, last), (end, y))]
            if pen.paper.takes(area, strokes):
                return _spanned(pen, name, shown, (start, end), (area, strokes, y), dashed=dashed)
            if free is None and pen.paper.has_room(area):
                free = (area, strokes, y)
    return _spanned(pen, name, shown, (start, end), free or _lowest(pen, wide, (start, end)), dashed=dashed)


def _lowest(pen: Lettering, wide: float, ends: tuple[float, float]) -> tuple[Box, list[Stroke], float]:
    """Where nothing else has room: under everything on the sheet, as near as its edges let."""
    y = pen.paper.under + pen.size
    middle = min(max(sum(ends) / 2, wide / 2 + EDGE), pen.width - wide / 2 - EDGE)
    columns = [((x, y - pen.size), (x, y)) for x in ends]
    area = pen.area(wide, (middle, y + pen.size))
    return area, [((ends[0], y), (ends[1], y)), *columns], y


def _spanned(
    pen: Lettering,
    name: str,
    shown: str,
    ends: tuple[float, float],
    found: tuple[Box, list[Stroke], float],
    *,
    dashed: bool,
) -> Svg:
    area, strokes, y = found
    pen.paper.put(area, strokes)
    return pen.put(name, _drawn(strokes, *ends, y, area, dashed=dashed), shown, area)


def _beside(start: float, end: float, wide: float) -> list[tuple[float, int]]:
    """List where a dimension's words may stand, and whether off its line: on it, beyond it, after it, before it."""
    middle = (start + end) / 2
    if wide + 24 < end - start:
        return [(middle, 0), (start + 12 + wide / 2, 0), (end - 12 - wide / 2, 0), (middle, 1)]
    out = [(end + 18 + wide / 2, 0), (start - 18 - wide / 2, 0)]
    return [(middle, 1), *out] if wide < end - start + 40 else [*out, (middle, 1)]


def _along(start: float, end: float, y: float, area: Box) -> list[Stroke]:
    """Give the line itself, left out where its words stand."""
    if not area.top < y < area.bottom:
        return [((start, y), (end, y))]
    if start < area.left and area.right < end:
        return [((start, y), (area.left, y)), ((area.right, y), (end, y))]
    if area.left > end:
        return [((start - 16, y), (area.left, y))]
    return [((area.right, y), (end + 16, y))]


def _drawn(strokes: Sequence[Stroke], start: float, end: float, y: float, area: Box, *, dashed: bool) -> str:
    """Draw line, extension lines and arrows: outwards with room for the words, inwards without."""
    *along, first, last = strokes
    pieces = [line(*stroke, THIN, "5 4" if dashed else None) for stroke in along]
    for (x, edge), (_x, low) in (first, last):
        down = 3 if low > edge else -3
        pieces.append(line((x, edge + down), (x, low + down), THIN))
    if not area.top < y < area.bottom or (start < area.left and area.right < end):
        return "".join(pieces) + arrow((start, y), (end, y)) + arrow((end, y), (start, y))
    return "".join(pieces) + arrow((start, y), (start - 16, y)) + arrow((end, y), (end + 16, y))


def pointed(
    pen: Lettering,
    name: str,
    words: str,
    targets: Sequence[Point],
    rows: Sequence[Rows],
    *,
    dot: bool = False,
) -> Svg:
    """Draw words with a leader to the target that they can be nearest to, without covering anything."""
    shown, wide = pen.fitted(name, words)
    chosen: tuple[Box, list[Stroke]] | None = None
    for _cost, y, away, target in sorted(_places(pen, targets, rows)):
        touch = target[0] + away
        area = pen.area(wide, (touch + wide / 2 if away > 0 else touch - wide / 2, y))
        knee = (touch + (-8 if away > 0 else 8), y)
        strokes: list[Stroke] = [(target, knee), (knee, (touch, y))]
        if pen.paper.takes(area, strokes, leads=True):
            chosen = (area, strokes)
            break
        if chosen is None and pen.paper.has_room(area):
            chosen = (area, strokes)
    if chosen is None:
        area, _along, y = _lowest(pen, wide, (targets[0][0],) * 2)
        chosen = (area, [(targets[0], (targets[0][0], y)), ((targets[0][0], y), (targets[0][0], y))])
    pen.paper.put(*chosen, leads=True)
    (target, knee), (_knee, end) = chosen[1]
    return pen.put(name, leader(target, knee, end, dot=dot), shown, chosen[0])


def _places(
    pen: Lettering, targets: Sequence[Point], rows: Sequence[Rows]
) -> Iterator[tuple[float, float, float, Point]]:
    """Give every place with what it costs: how far it is from its target, sideways less than up or down."""
    far = [12.0 + STEP * 5 * index for index in range(AWAY)]
    for target, some in product(targets, rows):
        for y, away, way in product(list(some)[::2], far, (1, -1)):
            yield (abs(y - target[1]) + away * SIDEWAYS, y, way * away, target)

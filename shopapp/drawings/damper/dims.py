"""Draw the dimension lines with their words: the drawing's index to the readings."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from shopapp.drawings.strokes import THIN, Box, arrow, box, leader, text, text_width
from shopapp.drawings.svg import Point, Svg, element, group, line

GAP = 6.0


@dataclass(frozen=True, slots=True)
class Lettering:
    """How dimensions are written: size, which one is open, and where each leads."""

    size: float
    width: float
    opened: str = ""
    links: Mapping[str, str] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)

    def put(self, name: str, drawn: str, label: Box) -> Svg:
        """Close one dimension as a group of the blue ink, linked where it has an entry."""
        if name in self.links:
            touch = element(
                "rect",
                x=label.left,
                y=label.top - 3,
                width=label.width,
                height=label.height + 6,
                fill="none",
                pointer_events="all",
            )
            drawn = element("a", drawn, touch, href=self.links[name], aria_label=self.names.get(name))
        return group(drawn, ink="dim", data_dim=name)

    def label(self, name: str, words: str, centre: Point) -> tuple[Svg, Box]:
        """Write a dimension's words round a point; the open one is boxed and bold."""
        wide = text_width(words, self.size) + 8
        area = Box(
            centre[0] - wide / 2,
            centre[1] - self.size * 0.68,
            centre[0] + wide / 2,
            centre[1] + self.size * 0.68,
        )
        is_open = name == self.opened
        written = text(centre, words, self.size, anchor="middle", bold=is_open)
        return (Svg(box(area, 2) + written) if is_open else written), area


def span(
    pen: Lettering,
    name: str,
    words: str,
    ends: tuple[float, float],
    y: float,
    edges: tuple[float, float],
    *,
    dashed: bool,
) -> Svg:
    """Draw a dimension along the axis: `ends` in x, its row at `y`.

    `edges` are the heights at which its two extension lines begin.
    Words that do not fit between the arrows stand to the right, or to the left where the sheet ends.
    """
    start, end = min(ends), max(ends)
    wide = text_width(words, pen.size) + 8
    inside = wide + 34 < end - start
    label, area = pen.label(name, words, _beside(pen, wide, start, end, y, inside))
    down = 3 if y > edges[0] else -3
    extensions = [
        line((x, edge + down), (x, y + down), THIN)
        for x, edge in zip((start, end), (edges if ends[0] <= ends[1] else edges[::-1]), strict=True)
    ]
    dash = "5 4" if dashed else None
    return pen.put(name, "".join([*extensions, _stroke(start, end, y, area, inside, dash), label]), area)


def _beside(pen: Lettering, wide: float, start: float, end: float, y: float, inside: bool) -> Point:
    if inside:
        return ((start + end) / 2, y)
    after = end + 18 + wide / 2
    return (after, y) if after + wide / 2 <= pen.width - 2 else (start - 18 - wide / 2, y)


def _stroke(start: float, end: float, y: float, area: Box, inside: bool, dash: str | None) -> str:
    """Draw the line with its arrows: outwards with room for the words, inwards without."""
    if inside:
        left, right = (
            line((start, y), (area.left, y), THIN, dash),
            line((area.right, y), (end, y), THIN, dash),
        )
        return left + right + arrow((start, y), (end, y)) + arrow((end, y), (start, y))
    before, after = (start - 16, end + 16)
    pieces = [line((before, y), (after if area.left > end else end + 16, y), THIN, dash)]
    return "".join(pieces) + arrow((start, y), (before, y)) + arrow((end, y), (after, y))


def pointed(pen: Lettering, name: str, words: str, target: Point, at: Point, *, dot: bool = False) -> Svg:
    """Draw words with a leader to a target; `at` is where they begin (they end there if it lies right)."""
    wide = text_width(words, pen.size) + 8
    leftwards = target[0] > at[0]
    centre = (at[0] - wide / 2, at[1]) if leftwards else (at[0] + wide / 2, at[1])
    label, area = pen.label(name, words, centre)
    touch = area.right if leftwards else area.left
    knee = (touch + (8 if leftwards else -8), at[1])
    return pen.put(name, leader(target, knee, (touch, at[1]), dot=dot) + label, area)

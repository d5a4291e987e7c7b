"""Draw what technical drawings are made of: hatching, liquid, text, dimension lines, leaders."""

from dataclasses import dataclass

from shopapp.drawings.svg import SHEET, Point, Svg, element, escape, group, line, num, path, polygon

THICK = 1.9
THIN = 0.8
MOST_STROKES = 400
FACES = "B612, Sheet Caption, sans-serif"
CAPTION_FACES = "Sheet Caption, B612, sans-serif"


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle by its edges."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


def box(area: Box, width: float = THICK, *, fill: str = SHEET, dash: str | None = None) -> Svg:
    """Draw a rectangle, by default over the paper; `fill` may be none or currentColor."""
    return element(
        "rect",
        x=area.left,
        y=area.top,
        width=area.width,
        height=area.height,
        fill=fill,
        data_ink="sheet" if fill == SHEET else None,
        stroke="currentColor" if width else None,
        stroke_width=width or None,
        stroke_dasharray=dash,
    )


def hatch(area: Box, *, step: float = 4.5, falling: bool = False) -> Svg:
    """Draw hatching at 45° inside a rectangle; neighbours take opposite directions (`falling`).

    Wider apart where there would be more strokes than anybody tells apart.
    """
    step = max(step, (area.width + area.height) / MOST_STROKES)
    parts = []
    offset = step / 2
    while offset < area.width + area.height:
        start = (area.left + min(offset, area.width), area.top + max(0.0, offset - area.width))
        end = (area.left + max(0.0, offset - area.height), area.top + min(offset, area.height))
        if falling:
            start, end = (_mirror(area, start), _mirror(area, end))
        parts.append(f"M{num(start[0])} {num(start[1])}L{num(end[0])} {num(end[1])}")
        offset += step
    return path("".join(parts), THIN)


def _mirror(area: Box, point: Point) -> Point:
    return (area.left + area.right - point[0], point[1])


def liquid(area: Box, *, step: float = 6) -> Svg:
    """Draw a liquid: broken dashes in rows, each row set off against the next."""
    parts, row, y = [], 0, area.top + step * 0.7
    while y < area.bottom - 1:
        x = area.left + 3 + (row % 2) * 7
        while x < area.right - 2:
            parts.append(f"M{num(x)} {num(y)}H{num(min(x + 8, area.right - 1))}")
            x += 14
        y += step
        row += 1
    return path("".join(parts), THIN) if parts else Svg("")


NARROW = frozenset(" .,:il|'")
WIDE = frozenset("mwMW%…⅛⅜⅝⅞½¼¾")


def text_width(words: str, size: float) -> float:
    """Estimate how wide a text in B612 is, to the wide side: its digits are 0.65 em, m and w the widest letters."""
    wide = (
        0.3 if c in NARROW else 0.95 if c in WIDE else 0.65 if c.isdigit() or c.isupper() else 0.6
        for c in words
    )
    return size * sum(wide)


def text(
    at: Point, words: str, size: float, *, anchor: str = "start", bold: bool = False, caption: bool = False
) -> Svg:
    """Write words with the middle of their line at a point."""
    return element(
        "text",
        escape(words),
        x=at[0],
        y=at[1] + size * 0.35,
        font_family=CAPTION_FACES if caption else FACES,
        font_size=size,
        font_weight="700" if bold else None,
        text_anchor=anchor if anchor != "start" else None,
        fill="currentColor",
    )


def arrow(tip: Point, towards: Point, *, length: float = 9) -> Svg:
    """Draw a slender arrowhead at `tip`, coming from the direction of the other point."""
    dx, dy = towards[0] - tip[0], towards[1] - tip[1]
    size = (dx * dx + dy * dy) ** 0.5 or 1.0
    ux, uy = dx / size, dy / size
    back = (tip[0] + ux * length, tip[1] + uy * length)
    return polygon([tip, (back[0] - uy * 1.7, back[1] + ux * 1.7), (back[0] + uy * 1.7, back[1] - ux * 1.7)])


def axis_line(start: Point, end: Point) -> Svg:
    """Draw a chain line, as an axis is drawn."""
    return group(line(start, end, THIN, "14 3 3 3"), ink="rule")


def leader(start: Point, knee: Point, end: Point, *, dot: bool = False) -> Svg:
    """Draw a leader from a face (a dot) or an edge (an arrow) over a knee to its words."""
    points = f"M{num(start[0])} {num(start[1])}L{num(knee[0])} {num(knee[1])}L{num(end[0])} {num(end[1])}"
    head = (
        element("circle", cx=start[0], cy=start[1], r=1.8, fill="currentColor") if dot else arrow(start, knee)
    )
    return Svg(path(points, THIN) + head)

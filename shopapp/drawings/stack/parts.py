"""Draw what both drawings of shims have: discs, piston, clamp washer, pin, balloons, the note below."""

from shopapp.drawings.stack.numbers import StackWords
from shopapp.drawings.strokes import THICK, THIN, Box, box, hatch, text, text_width
from shopapp.drawings.svg import SHEET, Point, Svg, circle, element, group, line, num, path

EDGE = 1.4
FORMER = "9 3 2 3 2 3"
"""The long-dash double-dot line: where a part was, or would have been."""

AWAITED = "4 3"


def disc_box(
    area: Box, *, crossover: bool, hatched: str = "", dash: str | None = None, width: float = EDGE
) -> Svg:
    """Draw a disc, or half of one: a crossover shim is solid, one that differs hatched, a former one an outline."""
    if dash:
        inside = Box(area.left, area.top + 2, area.right, max(area.top + 2, area.bottom - 2))
        return box(inside, 1.1, fill="none", dash=dash)
    drawn = box(area, width, fill="currentColor" if crossover else SHEET)
    if hatched and not crossover:
        drawn = Svg(drawn + hatch(area, step=4, falling=hatched == "falling"))
    return drawn


def fitted(words: str, size: float, room: float) -> str:
    """Cut words short where they would run out of their column; a stack's own never do."""
    if text_width(words, size) <= room:
        return words
    kept = words[: max(1, int(room / (size * 0.3)))]
    while len(kept) > 1 and text_width(kept + "…", size) > room:
        kept = kept[:-1]
    return kept + "…"


def piston(centre: float, half: float, top: float, height: float, *, known: bool) -> Svg:
    """Draw the piston in section; dashed where its diameter is not known. Its height is not to scale."""
    area = Box(centre - half, top, centre + half, top + height)
    return group(box(area, THICK, dash=None if known else "8 5"), hatch(area, step=5), data_part="piston")


def washer(centre: float, half: float, top: float, height: float, *, known: bool) -> Svg:
    """Draw the clamp washer in section; dashed and open where it is not measured. Its height is not to scale."""
    area = Box(centre - half, top, centre + half, top + height)
    drawn = box(area, EDGE, dash=None if known else "5 4")
    return group(drawn, hatch(area, step=4, falling=True) if known else "", data_part="clamp")


def pin(centre: float, half: float, top: float, bottom: float, *, broken: tuple[bool, bool]) -> Svg:
    """Draw the rod through the stacks, seen from outside: never hatched, its ends broken off or plain."""
    sides = [line((centre + x, top), (centre + x, bottom), EDGE) for x in (-half, half)]
    fill = element(
        "rect", x=centre - half, y=top, width=2 * half, height=bottom - top, fill=SHEET, data_ink="sheet"
    )
    ends = [
        _break(centre, half, y) if is_broken else line((centre - half, y), (centre + half, y), EDGE)
        for y, is_broken in zip((top, bottom), broken, strict=True)
    ]
    return group(fill, *sides, *ends, data_part="pin")


def _break(centre: float, half: float, y: float) -> Svg:
    reach, rise = half + 5, 3.5
    points = [
        (-reach, 0),
        (-half * 0.35, 0),
        (-half * 0.15, -rise),
        (half * 0.15, rise),
        (half * 0.35, 0),
        (reach, 0),
    ]
    return path("M" + "L".join(f"{num(centre + x)} {num(y + dy)}" for x, dy in points), THIN)


def balloon(at: Point, number: int, size: float) -> Svg:
    """Draw a number in a circle; two digits are set a little smaller, so that they fit."""
    figure = str(number)
    return group(
        circle(at, size * 0.66, 1.3),
        text(at, figure, size if len(figure) == 1 else size * 0.86, anchor="middle"),
    )


def notes(words: StackWords, factor: int, top: float, size: float, *, crossover: bool) -> tuple[Svg, float]:
    """Write how much thicker than true the discs are, and what the solid one is; give the height that it takes."""
    pitch = size * 1.4
    drawn = [text((2, top + pitch / 2), words.scale(factor), size, caption=True)]
    if crossover:
        key = Box(3, top + pitch * 1.5 - size * 0.3, 3 + size * 1.6, top + pitch * 1.5 + size * 0.3)
        drawn += [
            box(key, EDGE, fill="currentColor"),
            text((key.right + size * 0.5, top + pitch * 1.5), words.crossover, size, caption=True),
        ]
    return group(*drawn), pitch * (2 if crossover else 1)

"""Put the half-section together: the parts, then the dimension lines in the places they find, then the findings."""

from collections.abc import Collection, Mapping, Sequence

from shopapp.drawings.damper.balloons import Balloon, balloons_on
from shopapp.drawings.damper.dims import Lettering
from shopapp.drawings.damper.layout import Layout, layout
from shopapp.drawings.damper.numbers import DamperNumbers, Dimension, SectionWords, asked, sizes
from shopapp.drawings.damper.paper import Paper
from shopapp.drawings.damper.parts import body_parts
from shopapp.drawings.damper.reservoir import reservoir_parts
from shopapp.drawings.damper.rows import Drawn, dimensions
from shopapp.drawings.damper.twin import names, spoken
from shopapp.drawings.strokes import Box
from shopapp.drawings.svg import Svg, group, root

DROP = 8.0


def damper_section(
    numbers: DamperNumbers,
    *,
    words: SectionWords | None = None,
    width: float = 600,
    text_size: float = 18,
    opened: str = "",
    links: Mapping[str, str] | None = None,
    balloons: Sequence[Balloon] = (),
    shown: Collection[str] | None = None,
    most_half: float | None = None,
) -> Svg:
    """Draw a damper of any construction, rod fully out, from its numbers.

    What is not measured is dashed and carries "?". `opened` names the dimension whose entry is open (it is
    boxed); `links` leads a dimension's name to its entry. `width` is in pixels at natural size, the height
    follows from the numbers. A length that does not fit the others is drawn as far as it goes and says so.
    `balloons` are the findings: each is led to its part. `shown` names the figures that are written out, where
    not all of them are: a part is drawn by its number all the same. `most_half` bounds the height of a stout
    damper by drawing all of it smaller.
    """
    said = words or SectionWords()
    place = _placed(numbers, width, text_size, most_half)
    paper = Paper(width, _solids(place))
    pen = Lettering(text_size, paper, opened, links or {}, names(numbers, said))
    has = asked(numbers)
    sheet = Drawn(numbers, said, place, pen, unmeasured(numbers), has if shown is None else has & set(shown))
    written = [*dimensions(sheet), *balloons_on(sheet, balloons)]
    tank = place.reservoir
    top, bottom = _extent(paper)
    drawn = group(
        reservoir_parts(place.body, tank, sheet.dashed) if tank is not None else "",
        body_parts(place.body, sheet.dashed),
        *written,
        transform=f"translate(0 {round(top)})",
    )
    return root(width, round(top + bottom), drawn, label=spoken(numbers, said, balloons), linked=bool(links))


def _placed(numbers: DamperNumbers, width: float, text_size: float, most_half: float | None) -> Layout:
    """Lay the parts out; a reservoir that reaches under the rod leaves room for the stroke's row over it."""
    place = layout(sizes(numbers), width, drop=DROP, most_half=most_half)
    if place.reservoir is not None and place.reservoir.right > place.body.seal - 24:
        place = layout(sizes(numbers), width, drop=text_size * 1.9, most_half=most_half)
    return place


def _solids(place: Layout) -> list[Box]:
    """Give the rectangles of the parts, which no words may cover."""
    body, tank = place.body, place.reservoir
    half = max(body.reach + 2, body.eye)
    found = [Box(0, -half, body.right_eye + body.eye, half)]
    if tank is not None:
        hose = (body.block + body.face) / 2
        found += [
            Box(tank.left - 14, tank.axis - tank.outer, tank.right + 14, tank.axis + tank.outer),
            Box(hose - 8, 0, hose + 8, tank.axis + 7),
            Box(hose - 8, tank.axis - 12, tank.left, tank.axis + 7),
        ]
    return found


def _extent(paper: Paper) -> tuple[float, float]:
    """Say how far the drawing reaches above its axis and below it."""
    boxes = [*paper.solids, *paper.texts]
    return 4 - min(area.top for area in boxes), max(area.bottom for area in boxes) + 4


def unmeasured(numbers: DamperNumbers) -> frozenset[str]:
    """Name every dimension that is asked for and not there."""
    pairs = ((name, getattr(numbers, name)) for name in asked(numbers))
    return frozenset(name for name, value in pairs if isinstance(value, Dimension) and not value.measured)

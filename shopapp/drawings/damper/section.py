"""Put the half-section together: the parts, then the dimension lines in their rows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

from shopapp.drawings.damper.balloons import Balloon, balloon_row, is_above, radius, room
from shopapp.drawings.damper.dims import Lettering, pointed, span
from shopapp.drawings.damper.layout import Layout, layout
from shopapp.drawings.damper.numbers import DamperNumbers, Dimension, SectionWords, sizes
from shopapp.drawings.damper.parts import body_parts
from shopapp.drawings.damper.reservoir import reservoir_parts
from shopapp.drawings.damper.twin import names, spoken
from shopapp.drawings.strokes import text, text_width
from shopapp.drawings.svg import Svg, group, root


@dataclass(frozen=True, slots=True)
class _Sheet:
    """All that the rows of dimensions need."""

    numbers: DamperNumbers
    words: SectionWords
    place: Layout
    pen: Lettering
    dashed: frozenset[str]

    def caption(self, name: str, *, prefix: str = "", named: bool = True) -> str:
        """Word one dimension: its name, the figure as typed or "?", and a note where it is not to scale."""
        dimension: Dimension = getattr(self.numbers, name)
        word = getattr(self.words, name) + " " if named else ""
        note = f", {self.words.not_to_scale}" if name in self.place.off_scale else ""
        return f"{word}{prefix}{dimension.shown}{note}"


def damper_section(
    numbers: DamperNumbers,
    *,
    words: SectionWords | None = None,
    width: float = 600,
    text_size: float = 18,
    opened: str = "",
    links: Mapping[str, str] | None = None,
    balloons: Sequence[Balloon] = (),
) -> Svg:
    """Draw a damper with a remote reservoir and an IFP, rod fully out, from its numbers.

    What is not measured is dashed and carries "?". `opened` names the dimension whose entry is open (it is
    boxed); `links` leads a dimension's name to its entry. `width` is in pixels at natural size, the height
    follows from the numbers. A length that does not fit the others is drawn as far as it goes and says so.
    `balloons` are the findings: each is led to its part.
    """
    said = words or SectionWords()
    place = _placed(numbers, width, text_size)
    pen = Lettering(text_size, width, opened, links or {}, names(numbers, said))
    sheet = _Sheet(numbers, said, place, pen, unmeasured(numbers))
    top = place.body.reach + text_size * 2.9
    dimensions, bottom = _dimensions(sheet)
    rows, above, below = _findings(sheet, balloons, -top, bottom)
    top, bottom = top + above, bottom + below
    drawn = group(
        reservoir_parts(place.body, place.reservoir, sheet.dashed),
        body_parts(place.body, sheet.dashed),
        _oil_words(sheet),
        *dimensions,
        *rows,
        transform=f"translate(0 {round(top)})",
    )
    return root(width, round(top + bottom), drawn, label=spoken(numbers, said, balloons), linked=bool(links))


def _findings(
    sheet: _Sheet, balloons: Sequence[Balloon], top: float, bottom: float
) -> tuple[list[Svg], float, float]:
    """Draw the findings' rows; also give how much room they take above the drawing and below it."""
    size, width = sheet.pen.size, sheet.pen.width
    above = [one for one in balloons if is_above(one)]
    below = [one for one in balloons if not is_above(one)]
    edge = radius(size) + 5
    rows = [
        balloon_row(sheet.place, some, y=y, width=width, size=size)
        for some, y in ((above, top - edge), (below, bottom + edge))
        if some
    ]
    return rows, room(size) if above else 0.0, room(size) if below else 0.0


def _placed(numbers: DamperNumbers, width: float, text_size: float) -> Layout:
    """Lay the parts out; a reservoir that reaches under the rod makes room for the rows of words there."""
    drop = text_size * 2.3 if numbers.body_bore is not None else 8
    place = layout(sizes(numbers), width, drop=drop)
    if place.reservoir.right > place.body.seal - 24:
        place = layout(sizes(numbers), width, drop=text_size * 4.6)
    return place


def unmeasured(numbers: DamperNumbers) -> frozenset[str]:
    """Name every dimension that is asked for and not there."""
    pairs = ((f.name, getattr(numbers, f.name)) for f in fields(numbers))
    return frozenset(name for name, value in pairs if isinstance(value, Dimension) and not value.measured)


def _dimensions(sheet: _Sheet) -> tuple[list[Svg], float]:
    """Draw every dimension asked for; also give the lowest edge of the drawing below the axis."""
    above = _above(sheet)
    below, last = _below(sheet)
    tank, bottom = _on_reservoir(sheet, last)
    return [*above, *below, *tank], bottom


def _above(sheet: _Sheet) -> list[Svg]:
    body, pen, numbers = sheet.place.body, sheet.pen, sheet.numbers
    row = -body.reach - pen.size * 0.85
    drawn = []
    if numbers.preload is not None:
        drawn.append(
            span(
                pen,
                "preload",
                sheet.caption("preload", named=False),
                (body.face, body.ring),
                row,
                (-body.outer - 3, -body.reach),
                dashed="preload" in sheet.dashed,
            )
        )
    if numbers.eye_centres is not None:
        y = row - pen.size * 1.2
        drawn.append(
            span(
                pen,
                "eye_centres",
                sheet.caption("eye_centres", named=False),
                (body.left_eye, body.right_eye),
                y,
                (-body.eye - 6, -body.eye - 6),
                dashed="eye_centres" in sheet.dashed,
            )
        )
    return drawn


def _below(sheet: _Sheet) -> tuple[list[Svg], float]:
    """Draw stroke, rod and bore in the rows under the spring; also give the last row's height."""
    body, pen, numbers = sheet.place.body, sheet.pen, sheet.numbers
    row = body.reach + pen.size * 0.85
    drawn: list[Svg] = []
    last = body.reach
    if numbers.body_bore is not None:
        at, words = (body.face + 34, row), sheet.caption("body_bore", prefix="⌀ ")
        drawn.append(pointed(pen, "body_bore", words, (body.face + 12, body.outer), at))
        if at[0] + text_width(words, pen.size) > body.seal - 10:
            row += pen.size * 1.35
    if numbers.stroke is not None:
        drawn.append(
            span(
                pen,
                "stroke",
                sheet.caption("stroke"),
                (body.seal, body.retainer - 8),
                row,
                (body.outer, body.rod),
                dashed="stroke" in sheet.dashed,
            )
        )
        last = row
    if numbers.rod_diameter is not None:
        last = (row + pen.size * 1.35) if numbers.stroke is not None else row
        target = (body.retainer - 3, body.rod)
        drawn.append(
            pointed(
                pen,
                "rod_diameter",
                sheet.caption("rod_diameter", prefix="⌀ "),
                target,
                (body.retainer - 20, last),
            )
        )
    return drawn, last


def _on_reservoir(sheet: _Sheet, last: float) -> tuple[list[Svg], float]:
    """Draw charge, IFP depth, bore and length of the reservoir, each in a row of its own."""
    tank, pen, numbers = sheet.place.reservoir, sheet.pen, sheet.numbers
    step = pen.size * 1.35
    drawn: list[Svg] = []
    edge = tank.axis + tank.outer
    row = max(tank.axis + tank.half * 0.5, last + step)
    if numbers.gas is not None:
        row = _gas(sheet, drawn, row)
    if numbers.reservoir_bore is not None:
        words = sheet.caption("reservoir_bore", prefix="⌀ ")
        drawn.append(pointed(pen, "reservoir_bore", words, (tank.right, row + 2), (tank.right + 26, row + 2)))
        row += step + 2
    row = max(row, edge + pen.size * 0.9)
    for name, left in (("ifp_depth", tank.gas_face), ("reservoir_length", tank.left)):
        if getattr(numbers, name) is None:
            continue
        heights = (edge if name != "ifp_depth" else tank.axis, edge)
        drawn.append(
            span(
                pen, name, sheet.caption(name), (left, tank.right), row, heights, dashed=name in sheet.dashed
            )
        )
        row += step
    return drawn, max(edge + 4, row - step + pen.size * 0.8)


def _gas(sheet: _Sheet, drawn: list[Svg], row: float) -> float:
    """Write the charge beside the reservoir with a leader into the gas; give the next row."""
    tank, pen = sheet.place.reservoir, sheet.pen
    words = f"{sheet.words.gas} {sheet.numbers.gas or '?'}"
    x = tank.right + 26
    beside = row - pen.size * 1.35
    if beside > tank.axis and x + text_width(words, pen.size) + 16 < _rod_words_left(sheet):
        row = beside
    if x + text_width(words, pen.size) + 8 > pen.width:
        x = max(4.0, pen.width - text_width(words, pen.size) - 12)
        row = max(row, tank.axis + tank.outer + pen.size * 0.9)
    target = ((tank.gas_face + tank.right - 17) / 2, tank.axis - tank.half * 0.4)
    drawn.append(pointed(pen, "gas", words, target, (x, row), dot=True))
    return row + pen.size * 1.35


def _rod_words_left(sheet: _Sheet) -> float:
    """Say where the rod's words begin, as `_below` places them; the sheet's edge if there are none."""
    if sheet.numbers.rod_diameter is None:
        return sheet.pen.width
    words = sheet.caption("rod_diameter", prefix="⌀ ")
    return sheet.place.body.retainer - 28 - text_width(words, sheet.pen.size)


def _oil_words(sheet: _Sheet) -> Svg:
    """Write the oil on the reservoir's outside, where no line crosses it."""
    if sheet.numbers.oil is None:
        return Svg("")
    tank = sheet.place.reservoir
    words = f"{sheet.words.oil} {sheet.numbers.oil or '?'}"
    room = tank.gas_face - tank.left - 18
    size = min(sheet.pen.size, tank.half * 0.8, room / max(1.0, text_width(words, 1)))
    return group(text((tank.left + 12, tank.axis + tank.half * 0.5), words, size), data_dim="oil")

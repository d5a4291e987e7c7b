"""Draw both sides of a piston with their shims to scale, each numbered from the piston's face."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from shopapp.drawings.stack.numbers import Disc, Fit, StackWords
from shopapp.drawings.stack.parts import balloon, disc_box, fitted, notes, pin, piston, washer
from shopapp.drawings.stack.scale import Scale, scale, spread
from shopapp.drawings.strokes import THIN, Box, axis_line, box, text, text_width
from shopapp.drawings.svg import Svg, circle, group, num, path, root


@dataclass(frozen=True, slots=True)
class _Pen:
    """What every piece needs: scale, where the columns are, how words are set."""

    scale: Scale
    fit: Fit
    words: StackWords
    size: float
    width: float
    centre: float
    column: float

    @property
    def pitch(self) -> float:
        return self.size * 1.45

    @property
    def washer(self) -> float:
        return self.size * 0.6

    @property
    def stub(self) -> float:
        return self.size * 0.8


@dataclass(frozen=True, slots=True)
class _Side:
    """One stack by its offsets from the piston's face: the discs' edges and the rows of their words."""

    name: str
    discs: Sequence[Disc]
    edges: Sequence[float]
    rows: Sequence[float]
    clamp_row: float

    @property
    def stacked(self) -> float:
        return self.edges[-1]


def stack_drawing(
    compression: Sequence[Disc] | None,
    rebound: Sequence[Disc] | None,
    *,
    fit: Fit | None = None,
    words: StackWords | None = None,
    width: float = 400,
    text_size: float = 18,
    opened: tuple[str, int] | None = None,
) -> Svg:
    """Draw the compression stack over the piston and the rebound stack under it.

    Discs lie from the piston's face outwards. Diameters and thicknesses have one scale each; the drawing says how
    much thicker than true the discs are. A side that is None is not drawn, an empty one says so. `opened` is the
    side's name (`compression`, `rebound`) and the place (from 1) whose entry is open. `width` is in pixels at
    natural size; the height follows from the stacks. Heights of piston and clamp, and the rod, are conventional.
    """
    said = words or StackWords()
    every = [disc for side in (compression, rebound) for disc in side or ()]
    pen = _pen(every, fit or Fit(), said, width, text_size)
    above = None if compression is None else _side(pen, "compression", compression)
    below = None if rebound is None else _side(pen, "rebound", rebound)
    face = text_size * 1.6 + (_reach(pen, above) if above else pen.stub)
    thick = text_size * 1.5
    parts = [_put(pen, above, face, -1, opened)] if above else []
    parts += [_put(pen, below, face + thick, 1, opened)] if below else []
    rod = _rod(parts, face, face + thick, pen)
    bottom = face + thick + (_reach(pen, below) if below else pen.stub)
    drawn = [
        *(part.discs for part in parts),
        piston(pen.centre, pen.scale.piston, face, thick, known=pen.fit.piston_mm is not None),
        *(part.washer for part in parts),
        pin(pen.centre, pen.scale.pin, *rod, broken=(True, True)),
        axis_line((pen.centre, rod[0] - 4), (pen.centre, rod[1] + 4)),
        *(part.words for part in parts),
    ]
    titles, after = _titles(pen, above, below, bottom)
    note, height = notes(said, pen.scale.factor, after, text_size, crossover=any(d.crossover for d in every))
    label = _spoken(said, above, below, pen.scale.factor)
    return root(width, round(after + height + 3), *drawn, titles, note, label=label)


def _pen(every: Sequence[Disc], fit: Fit, words: StackWords, width: float, size: float) -> _Pen:
    """Divide the width: balloons left, words right, the stack between them with room for slanting leaders."""
    clamp = f"{words.clamp} ⌀ {_plain(fit.clamp_mm)}"
    widest = max(text_width(w, size) for w in [clamp, *(disc.shown for disc in every)])
    left, slant = size * 1.5, size * 1.1
    column = max(width * 0.45, width - widest - 6)
    room = max(width * 0.2, column - left - 2 * slant - 4)
    chosen = scale(every, fit, room, size * 1.45)
    return _Pen(chosen, fit, words, size, width, left + slant + room / 2, column)


def _plain(mm: float | None) -> str:
    return "?" if mm is None else f"{mm:.10g}"


def _side(pen: _Pen, name: str, discs: Sequence[Disc]) -> _Side:
    edges = [0.0]
    for disc in discs:
        edges.append(edges[-1] + pen.scale.thick(disc))
    middles = [(start + end) / 2 for start, end in pairwise(edges)]
    *placed, clamp = spread([*middles, edges[-1] + pen.washer / 2], pen.pitch)
    return _Side(name, discs, edges, placed, clamp)


def _reach(pen: _Pen, side: _Side) -> float:
    """Say how far a side reaches from the face: its rod, or its last words where they go further."""
    return max(side.stacked + pen.washer + pen.stub, side.clamp_row + pen.pitch / 2)


@dataclass(frozen=True, slots=True)
class _Put:
    """One side at its place: pieces in the order in which they cover each other, and where its rod ends."""

    discs: Svg
    washer: Svg
    words: Svg
    end: float
    direction: int


def _put(pen: _Pen, side: _Side, face: float, direction: int, opened: tuple[str, int] | None) -> _Put:
    drawn, words = [], []
    for index, disc in enumerate(side.discs):
        area = _area(pen, face, direction, pen.scale.half(disc), side.edges[index], side.edges[index + 1])
        is_open = opened == (side.name, index + 1)
        shape = disc_box(area, crossover=disc.crossover, width=2.6 if is_open else 1.4)
        drawn.append(group(shape, ink="dim" if is_open else "", data_place=f"{side.name} {index + 1}"))
        row = face + direction * side.rows[index]
        words.append(_worded(pen, disc, index + 1, area, row, is_open=is_open))
    end = side.stacked + pen.washer
    clamp = _area(pen, face, direction, pen.scale.clamp, side.stacked, end)
    known = pen.fit.clamp_mm is not None
    words.append(_clamp_words(pen, clamp, face + direction * side.clamp_row))
    return _Put(
        group(*drawn),
        washer(pen.centre, pen.scale.clamp, clamp.top, clamp.height, known=known),
        group(*words),
        face + direction * (end + pen.stub),
        direction,
    )


def _area(pen: _Pen, face: float, direction: int, half: float, start: float, end: float) -> Box:
    top, bottom = sorted((face + direction * start, face + direction * end))
    return Box(pen.centre - half, top, pen.centre + half, bottom)


def _worded(pen: _Pen, disc: Disc, place: int, area: Box, row: float, *, is_open: bool) -> Svg:
    """Number a disc on the left and write its figures on the right, each on a leader out of its face."""
    middle = (area.top + area.bottom) / 2
    radius = pen.size * 0.66
    number_at = (radius + 1, row)
    leaders = group(
        _leader(pen, area.left, middle, (number_at[0] + radius, row), -1),
        _leader(pen, area.right, middle, (pen.column - 4, row), 1),
        ink="rule",
    )
    shown = fitted(disc.shown, pen.size, pen.width - pen.column - 2)
    written = text((pen.column, row), shown, pen.size, bold=is_open)
    if is_open:
        wide, half = text_width(shown, pen.size) + 6, pen.size * 0.68
        label = box(Box(pen.column - 3, row - half, min(pen.width - 1, pen.column + wide), row + half), 2)
        written = group(label, written, ink="dim")
    return Svg(leaders + balloon(number_at, place, pen.size) + written)


def _leader(pen: _Pen, edge: float, middle: float, end: tuple[float, float], direction: int) -> Svg:
    """Lead from a dot in the disc's face straight past every other disc, then slanting to its words."""
    start = edge - direction * 6
    beyond = pen.centre + direction * max(pen.scale.piston, pen.scale.clamp) + direction * 3
    if (beyond - edge) * direction < 0:
        beyond = edge + direction * 3
    points = f"M{num(start)} {num(middle)}H{num(beyond)}L{num(end[0])} {num(end[1])}"
    return Svg(path(points, THIN) + circle((start, middle), 1.3, 0.6, fill="currentColor"))


def _clamp_words(pen: _Pen, area: Box, row: float) -> Svg:
    given = f"{pen.words.clamp} ⌀ {_plain(pen.fit.clamp_mm)}"
    words = fitted(given, pen.size, pen.width - pen.column - 2)
    lead = group(_leader(pen, area.right, (area.top + area.bottom) / 2, (pen.column - 4, row), 1), ink="rule")
    return Svg(lead + text((pen.column, row), words, pen.size, caption=True))


def _rod(parts: Sequence[_Put], face: float, back: float, pen: _Pen) -> tuple[float, float]:
    top = min((part.end for part in parts if part.direction < 0), default=face - pen.stub)
    return top, max((part.end for part in parts if part.direction > 0), default=back + pen.stub)


def _titles(pen: _Pen, above: _Side | None, below: _Side | None, bottom: float) -> tuple[Svg, float]:
    """Name the sides at the outer ends; with one side only its name stands on top. Give where the notes begin."""
    row, drawn = pen.size * 0.8, []
    after = bottom + pen.size * 0.3
    if above:
        drawn.append(_title(pen, above, row))
    if below:
        drawn.append(_title(pen, below, after + pen.size * 0.7 if above else row))
    return group(*drawn), after + (pen.size * 1.4 if above and below else 0)


def _title(pen: _Pen, side: _Side, row: float) -> Svg:
    name = str(getattr(pen.words, side.name))
    return text(
        (2, row), name if side.discs else f"{name}: {pen.words.empty}", pen.size, bold=True, caption=True
    )


def _spoken(words: StackWords, above: _Side | None, below: _Side | None, factor: int) -> str:
    """Say the whole drawing for the screen reader: every disc with its place."""
    told = [words.title]
    for side in (above, below):
        if side is None:
            continue
        told.append(str(getattr(words, side.name)) + ("" if side.discs else f": {words.empty}"))
        for place, disc in enumerate(side.discs, start=1):
            mark = f", {words.crossover}" if disc.crossover else ""
            told.append(f"{words.place} {place}: {disc.shown}{mark}")
    return ". ".join([*told, words.scale(factor)])

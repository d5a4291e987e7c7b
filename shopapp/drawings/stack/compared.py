"""Draw one side twice on one axis: what was taken out left, what goes back right, differences marked."""

from collections.abc import Sequence
from dataclasses import dataclass

from shopapp.drawings.stack.numbers import Disc, Fit, Row, StackWords
from shopapp.drawings.stack.parts import (
    AWAITED,
    FORMER,
    balloon,
    disc_box,
    fitted,
    notes,
    pin,
    piston,
    washer,
)
from shopapp.drawings.stack.scale import Scale, scale
from shopapp.drawings.strokes import Box, axis_line, box, text, text_width
from shopapp.drawings.svg import Svg, group, line, root


@dataclass(frozen=True, slots=True)
class _Pen:
    """What every row needs: scale, columns (places and words left and right), how words are set."""

    scale: Scale
    words: StackWords
    size: float
    width: float
    centre: float
    left: float
    right: float

    @property
    def pitch(self) -> float:
        return self.size * 1.45

    def fitted(self, disc: Disc) -> str:
        """Give a disc's words as they fit beside the places."""
        return fitted(disc.shown, self.size, self.left - self.size * 1.7)


def stack_comparison(
    rows: Sequence[Row],
    *,
    name: str = "",
    fit: Fit | None = None,
    words: StackWords | None = None,
    width: float = 390,
    text_size: float = 16,
    opened: int | None = None,
    like: Sequence[Row] = (),
) -> Svg:
    """Draw a comparison from the piston's face downwards; `name` is the side's.

    What is alike gets =; what differs is hatched and has a numbered line across the rod, in the order of the
    differences; where a shim is left out or added its counterpart is a long-dash double-dot outline; what is
    awaited is dashed with "?". A row is as high as its thicker disc, at least as its words. `opened` is the row
    (from 1) whose entry is open; `like` are the rows of the other side, so that both come out at one scale. `width`
    is in pixels at natural size.
    """
    said, held = words or StackWords(), fit or Fit()
    every = _discs(rows)
    pen = _pen([*every, *_discs(like)], held, said, width, text_size)
    heading, top = _heading(pen, name if rows else f"{name}: {said.empty}".removeprefix(": "))
    thick, stub, low = text_size * 0.9, text_size * 0.6, text_size * 0.6
    y = face = top + stub + thick
    halves, marks, number = [], [], 0
    for at, row in enumerate(rows, start=1):
        height = max([pen.pitch, *(pen.scale.thick(disc) for disc in (row.out, row.back) if disc)])
        number += row.differs
        halves.append(_halves(pen, row, y, height, is_open=at == opened))
        marks.append(_marks(pen, row, y + height / 2, number, is_open=at == opened))
        y += height
    drawn = [
        piston(pen.centre, pen.scale.piston, face - thick, thick, known=held.piston_mm is not None),
        *halves,
        washer(pen.centre, pen.scale.clamp, y + 1, low, known=held.clamp_mm is not None),
        pin(pen.centre, pen.scale.pin, top, y + low + stub, broken=(True, True)),
        axis_line((pen.centre, top - 4), (pen.centre, y + low + stub + 4)),
        *marks,
    ]
    end = y + low + stub + text_size * 0.3
    note, height = notes(said, pen.scale.factor, end, text_size, crossover=any(d.crossover for d in every))
    label = _spoken(said, name, rows, pen.scale.factor)
    return root(width, round(end + height + 3), heading, *drawn, note, label=label)


def _discs(rows: Sequence[Row]) -> list[Disc]:
    return [disc for row in rows for disc in (row.out, row.back) if disc is not None]


def _pen(every: Sequence[Disc], fit: Fit, words: StackWords, width: float, size: float) -> _Pen:
    """Divide the width: place and words on either side, the axis in the middle."""
    given = [disc.shown for disc in every] + [words.left_out, words.added]
    column = min(width * 0.36, max(text_width(w, size) for w in given) + size * 1.8 + 6)
    room = max(width * 0.2, width - 2 * column - size)
    return _Pen(scale(every, fit, room, size * 1.45), words, size, width, width / 2, column, width - column)


def _heading(pen: _Pen, name: str) -> tuple[Svg, float]:
    """Write the side's name, and out and back over the halves; in one line where they do not meet."""
    row = pen.size * 0.8
    meets = text_width(name, pen.size) > pen.centre - 14 - text_width(pen.words.out, pen.size)
    below = row + pen.size * 1.4 if meets and name else row
    drawn = [
        text((2, row), name, pen.size, bold=True, caption=True) if name else "",
        text((pen.centre - 10, below), pen.words.out, pen.size, anchor="end", caption=True),
        text((pen.centre + 10, below), pen.words.back, pen.size, caption=True),
    ]
    return group(*drawn), below + pen.size * 1.1


def _halves(pen: _Pen, row: Row, top: float, height: float, *, is_open: bool) -> Svg:
    """Draw the left and the right half of a row, each disc in the middle of the row's height."""
    middle = top + height / 2
    marked = row.differs
    left = _half(
        pen, row.out or row.back, middle, -1, FORMER if row.out is None else "", "falling" if marked else ""
    )
    ghost = FORMER if row.kind == "missing" else AWAITED if row.kind == "awaited" else ""
    right = _half(pen, row.back or row.out, middle, 1, ghost, "rising" if marked else "", is_open=is_open)
    return group(left, group(right, ink="dim") if is_open else right, data_row=row.kind)


def _half(
    pen: _Pen, disc: Disc | None, middle: float, side: int, ghost: str, hatched: str, *, is_open: bool = False
) -> Svg:
    if disc is None:
        return Svg("")
    high = pen.scale.thick(disc) / 2
    inner, outer = sorted((pen.centre + side * pen.scale.pin, pen.centre + side * pen.scale.half(disc)))
    width = 2.6 if is_open or hatched else 1.4
    area = Box(inner, middle - high, outer, middle + high)
    return disc_box(area, crossover=disc.crossover, hatched=hatched, dash=ghost or None, width=width)


def _marks(pen: _Pen, row: Row, y: float, number: int, *, is_open: bool) -> Svg:
    """Write what stands beside a row: places and words on either side, and the number across the rod."""
    drawn = [
        _place(pen, row.out_place, (2, y), "start"),
        _place(pen, row.back_place, (pen.width - 2, y), "end"),
        _out_words(pen, row, y),
        _back_words(pen, row, y, is_open=is_open),
    ]
    if row.differs:
        reach = pen.scale.pin + 3
        drawn.append(line((pen.centre - reach, y), (pen.centre + reach, y), 1.3))
        drawn.append(balloon((pen.centre, y), number, pen.size))
    return group(*drawn)


def _place(pen: _Pen, place: int | None, at: tuple[float, float], anchor: str) -> Svg:
    return Svg("") if place is None else group(text(at, str(place), pen.size, anchor=anchor), ink="cap")


def _out_words(pen: _Pen, row: Row, y: float) -> Svg:
    at = (pen.left, y)
    if row.out is None:
        return text(at, pen.words.added, pen.size, anchor="end", caption=True)
    return text(at, pen.fitted(row.out), pen.size, anchor="end", bold=row.differs)


def _back_words(pen: _Pen, row: Row, y: float, *, is_open: bool) -> Svg:
    at = (pen.right, y)
    if is_open:
        shown = pen.fitted(row.back) if row.back else "?"
        half = pen.size * 0.68
        frame = Box(at[0] - 4, y - half, at[0] + text_width(shown, pen.size) + 8, y + half)
        return group(box(frame, 2), text(at, shown, pen.size, bold=True), ink="dim")
    if row.kind == "same":
        bars = [line((at[0], y + dy), (at[0] + pen.size * 0.7, y + dy), 1.3) for dy in (-2.8, 2.8)]
        return group(*bars)
    if row.kind == "missing":
        return text(at, pen.words.left_out, pen.size, caption=True)
    return text(at, pen.fitted(row.back) if row.back else "?", pen.size, bold=row.differs)


def _spoken(words: StackWords, name: str, rows: Sequence[Row], factor: int) -> str:
    """Say the comparison for the screen reader, row by row, with the numbers of the differences."""
    told = [f"{name or words.title}, {words.out}, {words.back}" + ("" if rows else f": {words.empty}")]
    number = 0
    for row in rows:
        number += row.differs
        mark = f", {words.difference} {number}" if row.differs else ""
        place = row.out_place if row.back_place is None else row.back_place
        told.append(f"{words.place} {'' if place is None else place}: {_row_words(words, row)}{mark}")
    return ". ".join([*told, words.scale(factor)])


def _row_words(words: StackWords, row: Row) -> str:
    out, back = (disc.shown if disc else "" for disc in (row.out, row.back))
    mark = f", {words.crossover}" if any(disc and disc.crossover for disc in (row.out, row.back)) else ""
    told = {
        "same": f"{back}, {words.alike}",
        "changed": f"{back} {words.instead} {out}",
        "missing": f"{out}, {words.left_out}",
        "added": f"{back}, {words.added}",
        "awaited": f"{out}, {words.awaited}",
    }
    return told[row.kind] + mark

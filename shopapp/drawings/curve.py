"""Draw a small curve: readings of one figure over time, left to right, each with its mark; limits as two rules.

The figures stand beside it in a table: the curve shows which way things go, the table what they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shopapp.drawings.marks import reading_shape
from shopapp.drawings.strip import judge
from shopapp.drawings.strokes import text
from shopapp.drawings.svg import Point, Svg, group, line, num, path, root

MARGIN_LEFT, MARGIN_RIGHT, MARGIN_TOP, MARGIN_BOTTOM = 64.0, 14.0, 12.0, 28.0
MARK = 5.0
TEXT = 14.0
LEAST_SHARE = 0.02
"""How much of a figure its scale spans at the least: a wobble of a thousandth is no cliff."""


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One reading. `when` orders them and gives the distance (days, or any unit).

    `text` is the figure as it was typed, for the scale's ends; `shown` stands under the first and the last.
    """

    when: float
    value: float
    text: str
    shown: str


def curve(
    points: Sequence[CurvePoint],
    *,
    low: float | None = None,
    high: float | None = None,
    label: str,
    width: float = 340,
    height: float = 132,
) -> Svg:
    """Draw the readings in the order of `when`; ValueError where there are none or a number is not finite.

    Two at one moment stand on one upright. All values and limits are in one unit.
    """
    rows = sorted(points, key=lambda point: point.when)
    if not rows:
        raise ValueError("A curve needs a reading.")
    numbers = [
        *(n for row in rows for n in (row.when, row.value)),
        *(n for n in (low, high) if n is not None),
    ]
    if not all(math.isfinite(number) for number in numbers):
        raise ValueError("A curve needs finite numbers.")
    frame = _Frame.of(rows, low, high, width, height)
    places = [frame.at(row.when, row.value) for row in rows]
    marks = [
        reading_shape(judge(row.value, low, high).value, x, y, MARK)
        for row, (x, y) in zip(rows, places, strict=True)
    ]
    drawn = [frame.edge(), frame.limits(low, high), _polyline(places), *marks, frame.words(rows)]
    return root(width, height, *drawn, label=label)


@dataclass(frozen=True, slots=True)
class _Frame:
    """The window of a curve: time from left to right, values upwards."""

    first: float
    last: float
    least: float
    most: float
    width: float
    height: float

    @classmethod
    def of(
        cls, rows: Sequence[CurvePoint], low: float | None, high: float | None, width: float, height: float
    ) -> _Frame:
        values = [row.value for row in rows] + [n for n in (low, high) if n is not None]
        least, most = min(values), max(values)
        room = max(most - least, LEAST_SHARE * max(abs(least), abs(most)), 1e-12) * 0.15
        return cls(rows[0].when, rows[-1].when, least - room, most + room, width, height)

    def at(self, when: float, value: float) -> Point:
        across = self.width - MARGIN_LEFT - MARGIN_RIGHT
        share = 0.5 if self.last == self.first else (when - self.first) / (self.last - self.first)
        inset = MARK + 3
        return MARGIN_LEFT + inset + share * (across - 2 * inset), self.up(value)

    def up(self, value: float) -> float:
        tall = self.height - MARGIN_TOP - MARGIN_BOTTOM
        return MARGIN_TOP + (self.most - value) / (self.most - self.least) * tall

    def edge(self) -> str:
        """Draw the graduated edge: upright on the left, level at the foot."""
        foot = self.height - MARGIN_BOTTOM
        ticks = [
            line((MARGIN_LEFT - (6 if n % 5 == 0 else 3), y), (MARGIN_LEFT, y), 1)
            for n in range(11)
            for y in [MARGIN_TOP + (foot - MARGIN_TOP) * n / 10]
        ]
        level = line((MARGIN_LEFT, foot), (self.width - MARGIN_RIGHT, foot), 1)
        return group(line((MARGIN_LEFT, MARGIN_TOP), (MARGIN_LEFT, foot), 1), level, *ticks, ink="rule")

    def limits(self, low: float | None, high: float | None) -> str:
        rules = [
            line((MARGIN_LEFT, self.up(n)), (self.width - MARGIN_RIGHT, self.up(n)), 1, "7 4")
            for n in (low, high)
            if n is not None
        ]
        return group(*rules, ink="dim") if rules else ""

    def words(self, rows: Sequence[CurvePoint]) -> str:
        """Write the highest and the lowest reading at the scale, the first and the last day under it."""
        highest, lowest = max(rows, key=lambda r: r.value), min(rows, key=lambda r: r.value)
        beside, foot = MARGIN_LEFT - 9, self.height - 12
        texts = [text((beside, self.up(highest.value)), highest.text, TEXT, anchor="end", caption=True)]
        if self.up(lowest.value) - self.up(highest.value) > TEXT:
            texts.append(text((beside, self.up(lowest.value)), lowest.text, TEXT, anchor="end", caption=True))
        texts.append(text((MARGIN_LEFT, foot), rows[0].shown, TEXT, caption=True))
        if rows[-1].shown != rows[0].shown:
            last = (self.width - MARGIN_RIGHT, foot)
            texts.append(text(last, rows[-1].shown, TEXT, anchor="end", caption=True))
        return group(*texts, ink="cap")


def _polyline(places: Sequence[Point]) -> str:
    if len(places) < 2:
        return ""
    return path("M" + "L".join(f"{num(x)} {num(y)}" for x, y in places), 1.5)

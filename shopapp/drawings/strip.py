"""Draw the limits strip: a rule with two jaws (lowest, highest) and one mark for the reading."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import SupportsFloat

from shopapp.drawings.marks import reading_shape
from shopapp.drawings.svg import Svg, group, line, num, path, root


class Verdict(StrEnum):
    """Where a reading lies; a limit itself is inside."""

    INSIDE = "inside"
    BELOW = "below"
    ABOVE = "above"
    NONE = "none"


def judge(value: SupportsFloat | None, low: SupportsFloat | None, high: SupportsFloat | None) -> Verdict:
    """Say where a reading lies between its limits; a missing limit is not crossed.

    For the drawing only: what an entry is, the bench decides on exact numbers and hands over as `verdict`.
    """
    if value is None:
        return Verdict.NONE
    if low is not None and float(value) < float(low):
        return Verdict.BELOW
    if high is not None and float(value) > float(high):
        return Verdict.ABOVE
    return Verdict.INSIDE


@dataclass(frozen=True, slots=True)
class _Scale:
    """A straight map from readings to the strip, clamped to its ends."""

    start: float
    end: float
    left: float
    right: float

    def at(self, value: float) -> float:
        share = (value - self.start) / (self.end - self.start)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)


def _window(low: float | None, high: float | None, value: float | None) -> tuple[float, float]:
    """Choose what the rule spans: the limits and as much again on either side, or round one of them."""
    if low is not None and high is not None:
        span = abs(high - low) or abs(high) * 0.1 or 1.0
        return min(low, high) - 1.2 * span, max(low, high) + 1.2 * span
    anchor = low if low is not None else high
    if anchor is None:
        anchor = value or 0.0
    span = abs(anchor) or 1.0
    return anchor - span, anchor + span


def limits_strip(
    value: SupportsFloat | None,
    low: SupportsFloat | None,
    high: SupportsFloat | None,
    *,
    verdict: str | None = None,
    width: float = 112,
    label: str = "",
) -> Svg:
    """Draw where a reading lies between its limits; the words stand beside the strip, never in it.

    All three numbers are in one unit. A limit that is None has no jaw. A reading far out stands at the end
    of the rule: the direction is right, the distance is the figure's business. `verdict` overrules our own
    comparison (see `judge`). Numbers that are not finite raise ValueError.
    """
    reading, lowest, highest = (_finite(n) for n in (value, low, high))
    found = Verdict(verdict) if verdict else judge(value, low, high)
    height = 26.0
    base = height - 6
    scale = _Scale(*_window(lowest, highest, reading), 8, width - 8)
    drawn = [_rule(width, base)]
    left = None if lowest is None else scale.at(lowest)
    right = None if highest is None else scale.at(highest)
    drawn.append(_jaws(left, right, base, width))
    drawn.append(_mark(found, reading, scale, left, right, base))
    return root(width, height, *drawn, label=label)


def _finite(number: SupportsFloat | None) -> float | None:
    """Give a float that a drawing can use; too large a number is as little use as infinity."""
    if number is None:
        return None
    try:
        found = float(number)
    except OverflowError:
        found = math.inf
    if not math.isfinite(found):
        raise ValueError(f"A strip needs finite numbers, not {number}.")
    return found


def _rule(width: float, base: float) -> str:
    """Draw the graduated edge: eleven ticks, each fifth one longer."""
    ticks = [line((2, base), (width - 2, base), 1)]
    for index in range(11):
        x = 4 + (width - 8) * index / 10
        ticks.append(line((x, base), (x, base + (6 if index % 5 == 0 else 3)), 1))
    return group(*ticks, ink="rule")


def _jaws(left: float | None, right: float | None, base: float, width: float) -> str:
    """Draw the two posts with their feet turned inwards, and the thick edge between them."""
    top, foot = base - 17, 4
    between = line((2 if left is None else left, base), (width - 2 if right is None else right, base), 3)
    posts = ""
    if left is not None:
        posts += path(f"M{num(left + foot)} {num(top)}H{num(left)}V{num(base + 1.5)}", 2)
    if right is not None:
        posts += path(f"M{num(right - foot)} {num(top)}H{num(right)}V{num(base + 1.5)}", 2)
    return (between if left is not None or right is not None else "") + posts


def _mark(
    found: Verdict, reading: float | None, scale: _Scale, left: float | None, right: float | None, base: float
) -> str:
    """Place the mark; one that is out keeps clear of the post it has passed, a missing one stands midway."""
    size = 6.5
    if found is Verdict.NONE or reading is None:
        x = ((left if left is not None else scale.left) + (right if right is not None else scale.right)) / 2
    else:
        x = scale.at(reading)
    if found is Verdict.BELOW and left is not None:
        x = min(x, left - size - 3)
    if found is Verdict.ABOVE and right is not None:
        x = max(x, right + size + 3)
    return reading_shape(found.value, x, base - 8, size)

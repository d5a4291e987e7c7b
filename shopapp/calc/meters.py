"""What meters show over the years: one running total, and how much is used a day."""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import combinations
from typing import Literal

from .figures import not_negative, positive
from .words import word

Reading = tuple[Literal["reading"], date, float]
Replacement = tuple[Literal["replace"], date, float, float]
Event = Reading | Replacement
_FULL, _FRESH = 0.95, 0.05


@dataclass(frozen=True, slots=True)
class Cumulative:
    """The running total at each reading; `None`, and its place in `flagged`, for one that fell unexplained."""

    dates: tuple[date, ...]
    values: tuple[float | None, ...]
    flagged: tuple[int, ...]


def cumulative(events: Sequence[Event], *, modulus: float | None = None) -> Cumulative:
    """Carry replacements and rollovers over into one running total; events stand in their order.

    A replacement gives the old meter's last figure and the new one's first. With a `modulus` (100000 for five digits) a
    fall from its last twentieth into its first is a rollover. A fall that neither explains is flagged and left out of
    what follows. `ValueError` for a figure below zero.
    """
    if modulus is not None:
        positive(modulus, word("The meter's range"))
    offset, last = 0.0, None
    dates: list[date] = []
    values: list[float | None] = []
    for event in events:
        shown = not_negative(event[2], word("What the meter shows"))
        if event[0] == "replace":
            start = not_negative(event[3], word("What the new meter starts at"))
            offset, last = offset + shown - start, start
            continue
        dates.append(event[1])
        if last is not None and shown < last:
            if modulus is None or last < _FULL * modulus or shown >= _FRESH * modulus:
                values.append(None)
                continue
            offset += modulus
        last = shown
        values.append(offset + shown)
    flagged = tuple(place for place, value in enumerate(values) if value is None)
    return Cumulative(tuple(dates), tuple(values), flagged)


def rate_per_day(readings: Sequence[tuple[date, float]]) -> float | None:
    """Return the use a day: the median of the slopes between any two readings of different days (Theil, Sen).

    A mistyped reading among many hardly moves it. `None` where all readings are of one day.
    """
    slopes = [
        (later[1] - earlier[1]) / (later[0] - earlier[0]).days
        for earlier, later in combinations(readings, 2)
        if later[0] != earlier[0]
    ]
    return statistics.median(slopes) if slopes else None

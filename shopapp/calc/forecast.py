"""When a damper wants service next: by distance, by running time, by the calendar."""

import calendar
import math
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from .figures import between, finite, not_negative, positive
from .words import said, word

Because = Literal["distance", "hours", "months"]

_FORGIVEN_DAYS = 1e-6
_FORGIVEN = 1e-6
_MOST_MONTHS = 1200
_ORDER: tuple[Because, ...] = ("distance", "hours", "months")


@dataclass(frozen=True, slots=True)
class Interval:
    """How long a service lasts: each limit may be missing, the earliest wins.

    `severity` multiplies distance and running time, not months: 1 for ordinary use, 0.667 in
    hard use (common practice: 1000 miles instead of 1500).
    """

    distance_m: float | None = None
    running_s: float | None = None
    months: int | None = None
    severity: float = 1.0

    def __post_init__(self) -> None:
        if self.distance_m is not None:
            positive(self.distance_m, "The service interval in distance")
        if self.running_s is not None:
            positive(self.running_s, "The service interval in running time")
        if self.months is not None and (
            isinstance(self.months, bool)
            or not isinstance(self.months, int)
            or not 1 <= self.months <= _MOST_MONTHS
        ):
            raise ValueError(
                said(
                    "The service interval in months must be a whole number from 1 to {most}.",
                    most=_MOST_MONTHS,
                )
            )
        between(self.severity, 0.01, 100, "The severity of use")


@dataclass(frozen=True, slots=True)
class Due:
    """When service is due and which limit says so; both `None` where nothing can be said."""

    on: date | None
    because: Because | None
    overdue: bool


def next_due(
    *,
    serviced_on: date,
    distance_m_at_service: float | None,
    running_s_at_service: float | None,
    latest_on: date,
    distance_m: float | None,
    running_s: float | None,
    distance_per_day: float | None,
    running_per_day: float | None,
    interval: Interval,
) -> Due:
    """Return the earliest of the interval's limits.

    Distances in m and running times in s are running totals (meter replacements already
    carried over) at the service and at the latest reading, on `latest_on`; rates are a day's.
    A total that is `None` leaves its limit out. Days are floored, a millionth of a day
    forgiven, so the date may lie before `latest_on`: then it is overdue. Without a rate above
    zero a limit that is not reached gives no date; one reached is due on `latest_on`. Months
    clamp to the month's end. Dates past the calendar's end give none. `ValueError` for a
    latest reading before the service or below its total.
    """
    _check_dates(serviced_on, latest_on)
    found: list[tuple[date, bool, Because]] = []
    uses: tuple[tuple[Because, float | None, float | None, float | None, float | None], ...] = (
        ("distance", interval.distance_m, distance_m_at_service, distance_m, distance_per_day),
        ("hours", interval.running_s, running_s_at_service, running_s, running_per_day),
    )
    for name, limit, start, latest, rate in uses:
        if limit is None or start is None or latest is None:
            continue
        used = _used(start, latest, name)
        limited = _by_use(limit * interval.severity - used, rate, latest_on, name)
        found += [(*limited, name)] if limited else []
    by_months = _add_months(serviced_on, interval.months) if interval.months else None
    if by_months:
        found.append((by_months, by_months < latest_on, "months"))
    if not found:
        return Due(on=None, because=None, overdue=False)
    on, overdue, because = min(found, key=lambda limit: (limit[0], not limit[1], _ORDER.index(limit[2])))
    return Due(on=on, because=because, overdue=overdue)


def _check_dates(serviced_on: date, latest_on: date) -> None:
    for day in (serviced_on, latest_on):
        if not isinstance(day, date) or isinstance(day, datetime):
            raise ValueError(
                said("The days of service and of the latest reading must be dates without a time.")
            )
    if latest_on < serviced_on:
        raise ValueError(
            said("The latest reading lies before the service; use the reading taken at the service.")
        )


def _used(start: float, latest: float, name: Because) -> float:
    what = word("The distance") if name == "distance" else word("The running time")
    before = (
        word("The distance at the service") if name == "distance" else word("The running time at the service")
    )
    used = not_negative(latest, what) - not_negative(start, before)
    if used < 0:
        raise ValueError(
            said("{what} has fallen since the service; was the meter replaced?", what=said(what))
        )
    return used


def _by_use(left: float, rate: float | None, latest_on: date, name: Because) -> tuple[date, bool] | None:
    """Return due date and whether overdue, or `None` where the limit gives no date."""
    per_day = 0.0 if rate is None else finite(rate, word("The use a day"))
    if per_day <= 0:
        return (latest_on, left < -_FORGIVEN) if left <= _FORGIVEN else None
    days = left / per_day if per_day > 1e-300 else math.inf
    if days > (date.max - latest_on).days:
        return None
    earliest = (date.min - latest_on).days
    on = latest_on + timedelta(days=max(earliest, math.floor(max(days, earliest) + _FORGIVEN_DAYS)))
    return on, on < latest_on


def _add_months(day: date, months: int) -> date | None:
    count = day.year * 12 + day.month - 1 + months
    year, month = divmod(count, 12)
    if year > date.max.year:
        return None
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))

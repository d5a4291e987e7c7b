"""Use of a vehicle and what follows from it; the due date itself is worked out in `forecast`."""

from .forecast import Due, Interval, next_due
from .meters import Cumulative, Event, cumulative, rate_per_day

__all__ = ["Cumulative", "Due", "Event", "Interval", "cumulative", "next_due", "rate_per_day"]

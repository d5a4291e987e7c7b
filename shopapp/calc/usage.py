"""Use of a vehicle and what follows from it; the due date itself is worked out in `forecast`."""

from .forecast import Due, Interval, next_due

__all__ = ["Due", "Interval", "next_due"]

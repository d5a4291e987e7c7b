"""Checks that every calculation makes of the figures it is given.

Bounds are wide (a billion metres is let through), but they keep the formulae clear of
overflow and of division by nothing, so that the only error a caller meets is ``ValueError``.
"""

import math
from fractions import Fraction

from .words import said

SMALLEST = 1e-12
LARGEST = 1e12


def finite(value: float, what: str) -> float:
    """Return `value` as a float; refuse what is no ordinary number.

    `what` opens the sentence of the error and names the figure as the technician knows it.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | Fraction):
        raise ValueError(said("{what} must be a number.", what=said(what)))
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError(
            said("{what} must be an ordinary number, not empty and not endless.", what=said(what))
        )
    if abs(number) > LARGEST:
        raise ValueError(
            said(
                "{what} is larger than anything on a damper; check the figure and its unit.", what=said(what)
            )
        )
    return number


def positive(value: float, what: str) -> float:
    """Return `value` as a float; refuse zero, what is below it, and less than 1e-12."""
    number = finite(value, what)
    if number < SMALLEST:
        raise ValueError(said("{what} must be more than zero.", what=said(what)))
    return number


def not_negative(value: float, what: str) -> float:
    """Return `value` as a float; refuse what is below zero."""
    number = finite(value, what)
    if number < 0:
        raise ValueError(said("{what} must not be below zero.", what=said(what)))
    return number


def between(value: float, low: float, high: float, what: str) -> float:
    """Return `value` as a float; refuse what lies outside `low` to `high`, ends allowed."""
    number = finite(value, what)
    if not low <= number <= high:
        raise ValueError(
            said("{what} must lie between {low:g} and {high:g}.", what=said(what), low=low, high=high)
        )
    return number

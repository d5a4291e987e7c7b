"""A signature as the page sends it: strokes of points, read from JSON that may be anything, kept as whole numbers."""

from __future__ import annotations

import itertools
import json
from typing import Any

from django.utils.translation import gettext as _

from shopapp.drawings.signature import HEIGHT, WIDTH
from shopapp.shop.services.acts import Refused

Strokes = list[list[list[int]]]
LONGEST_TEXT = 120_000
MOST_STROKES = 150
MOST_POINTS = 6000
LEAST_INK = 80
"""Below this, in thousandths of the line's width, a hand has only touched the glass."""


def read(text: str, *, field: str = "") -> Strokes:
    """Read strokes; [] where nobody wrote. `Refused` in a sentence for what is no signature: nothing of it is kept."""
    if not text.strip():
        return []
    try:
        given = json.loads(text) if len(text) <= LONGEST_TEXT else None
    except (ValueError, RecursionError):
        given = None
    if given == []:
        return []
    if not isinstance(given, list) or len(given) > MOST_STROKES:
        raise _unreadable(field)
    strokes = [_stroke(one, field) for one in given]
    if sum(len(stroke) for stroke in strokes) > MOST_POINTS:
        raise _unreadable(field)
    if sum(_length(stroke) for stroke in strokes) < LEAST_INK:
        words = _(
            "That is a dot, not a signature. Write it once more, or clear the line: the typed name does."
        )
        raise Refused(words, field=field)
    return strokes


def _unreadable(field: str) -> Refused:
    words = _(
        "The signature did not arrive whole. Write it once more, or clear the line: the typed name does."
    )
    return Refused(words, field=field)


def _stroke(given: Any, field: str) -> list[list[int]]:
    if not isinstance(given, list) or not given or len(given) > MOST_POINTS:
        raise _unreadable(field)
    if not all(_is_point(point) for point in given):
        raise _unreadable(field)
    return [list(point) for point in given]


def _is_point(point: Any) -> bool:
    if not isinstance(point, list) or len(point) != 2:
        return False
    x, y = point
    whole = all(isinstance(part, int) and not isinstance(part, bool) for part in point)
    return whole and 0 <= x <= WIDTH and 0 <= y <= HEIGHT


def _length(stroke: list[list[int]]) -> int:
    """Give how far a hand went, along the axes."""
    return sum(abs(b[0] - a[0]) + abs(b[1] - a[1]) for a, b in itertools.pairwise(stroke))

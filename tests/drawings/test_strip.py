"""The limits strip: which shape, on which side of which jaw."""

import math
import random
import re
from decimal import Decimal
from fractions import Fraction

import pytest

from shopapp.drawings import Verdict, judge, limits_strip
from tests.conftest import SEED


@pytest.mark.parametrize(
    ("value", "low", "high", "verdict"),
    [
        (2, 1, 3, "inside"),
        (1, 1, 3, "inside"),
        (3, 1, 3, "inside"),
        (Fraction(35, 16), Fraction(7, 4), Decimal("2.75"), "inside"),
        (0.99, 1, 3, "below"),
        (3.01, 1, 3, "above"),
        (17, None, 16, "above"),
        (-40, None, 16, "inside"),
        (129, 130, None, "below"),
        (5, None, None, "inside"),
        (None, 1, 3, "none"),
    ],
)
def test_the_verdict(value: float | None, low: float | None, high: float | None, verdict: str) -> None:
    """Seen red with a limit itself taken as outside, on either side."""
    assert judge(value, low, high) == verdict


def x_of_mark(svg: str) -> float:
    """Give the middle of the mark: the last closed path, or the circle."""
    circle = re.search(r'<circle cx="([\d.]+)"', svg)
    if circle:
        return float(circle[1])
    corners = re.findall(r"[ML]([\d.]+) [\d.]+", re.findall(r'd="(M[^"]*Z)"', svg)[-1])
    return (min(map(float, corners)) + max(map(float, corners))) / 2


def jaws(svg: str) -> list[float]:
    return [float(x) for x in re.findall(r'd="M[\d.]+ [\d.]+H([\d.]+)V', svg)]


def test_readings_stand_where_their_numbers_say() -> None:
    """Random limits and readings: between the jaws only when inside, wholly beyond the jaw when out. Seen red
    with a mark that stays on the jaw it has passed."""
    seed = SEED
    print(f"seed {seed}")
    chance = random.Random(seed)
    for _ in range(300):
        low = chance.uniform(-1e4, 1e4)
        high = low + 10 ** chance.uniform(-3, 4)
        value = chance.uniform(low - 3 * (high - low), high + 3 * (high - low))
        svg = limits_strip(value, low, high, width=chance.choice((88, 112, 300)))
        left, right = jaws(svg)
        mark = x_of_mark(svg)
        if judge(value, low, high) == Verdict.INSIDE:
            assert left - 0.02 <= mark <= right + 0.02
        elif judge(value, low, high) == Verdict.BELOW:
            assert mark + 6 < left
        else:
            assert mark - 6 > right


def test_more_is_further_right() -> None:
    """Seen red with the rule turned round."""
    marks = [x_of_mark(limits_strip(value, 0, 10)) for value in (1, 3, 5, 7, 9)]
    assert marks == sorted(set(marks))


def test_a_missing_limit_has_no_jaw_and_a_missing_reading_an_open_circle() -> None:
    """Seen red with a jaw at nought for a limit that is missing."""
    assert len(jaws(limits_strip(1, 0, None))) == 1
    assert jaws(limits_strip(1, None, None)) == []
    svg = limits_strip(None, 0, 10)
    assert "<circle" in svg and 'data-ink="out"' not in svg


@pytest.mark.parametrize(("low", "high"), [(5, 5), (0, 0), (-2, -2)])
def test_limits_of_no_width_still_draw(low: float, high: float) -> None:
    """Seen red with a window as wide as the limits: a division by zero."""
    left, right = jaws(limits_strip(low, low, high))
    assert left == pytest.approx(right)


def test_who_knows_better_hands_in_the_verdict() -> None:
    """The bench judges exact numbers at the body's temperature; the strip only shows it. Seen red with the
    strip's own judgement first."""
    assert 'data-ink="out"' in limits_strip(5, 0, 10, verdict="above")
    with pytest.raises(ValueError, match="fine"):
        limits_strip(5, 0, 10, verdict="fine")


@pytest.mark.parametrize("value", [math.nan, math.inf, 10**400])
def test_a_reading_that_is_no_number_is_refused(value: float) -> None:
    """Seen red without the check, and without the answer to what no float holds."""
    with pytest.raises(ValueError, match="finite"):
        limits_strip(value, 0, 10)

"""The small curve: readings over time, from numbers alone."""

from __future__ import annotations

import math
import random
import re
from xml.etree import ElementTree

import pytest

from shopapp.drawings.curve import MARK, CurvePoint, curve


def point(when: float, value: float, text: str = "", shown: str = "") -> CurvePoint:
    return CurvePoint(when, value, text or f"{value:g}", shown or f"day {when:g}")


def places(svg: str) -> list[tuple[float, float]]:
    """Read the joints of the line."""
    found = re.search(r'd="M([^"HVZ]+)" fill="none" stroke="currentColor" stroke-width="1.5"', svg)
    assert found
    pairs = [pair.split() for pair in found.group(1).split("L")]
    return [(float(x), float(y)) for x, y in pairs]


def test_time_runs_to_the_right_and_values_upwards() -> None:
    """Seen red with either axis turned round."""
    drawn = places(curve([point(0, 140), point(10, 150), point(40, 130)], label="Charge"))
    (x0, y0), (x1, y1), (x2, y2) = drawn
    assert x0 < x1 < x2
    assert y1 < y0 < y2
    assert (x1 - x0) / (x2 - x0) == pytest.approx(0.25, abs=0.01)
    assert (y0 - y1) / (y2 - y1) == pytest.approx(0.5, abs=0.01)


def test_the_order_of_the_readings_does_not_matter() -> None:
    """Seen red with the readings drawn as they were handed in."""
    rows = [point(3, 2), point(1, 5), point(2, 4)]
    assert curve(rows, label="x") == curve(rows[::-1], label="x")


def test_the_ends_are_worded_as_typed_and_the_days_stand_below() -> None:
    """Seen red with the value in place of what was typed."""
    svg = curve([point(0, 3, "3 in", "Mar 2024"), point(9, 3.1, "3 1/16 in", "May 2026")], label="IFP depth")
    texts = [node.text for node in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")]
    assert texts == ["3 1/16 in", "3 in", "Mar 2024", "May 2026"]
    assert 'aria-label="IFP depth"' in svg


def test_alike_readings_are_a_level_line_with_one_figure() -> None:
    """Seen red with both ends always worded."""
    svg = curve([point(0, 140), point(9, 140)], label="x")
    (_x0, y0), (_x1, y1) = places(svg)
    assert y0 == y1
    assert svg.count(">140<") == 1


def test_one_reading_is_a_mark_without_a_line() -> None:
    """Seen red with a line drawn through one point."""
    svg = curve([point(0, 140)], label="x")
    assert 'stroke-width="1.5"' not in svg


def test_a_reading_outside_its_limits_has_another_mark() -> None:
    """Seen red with the highest limit left out of the judgement."""
    inside = curve([point(0, 140)], low=130, high=150, label="x")
    outside = curve([point(0, 155)], low=130, high=150, label="x")
    assert 'data-ink="out"' in outside
    assert 'data-ink="out"' not in inside
    assert inside.count('stroke-dasharray="7 4"') == 2


def test_every_mark_lies_inside_the_drawing(rng: random.Random) -> None:
    """With its whole width. Seen red without the inset at the sides, and with too little room above and
    below."""
    for _again in range(50):
        rows = [point(rng.uniform(-1e4, 1e4), rng.uniform(-1e7, 1e7)) for _n in range(rng.randrange(2, 30))]
        for x, y in places(curve(rows, label="x")):
            assert 64 + MARK <= x <= 326 - MARK
            assert 12 + MARK <= y <= 104 - MARK


def test_words_are_escaped() -> None:
    """Seen red without the escaping."""
    svg = curve([point(0, 1, "<b>", "a&b"), point(1, 2, '"', "c")], label='<"&')
    ElementTree.fromstring(svg)
    assert "<b>" not in svg


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_refused(value: float) -> None:
    """By the curve, before anything is drawn. Seen red with the limits left out of the check."""
    with pytest.raises(ValueError, match="curve needs finite"):
        curve([point(0, value)], label="x")
    with pytest.raises(ValueError, match="curve needs finite"):
        curve([point(value, 1)], label="x")
    with pytest.raises(ValueError, match="curve needs finite"):
        curve([point(0, 1)], low=value, label="x")


def test_without_a_reading_there_is_no_curve() -> None:
    """Seen red without the check: an IndexError."""
    with pytest.raises(ValueError, match="needs a reading"):
        curve([], label="x")

"""Findings on the half-section: each number stands once, is led to its part, and is read to whoever does not see it."""

from __future__ import annotations

import itertools
import math
import re
from xml.etree import ElementTree

import pytest

from shopapp.bench.finding_words import NO_PLACE, PARTS
from shopapp.drawings.damper import Balloon, damper_section
from shopapp.drawings.damper.balloons import ON_BODY, ON_RESERVOIR, anchor, is_above, radius, spread
from tests.drawings.test_damper import FULL, placed

SVG = "{http://www.w3.org/2000/svg}"


def drawn(*balloons: Balloon) -> ElementTree.Element:
    return ElementTree.fromstring(damper_section(FULL, balloons=balloons))


def numbered(svg: ElementTree.Element) -> dict[str, ElementTree.Element]:
    return {g.attrib["data-finding"]: g for g in svg.iter(f"{SVG}g") if "data-finding" in g.attrib}


def test_every_part_that_a_finding_names_has_its_place_or_none_on_purpose() -> None:
    """Seen red with the gas valve left out of the reservoir's parts."""
    assert set(ON_BODY) | set(ON_RESERVOIR) == set(PARTS) - NO_PLACE
    place = placed(FULL)
    for part in set(PARTS) - NO_PLACE:
        point = anchor(place, part)
        assert point is not None
        assert all(math.isfinite(value) for value in point)


def test_each_finding_stands_once_with_a_leader_to_its_part() -> None:
    """Seen red with the leader's end at the balloon's own x."""
    svg = drawn(Balloon(1, "rod"), Balloon(2, "shims"), Balloon(3, "ifp"))
    found = numbered(svg)
    assert sorted(found) == ["1", "2", "3"]
    place = placed(FULL)
    for number, part in (("1", "rod"), ("2", "shims")):
        leader = found[number].find(f"{SVG}line")
        assert leader is not None
        point = anchor(place, part)
        assert point is not None
        assert float(leader.attrib["x2"]) == pytest.approx(point[0], abs=0.01)
        assert float(leader.attrib["y2"]) == pytest.approx(point[1], abs=0.01)
    assert "".join(found["3"].itertext()) == "3"


def test_a_part_without_a_place_has_no_leader() -> None:
    found = numbered(drawn(Balloon(4, "oil"), Balloon(5, "other"), Balloon(6, "never heard of")))
    assert sorted(found) == ["4", "5", "6"]
    assert all(one.find(f"{SVG}line") is None for one in found.values())


def test_the_sheet_grows_by_what_the_rows_take_and_no_more() -> None:
    def height(*balloons: Balloon) -> float:
        return float(drawn(*balloons).attrib["height"])

    assert height(Balloon(1, "rod")) > height()
    assert height(Balloon(1, "rod"), Balloon(2, "ifp")) > height(Balloon(1, "rod"))
    assert height(Balloon(1, "rod"), Balloon(2, "body")) == height(Balloon(1, "rod"))
    assert is_above(Balloon(1, "oil"))


def test_no_two_balloons_touch_and_none_leaves_the_sheet() -> None:
    """Seen red without the way back from the right edge."""
    at = spread([590.0] * 6 + [600.0], 600, 18)
    assert all(after - before >= 2 * radius(18) for before, after in itertools.pairwise(at))
    assert at[-1] <= 600 - radius(18)
    assert at[0] >= radius(18)


def test_hostile_words_stay_words() -> None:
    words = 'rod: <script>alert(1)</script> & "more" \x00'
    svg = damper_section(FULL, balloons=[Balloon(1, "rod", words)])
    assert "<script" not in svg
    assert "Finding 1: rod: <script>alert(1)</script>" in ElementTree.fromstring(svg).attrib["aria-label"]
    assert not re.search(r"\x00", svg)

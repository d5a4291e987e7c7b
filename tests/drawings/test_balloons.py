"""Findings on the half-section: each number stands once, is led to its part, and is read to whoever does not see it."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from shopapp.bench.finding_words import NO_PLACE, PARTS
from shopapp.drawings.damper import Balloon, Build, damper_section
from shopapp.drawings.damper.anchors import ABSENT, anchor
from shopapp.drawings.damper.balloons import radius
from shopapp.drawings.damper.layout import layout
from shopapp.drawings.damper.numbers import sizes
from tests.drawings.svg_words import overlaps, words_in
from tests.drawings.test_damper import FULL, placed

SVG = "{http://www.w3.org/2000/svg}"
KINDS = [pytest.param(build, id=build.name.lower()) for build in Build]


def drawn(*balloons: Balloon, build: Build = Build.RESERVOIR) -> ElementTree.Element:
    return ElementTree.fromstring(damper_section(replace(FULL, build=build), balloons=balloons))


def numbered(svg: ElementTree.Element) -> dict[str, ElementTree.Element]:
    return {g.attrib["data-finding"]: g for g in svg.iter(f"{SVG}g") if "data-finding" in g.attrib}


@pytest.mark.parametrize("build", KINDS)
def test_every_part_that_a_finding_names_has_its_place_or_none_on_purpose(build: Build) -> None:
    """Seen red with the gas valve left out of the cap's parts."""
    place = placed(replace(FULL, build=build))
    named = set(PARTS) - NO_PLACE
    assert ABSENT[build] <= named
    for part in named:
        point = anchor(place, part)
        assert (point is None) == (part in ABSENT[build]), part
        assert point is None or all(math.isfinite(value) for value in point)


@pytest.mark.parametrize("build", KINDS)
def test_each_part_lies_on_the_drawing(build: Build) -> None:
    """Seen red with the retainer's point 90 px to the right."""
    place = layout(sizes(replace(FULL, build=build)), 600, drop=8)
    tank = place.reservoir
    low = place.body.reach + 12 if tank is None else tank.axis + tank.outer + 1
    for part in set(PARTS) - NO_PLACE - ABSENT[build]:
        point = anchor(place, part)
        assert point is not None
        assert 0 < point[0] < 600
        assert -place.body.reach - 3 <= point[1] <= low


def test_each_finding_stands_once_with_a_leader_to_its_part() -> None:
    """Seen red with the leader's end at the balloon's own x."""
    svg = drawn(Balloon(1, "rod"), Balloon(2, "shims"), Balloon(3, "ifp"))
    found = numbered(svg)
    assert sorted(found) == ["1", "2", "3"]
    place = layout(sizes(FULL), 600, drop=8)
    for number, part in (("1", "rod"), ("2", "shims")):
        leader = found[number].find(f"{SVG}line")
        assert leader is not None
        point = anchor(place, part)
        assert point is not None
        assert float(leader.attrib["x2"]) == pytest.approx(point[0], abs=0.01)
        assert float(leader.attrib["y2"]) == pytest.approx(point[1], abs=0.01)
    assert "".join(found["3"].itertext()) == "3"


def test_a_part_without_a_place_has_no_leader() -> None:
    """Seen red with the sheet's corner as the place of what has none."""
    found = numbered(
        drawn(Balloon(4, "oil"), Balloon(5, "other"), Balloon(6, "never heard of"), Balloon(7, "bladder"))
    )
    assert sorted(found) == ["4", "5", "6", "7"]
    assert all(one.find(f"{SVG}line") is None for one in found.values())


@pytest.mark.parametrize("build", KINDS)
def test_no_balloon_touches_words_or_another_balloon_and_none_leaves_the_sheet(build: Build) -> None:
    """All parts of trade.md at once, and the words of every figure. Seen red without asking what is there already."""
    parts = sorted(PARTS)
    svg = drawn(*(Balloon(number, part) for number, part in enumerate(parts, 1)), build=build)
    rings = []
    for one in numbered(svg).values():
        ring = next(node for node in one.iter(f"{SVG}circle") if float(node.attrib["r"]) > 5)
        rings.append((float(ring.attrib["cx"]), float(ring.attrib["cy"])))
    r = radius(18)
    for (x, y), (other_x, other_y) in itertools.combinations(rings, 2):
        assert max(abs(x - other_x), abs(y - other_y)) >= 2 * r
    assert all(r <= x <= 600 - r for x, _y in rings)
    assert not overlaps(words_in(ElementTree.tostring(svg, encoding="unicode")))


def test_hostile_words_stay_words() -> None:
    """Seen red without the pen's escaping, and with the part's code in place of the finding's words."""
    words = 'rod: <script>alert(1)</script> & "more" \x00'
    svg = damper_section(FULL, balloons=[Balloon(1, "rod", words)])
    assert "<script" not in svg
    assert "Finding 1: rod: <script>alert(1)</script>" in ElementTree.fromstring(svg).attrib["aria-label"]
    assert not re.search(r"\x00", svg)

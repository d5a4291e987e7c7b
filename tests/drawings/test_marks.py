"""States are line types, readings are shapes: each one different from the others, without colour."""

import re
from xml.etree import ElementTree

import pytest

from shopapp import drawings
from shopapp.drawings.marks import READING_SHAPES, STATES

FORBIDDEN = re.compile(r"\s(?:class|style|id)=|<style|<script|url\(")


def shapes(svg: str) -> str:
    """Give what is drawn without any colour."""
    return re.sub(r'\s(?:color|data-ink)="[^"]*"', "", svg)


@pytest.mark.parametrize("size", [(56, 14), (34, 12)])
def test_six_states_have_six_line_types(size: tuple[int, int]) -> None:
    """Seen red with void drawn as planned."""
    drawn = {shapes(drawings.state_mark(state, width=size[0], height=size[1])) for state in STATES}
    assert len(drawn) == len(STATES) == 6


def test_a_state_may_be_written_with_a_space() -> None:
    """Seen red without reading the space as an underscore."""
    assert drawings.state_mark("in work") == drawings.state_mark("in_work")


@pytest.mark.parametrize("state", ["", "open", "Done!", "planned\x00"])
def test_an_unknown_state_is_refused(state: str) -> None:
    """Seen red with a dashed line for any word."""
    with pytest.raises(ValueError, match="no line type"):
        drawings.state_mark(state)


def test_four_readings_have_four_shapes() -> None:
    """Seen red with above drawn as below: colour alone would not tell them apart."""
    assert len({shapes(drawings.reading_mark(name)) for name in READING_SHAPES}) == 4


def test_only_readings_out_of_limits_take_the_vermillion() -> None:
    """Seen red with below in plain ink."""
    out = {name for name in READING_SHAPES if 'data-ink="out"' in drawings.reading_mark(name)}
    assert out == {"below", "above"}


@pytest.mark.parametrize(
    "svg",
    [
        *(drawings.state_mark(state) for state in STATES),
        *(drawings.reading_mark(name) for name in READING_SHAPES),
        *(drawings.key_sign(name) for name in ("take_back", "space", "more", "less")),
        drawings.flag(),
        drawings.caution_sign(),
        drawings.break_line(),
        drawings.paper_edge(),
        drawings.limits_strip(1, 0, 2),
    ],
)
def test_marks_are_attributes_only_and_well_formed(svg: str) -> None:
    """Seen red with a class on a mark, and without the colour on the root."""
    read = ElementTree.fromstring(svg)
    assert read.get("color") == "#000000"
    assert not FORBIDDEN.search(svg)

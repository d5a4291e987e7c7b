"""The pen: escaping, numbers, inks."""

import math
from xml.etree import ElementTree

import pytest

from shopapp.drawings.svg import element, escape, group, num, root

HOSTILE = "<script>alert(1)</script> & \"quotes\" 'single' \x00\x0b \ud800 \ufffe ]]> 😀"


def test_hostile_text_stays_text() -> None:
    """Seen red with < left as it is, and with characters that XML cannot hold."""
    drawn = root(10, 10, element("text", escape(HOSTILE), x=1), label=HOSTILE)
    read = ElementTree.fromstring(drawn)
    assert [child.tag.split("}")[1] for child in read] == ["text"]
    assert read[0].text is not None and "<script>alert(1)</script>" in read[0].text
    assert read.get("aria-label") == read[0].text
    assert "\x00" not in drawn and "\ud800" not in drawn
    drawn.encode("utf-8")


@pytest.mark.parametrize(
    ("value", "text"), [(1.0, "1"), (0.1 + 0.2, "0.3"), (-0.001, "0"), (12.345, "12.35"), (-4.5, "-4.5")]
)
def test_numbers_are_short(value: float, text: str) -> None:
    """Seen red with a nought below nought."""
    assert num(value) == text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_none_is_refused(value: float) -> None:
    """Seen red without the check."""
    with pytest.raises(ValueError, match="finite"):
        num(value)


def test_a_group_of_another_ink_says_so_and_is_black_for_paper() -> None:
    """Seen red with any word taken for an ink."""
    assert group("x", ink="dim") == '<g color="#000000" data-ink="dim">x</g>'
    with pytest.raises(ValueError, match="no ink"):
        group("x", ink="green")


def test_a_drawing_without_a_name_is_passed_over() -> None:
    """Seen red with every drawing a picture, named or not."""
    assert 'aria-hidden="true"' in root(1, 1)
    named = root(1, 1, label="Strip")
    assert 'role="img"' in named and "aria-hidden" not in named

"""Tags: the check digit of ISO/IEC 7064 MOD 11,10, numbers that do not look alike, reading them as typed."""

from __future__ import annotations

import pytest

from shopapp.dampers.services import tags
from shopapp.shop.models import Counter
from shopapp.shop.services.acts import Refused


@pytest.mark.parametrize(("digits", "check"), [("0794", "5"), ("79462", "3"), ("00200667308", "5")])
def test_the_check_digit_is_that_of_the_standard(digits: str, check: str) -> None:
    """The first is the standard's own worked example, the others are published examples."""
    assert tags.check_digit(digits) == check


def test_every_wrong_digit_is_caught() -> None:
    seven = "4082217"
    good = seven + tags.check_digit(seven)
    for place in range(8):
        for digit in "0123456789":
            wrong = good[:place] + digit + good[place + 1 :]
            assert tags.looks_like(wrong) == (wrong == good)


def test_twelve_tags_in_a_row_differ_in_at_least_three_digits() -> None:
    given = [tags.spread(count) for count in range(1, 5000)]
    assert len(set(given)) == len(given)
    least = min(
        sum(a != b for a, b in zip(given[at], other, strict=True))
        for at in range(len(given))
        for other in given[at + 1 : at + 12]
    )
    assert least >= 3


def test_the_spread_gives_every_number_once() -> None:
    assert (
        len({(tags.START + count * tags.SPREAD) % tags.SIZE for count in range(1, tags.SIZE // 50)})
        == 199_999
    )
    import math

    assert math.gcd(tags.SPREAD, tags.SIZE) == 1


@pytest.mark.django_db
def test_new_tags_are_good_and_come_from_the_counter() -> None:
    first, second = tags.new_tag(), tags.new_tag()
    assert first != second
    assert tags.read(first) == first
    assert tags.read(tags.show(second)) == second
    assert Counter.objects.get(series="tag").last == 2


@pytest.mark.parametrize(
    "text", ["4082 217-{c}", " 4082217{c} ", "https://shop.example.com/D/4082217{c}", "４０８２２１７{c}"]
)
def test_a_tag_is_read_as_typed_or_scanned(text: str) -> None:
    check = tags.check_digit("4082217")
    assert tags.read(text.format(c=check)) == "4082217" + check


@pytest.mark.parametrize(
    "text", ["", "4082", "abc", "40822170", "\0", "9" * 1_000_000, "٤٠٨٢٢١٧١", "{{ 7*7 }}", "\ud800"]
)
def test_what_is_no_tag_is_refused_in_a_sentence(text: str) -> None:
    if text == "40822170":
        assert tags.check_digit("4082217") != "0"
    with pytest.raises(Refused) as no:
        tags.read(text)
    assert no.value.field == "tag"
    assert no.value.sentence.endswith(".")

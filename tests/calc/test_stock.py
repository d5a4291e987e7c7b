"""Kits that the parts on hand make, against the reference case and against counting them out one by one."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopapp.calc.stock import Kits, kits_possible
from tests.calc.cases import check_case, check_complete, load, run_ids


def _kits(case):
    kit, stock, wanted = (case["inputs"][key] for key in ("kit", "stock", "wanted"))
    made = kits_possible(kit, stock)
    missing = {part: wanted * quantity - stock[part] for part, quantity in kit.items()}
    return {
        "kits": made.count,
        "limiting": list(made.limiting),
        "short": {part: number for part, number in missing.items() if number > 0},
    }


RUNNERS = {r"K-K\d+": _kits}
BACKGROUND = {
    case_id: "demand, reorder points and order quantities: no page asks for them yet"
    for case_id in load("stock")
    if not case_id.startswith("K-K")
}


def test_every_case_is_run_or_listed():
    check_complete("stock", RUNNERS, BACKGROUND)


@pytest.mark.parametrize("case_id", run_ids("stock", RUNNERS))
def test_reference(case_id):
    check_case(load("stock")[case_id], RUNNERS)


@settings(print_blob=True, derandomize=False, deadline=None, max_examples=200)
@given(
    st.dictionaries(st.sampled_from("abcde"), st.integers(1, 5), min_size=1),
    st.dictionaries(st.sampled_from("abcde"), st.integers(0, 30)),
)
def test_it_is_what_taking_kits_out_one_by_one_gives(kit, on_hand):
    left, made = Counter(on_hand), 0
    while all(left[part] >= quantity for part, quantity in kit.items()):
        left.subtract(kit)
        made += 1
    found = kits_possible(kit, on_hand)
    assert found.count == made
    assert set(found.limiting) == {part for part, quantity in kit.items() if left[part] < quantity}


def test_a_part_that_is_not_there_ends_it():
    assert kits_possible({"wiper": 1, "seal": 2}, {"seal": 9}) == Kits(0, ("wiper",))


@pytest.mark.parametrize(
    ("kit", "on_hand", "says"),
    [
        ({}, {}, "at least one part"),
        ({"wiper": 0}, {"wiper": 3}, "at least one of each part"),
        ({"wiper": 1}, {"wiper": -1}, "less than nothing"),
        ({"wiper": 1.5}, {"wiper": 3}, "whole numbers"),
        ({"wiper": 1}, {"wiper": 2.5}, "whole numbers"),
        ({"wiper": True}, {"wiper": 2}, "whole numbers"),
    ],
)
def test_what_cannot_be_counted_is_refused(kit, on_hand, says):
    with pytest.raises(ValueError, match=says):
        kits_possible(kit, on_hand)

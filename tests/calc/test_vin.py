"""Vehicle identification numbers against the reference cases and an independent checker."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from vininfo import Vin as OtherVin

from shopapp.calc import vin
from tests.calc.cases import check_case, check_complete, load, run_ids

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=300)


def _without_check_digit(case):
    blank = vin.check(case["inputs"]["vin_without_check"].replace("_", "0"))
    assert blank.reason == "check digit"
    whole = case["expected"]["vin"]
    assert vin.check(whole).valid
    return {"check_digit": blank.check_digit, "vin": vin.check(whole).text}


def _check(case):
    checked = vin.check(case["inputs"].get("text", case["inputs"].get("vin")))
    computed = {
        "valid": checked.valid,
        "reason": checked.reason,
        "check_digit": checked.check_digit,
        "normalised": checked.text,
    }
    return {key: computed[key] for key in case["expected"] if key != "sum"}


def _equal_values(case):
    start = "1V9S3ZX7XDAJ51788"
    for group in case["inputs"]["groups"]:
        numbers = {start[:3] + character + start[4:] for character in group}
        assert len({vin.check(number).check_digit for number in numbers}) == 1
    return {"undetected_within_group": True}


RUNNERS = {r"V-P0[12]": _without_check_digit, r"V-(P03|S\d\d|S[BNYZ]\d)": _check, r"V-G01": _equal_values}
BACKGROUND = {f"V-Y{number:02}": "model years: no call" for number in range(1, 10)}
UNANSWERED = frozenset({"sum", "products"})


@pytest.mark.parametrize("case_id", run_ids("vin", RUNNERS))
def test_case(case_id):
    check_case(load("vin")[case_id], RUNNERS, UNANSWERED)


def test_every_case_is_run_or_listed():
    check_complete("vin", RUNNERS, BACKGROUND)


alphabet = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"


@seeded
@given(st.text(alphabet, min_size=17, max_size=17))
def test_agrees_with_another_checker(text):
    checked = vin.check(text)
    whole = text[:8] + str(checked.check_digit) + text[9:]
    assert OtherVin(whole).verify_checksum(check_year=False)
    assert OtherVin(text).verify_checksum(check_year=False) == (checked.reason != "check digit")
    assert vin.check(whole).reason in (None, "year code")
    assert vin.check(whole).valid == (text[9] not in "UZ0")


@seeded
@given(st.text(max_size=40))
def test_any_text_is_answered(text):
    checked = vin.check(text)
    assert checked.valid == (checked.reason is None)
    assert (checked.check_digit is None) == (checked.reason in ("length", "character"))
    assert vin.check(checked.text) == checked


@pytest.mark.parametrize("text", ["１" * 17, "1M8GDM9AXKP04278\u0131", "11111111\x00111111 11"])
def test_foreign_characters_are_refused(text):
    assert not vin.check(text).valid
    assert vin.check("1" * 16 + "ß").reason == "character"

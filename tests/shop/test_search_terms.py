"""The words and numbers by which a row is found: folded alike whatever the database."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapp.shop.models import SearchTerm
from shopapp.shop.services.search_terms import MAX_KEY, fold, fold_number, keep_terms


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("  Müller   Straße ", "muller strasse"),
        ("ÅNGSTRÖM", "angstrom"),
        ("Ærø", "ærø"),
        ("İSTANBUL", "istanbul"),
        ("ﬁtting Ⅳ", "fitting iv"),
        ("a\tb\nc", "a b c"),
        ("", ""),
        ("日本", "日本"),
    ],
)
def test_words_are_folded(typed: str, kept: str) -> None:
    assert fold(typed) == kept


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("4082 217-1", "40822171"),
        ("(555) 01-23", "5550123"),
        ("Ab-12/ß", "ab12ss"),
        ("---", ""),
        ("１２", "12"),
    ],
)
def test_numbers_are_folded(typed: str, kept: str) -> None:
    assert fold_number(typed) == kept


@given(st.text())
def test_folding_a_folded_text_changes_nothing(text: str) -> None:
    for folded in (fold, fold_number):
        once = folded(text)
        assert len(once) <= MAX_KEY
        assert folded(once) == once


def keys(kind: str) -> set[str]:
    return set(SearchTerm.objects.filter(kind=kind).values_list("key", flat=True))


@pytest.mark.django_db
def test_a_name_is_found_by_each_of_its_words() -> None:
    keep_terms(target_kind="customer", target_id=1, terms=[("name", "Jo van Dorn", 5)])
    assert keys("name") == {"jo van dorn", "jo", "van", "dorn"}


@pytest.mark.django_db
def test_a_phone_is_found_by_its_end() -> None:
    keep_terms(target_kind="customer", target_id=1, terms=[("phone", "+1 555-0123", 5)])
    assert keys("phone") == {"15550123", "5550123", "0123"}


@pytest.mark.django_db
def test_a_serial_is_one_key() -> None:
    keep_terms(target_kind="damper", target_id=1, terms=[("serial", "KX-7 0042", 5)])
    assert keys("serial") == {"kx70042"}


@pytest.mark.django_db
def test_new_terms_take_the_place_of_the_old_ones_of_that_row_alone() -> None:
    keep_terms(target_kind="customer", target_id=1, terms=[("name", "Old", 1)])
    keep_terms(target_kind="customer", target_id=2, terms=[("name", "Other", 1)])
    keep_terms(target_kind="vehicle", target_id=1, terms=[("name", "Van", 1)])
    keep_terms(target_kind="customer", target_id=1, terms=[("name", "New", 1)])
    assert keys("name") == {"new", "other", "van"}


@pytest.mark.django_db
def test_a_word_twice_is_kept_once_with_the_greater_weight() -> None:
    keep_terms(
        target_kind="customer",
        target_id=1,
        terms=[("name", "Dorn", 1), ("name", "dorn", 9), ("name", " ", 9)],
    )
    assert list(SearchTerm.objects.values_list("key", "weight")) == [("dorn", 9)]

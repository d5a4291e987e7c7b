"""Whoever types a word of either trade finds what is written in the other: models, vehicles, items of the stores.

Seen red: with `both_words` giving the word alone (nothing of the other trade is found), and with the terms of people
let in (a customer called Rod is found as Shaft).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shopapp.customers import services as customers
from shopapp.customers.queries import customers as customers_found
from shopapp.dampers import queries
from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper
from shopapp.management import texts
from shopapp.people.models import Person
from shopapp.shop import trade_words
from shopapp.shop.services.acts import Call
from shopapp.shop.trade_words import MOST_WAYS, both_ways, both_words
from shopapp.stock import queries as stock
from tests.conftest import NOW
from tests.stock.shelf import an_item

pytestmark = pytest.mark.django_db


@pytest.fixture
def std(desk: Person) -> dict[str, Any]:
    return {"by": desk, "at": NOW}


def a_damper(name: str, std: dict[str, Any]) -> Damper:
    model = dampers.add_model(maker="Keldmark", name=name, construction="reservoir", call=Call.fresh(), **std)
    return dampers.add_damper(model=model, customer=None, serial="", call=Call.fresh(), **std)


def test_one_table_says_texts_and_finds_words() -> None:
    assert texts.US_WORDS is trade_words.US_WORDS
    for british, american in trade_words.US_WORDS.items():
        assert both_words(british) == [british, american]
        assert both_words(american) == [american, british]


def test_a_beginning_counts_from_four_letters_on() -> None:
    assert both_words("shoc") == ["shoc", "damper", "dampers"]
    assert both_words("sha") == ["sha"]
    assert both_words("piston") == ["piston"]
    assert both_ways("rod vice") == ["rod vice", "shaft vice", "rod vise", "shaft vise"]
    assert both_ways("") == [""]
    assert len(both_ways("rod " * 20)) == MOST_WAYS


@pytest.mark.parametrize(
    ("written", "typed"),
    [
        ("Steering damper 30", "shock"), ("Steering damper 30", "steering SHOCK"), ("Shock 2 in", "Damper"),
        ("Long rod 12", "long shaf"), ("Twin shaft", "rod twin"),
        ("Grey ghost", "gray"), ("Vise 4", "vice"),
    ],
)  # fmt: skip
def test_a_model_is_found_by_either_word(
    written: str, typed: str, std: dict[str, Any], desk: Person, client_as: Callable[[Person], Client]
) -> None:
    damper, other = a_damper(written, std), a_damper("Plain 9", std)
    found = list(queries.dampers(typed))
    assert found == [damper], (written, typed)
    page = client_as(desk).get("/dampers/", {"q": typed}).content.decode()
    assert written in page and "Plain 9" not in page
    assert other.pk != damper.pk


def test_the_page_that_finds_anything(std: dict[str, Any], desk: Person, client_as: Any) -> None:
    a_damper("Steering damper 30", std)
    a_damper("Damper, front", std)
    owner = customers.add_customer(name="Wyn Dallimore", call=Call.fresh(), **std)
    customers.add_vehicle(customer=owner, description="Grey buggy", call=Call.fresh(), **std)
    page = client_as(desk).get("/find", {"q": "shock"}, follow=True).content.decode()
    assert "Steering damper 30" in page and "Damper, front" in page
    page = client_as(desk).get("/find", {"q": "gray bug"}, follow=True).content.decode()
    assert "Wyn Dallimore" in page


def test_people_keep_their_own_names(std: dict[str, Any]) -> None:
    rod = customers.add_customer(name="Rod Dallimore", call=Call.fresh(), **std)
    customers.add_customer(name="Ada Shaft", call=Call.fresh(), **std)
    assert list(customers_found("rod")) == [rod]


def test_an_item_of_the_stores() -> None:
    wiper, jaws = an_item("W-1", "Rod wiper 3/4 in"), an_item("J-1", "Soft jaws for the vise")
    assert list(stock.items("shaft wiper")) == [wiper] == list(stock.items("ROD WIPER"))
    assert list(stock.items("vice")) == [jaws]
    assert list(stock.items("shaf")) == [wiper]

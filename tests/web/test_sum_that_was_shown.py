"""A price that changes between look-up and saving: the page comes back once, says both sums, and loses nothing.

Seen red: with the sums not compared; with the page keeping the old sum (it came back for ever); with the sum left out
of the page; in the browser with the sum that was shown kept after a change of the rows.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from shopapp.dampers.models import Damper
from shopapp.orders.models import WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call
from tests.web.test_new_order import URL, said

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


def shown_in(answer: Any) -> str:
    found = re.search(r'name="sum_shown" value="([^"]*)"', answer.content.decode())
    return found[1] if found else ""


def dearer(rebuild: WorkType, price: str) -> None:
    WorkType.objects.filter(pk=rebuild.pk).update(price=Decimal(price))


def test_the_same_sum_is_stored_at_once(client: Client, sheet: dict[str, str]) -> None:
    seen = shown_in(client.post(URL, sheet | {"look_up": "1"}))
    assert seen == "186.00"
    assert client.post(URL, sheet | {"sum_shown": seen}).status_code == 302
    assert WorkOrder.objects.get().expected_gross == Decimal(186)


def test_another_sum_comes_back_once_saying_both(
    client: Client, sheet: dict[str, str], rebuild: WorkType
) -> None:
    seen = shown_in(client.post(URL, sheet | {"look_up": "1"}))
    dearer(rebuild, "201.50")
    answer = client.post(URL, sheet | {"sum_shown": seen})
    page = said(answer)
    assert answer.status_code == 422
    assert "The sum you saw was $186.00; by the prices of now it is $201.50" in page
    for kept in ("Tops out.", "KM25-118834", "rack 2, A", sheet["act_key"]):
        assert kept in answer.content.decode(), kept
    assert not WorkOrder.objects.exists() and not Damper.objects.exists()
    assert not Act.objects.filter(verb="take_in").exists()
    again = sheet | {"sum_shown": shown_in(answer)}
    assert client.post(URL, again).status_code == 302
    assert client.post(URL, again).status_code == 302
    assert WorkOrder.objects.get().expected_gross == Decimal("201.50")


def test_a_tax_rate_of_meanwhile_counts(client: Client, sheet: dict[str, str], std: dict[str, Any]) -> None:
    from shopapp.money import services as money

    seen = shown_in(client.post(URL, sheet | {"look_up": "1"}))
    money.add_tax_rate(
        category="S", name="Sales tax", rate=Decimal("8.25"), since=std["at"].date().replace(month=1, day=1),
        call=Call.fresh(), **std,
    )  # fmt: skip
    assert "it is $201.35" in said(client.post(URL, sheet | {"sum_shown": seen}))


@pytest.mark.parametrize("text", ["", "0", "abc", "1e400", "9" * 30, "٣", "-1", "NaN", "\0"])
def test_what_is_no_sum_asks_nothing_and_breaks_nothing(
    client: Client, sheet: dict[str, str], text: str
) -> None:
    answer = client.post(URL, sheet | {"sum_shown": text})
    assert answer.status_code == (422 if text == "0" else 302)


def test_where_no_sum_was_seen_none_is_compared(client: Client, sheet: dict[str, str]) -> None:
    assert shown_in(client.get(URL)) == ""
    assert client.post(URL, sheet).status_code == 302

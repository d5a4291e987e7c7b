"""What the new-order sheet fills in by itself, so that nobody types it twice, and where it then asks on."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.orders.models import WorkOrder
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call

pytestmark = pytest.mark.django_db
URL = "/orders/new"
WAYS = [("parcel", "", "parcel"), ("counter", "", "counter"), ("parcel", "counter", "counter")]


@pytest.fixture
def client(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


def test_a_vehicle_that_is_chosen_by_itself_leads_on_to_its_meter(
    client: Client, sheet: dict[str, str], wyn: Customer, std: dict[str, Any]
) -> None:
    """Seen red with the focus left on the list of vehicles."""
    customers.add_vehicle(customer=wyn, description="buggy", call=Call.fresh(), **std)
    asked = sheet | {"new_name": "", "vehicle_description": "", "customer_text": "wyn", "look_up": "1"}
    page = client.post(URL, asked).content.decode()
    assert re.search(r'<input[^>]*name="meter"[^>]*autofocus', page)


def test_a_name_that_nobody_is_found_by_is_the_new_ones_until_somebody_is(
    client: Client, sheet: dict[str, str], wyn: Customer
) -> None:
    """Seen red with the name not taken over, and with it kept once somebody is found."""

    def fields(typed: dict[str, str]) -> dict[str, str]:
        page = client.post(URL, sheet | {"new_name": ""} | typed | {"look_up": "1"}).content.decode()
        found = re.findall(r'<input[^>]*name="(new_name|name_taken)"([^>]*)', page)
        return {name: (re.search(r'value="([^"]*)"', rest) or ["", ""])[1] for name, rest in found}

    taken = fields({"customer_text": "Wym Dalimore"})
    assert taken == {"new_name": "Wym Dalimore", "name_taken": "Wym Dalimore"}
    assert fields(taken | {"customer_text": "wyn"}) == {"new_name": "", "name_taken": ""}
    assert fields(taken | {"customer_text": "Sella"})["new_name"] == "Sella"
    assert fields(taken | {"customer_text": "wyn", "new_name": "Dal Imore"})["new_name"] == "Dal Imore"
    assert fields({"customer_text": "7K 204"})["new_name"] == ""
    assert not Customer.objects.exclude(pk=wyn.pk).exists()


@pytest.mark.parametrize(("comes", "leaves", "kept"), WAYS)
def test_it_leaves_as_it_comes_where_nothing_else_is_said(
    client: Client, sheet: dict[str, str], comes: str, leaves: str, kept: str
) -> None:
    """Seen red with the counter as the way out where the entry is blank."""
    assert client.post(URL, sheet | {"comes_by": comes, "leaves_by": leaves}).status_code == 302
    assert WorkOrder.objects.get().leaves_by == kept

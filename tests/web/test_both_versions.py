"""Two people at one row: the second sees both versions, keeps what was written, and loses nothing of the other's."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from typing import Any

import pytest
from django.test import Client

from shopapp.customers import services as customers
from shopapp.customers.models import Customer, Vehicle
from shopapp.orders import services as orders
from shopapp.orders.models import WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call

pytestmark = pytest.mark.django_db
Receive = Callable[..., WorkOrder]


@pytest.fixture
def order(receive: Receive) -> WorkOrder:
    return receive("KM25-1", complaint="Knocks.", leaves_by="parcel", leaves_carrier="Dray and Sons")


@pytest.fixture
def first(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


@pytest.fixture
def second(client_as: Callable[[Person], Client], owner: Person) -> Client:
    return client_as(owner)


def opened(client: Client, address: str, **typed: str) -> dict[str, str]:
    """Open a form as a browser would: every entry as it stands, empty ones empty."""
    html = client.get(address).content.decode()
    fields: dict[str, str] = {}
    for tag in re.findall(r"<input [^>]*>", html):
        given = {name: unescape(text) for name, text in re.findall(r'([a-z-]+)="([^"]*)"', tag)}
        ticked = given.get("type") not in ("checkbox", "radio") or " checked" in tag
        if "name" in given and ticked and given["name"] != "csrfmiddlewaretoken":
            fields[given["name"]] = given.get("value", "on" if given.get("type") == "checkbox" else "")
    for name, body in re.findall(r'<select name="([^"]+)".*?>(.*?)</select>', html, re.S):
        chosen = re.search(r'<option value="([^"]*)" selected', body)
        fields[name] = unescape(chosen.group(1)) if chosen else ""
    for name, body in re.findall(r'<textarea name="([^"]+)"[^>]*>(.*?)</textarea>', html, re.S):
        fields[name] = unescape(body).lstrip("\r\n")
    return fields | typed


def said(response: Any) -> str:
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))
    return unescape(text)


def again(response: Any, name: str) -> str:
    """Give what an entry of a refused form holds."""
    bound = response.context["form"][name]
    return str(bound.value() or "")


def test_where_both_wrote_both_stand_and_the_rest_is_taken_over(
    first: Client, second: Client, order: WorkOrder
) -> None:
    """Seen red: with the sentence alone (nothing beside), with the first's entry kept over the second's, with the
    carrier overwritten by what the second had read, and with the old revision left in the form (refused again)."""
    address = "/orders/1001/change"
    theirs = opened(first, address, complaint="Knocks, left.", leaves_carrier="Quay Freight 88")
    mine = opened(second, address, complaint="Squeaks.", limit_gross="400")
    assert first.post(address, theirs).status_code == 302
    refused = second.post(address, mine)
    assert refused.status_code == 422
    words = said(refused)
    assert "Order 1001 was changed by Pia on" in words
    assert "Taken over, because you had not touched it: Carrier." in words
    assert "Now it says “Knocks, left.”. What you wrote stands in the entry." in words
    assert (again(refused, "complaint"), again(refused, "limit_gross")) == ("Squeaks.", "400")
    assert again(refused, "leaves_carrier") == "Quay Freight 88"
    assert WorkOrder.objects.get().complaint == "Knocks, left."
    form = refused.context["form"]
    assert (
        second.post(address, {name: str(form[name].value() or "") for name in form.fields}).status_code == 302
    )
    kept = WorkOrder.objects.get()
    assert (kept.complaint, kept.limit_gross, kept.leaves_carrier) == ("Squeaks.", 400, "Quay Freight 88")


def test_a_third_change_is_seen_as_well(first: Client, second: Client, order: WorkOrder) -> None:
    """Seen red with what was first read kept in the form: what was taken over then counted as the second's own."""
    address = "/orders/1001/change"
    mine = opened(second, address, complaint="Squeaks.")
    assert first.post(address, opened(first, address, leaves_carrier="Quay Freight 88")).status_code == 302
    form = second.post(address, mine).context["form"]
    sent = {name: str(form[name].value() or "") for name in form.fields}
    theirs = opened(first, address, complaint="Knocks, left.", leaves_carrier="Quay Freight 99")
    assert first.post(address, theirs).status_code == 302
    refused = second.post(address, sent)
    assert "Taken over, because you had not touched it: Carrier." in said(refused)
    assert "Now it says “Knocks, left.”" in said(refused)
    assert (again(refused, "complaint"), again(refused, "leaves_carrier")) == ("Squeaks.", "Quay Freight 99")


def test_what_both_wrote_alike_is_no_difference(first: Client, second: Client, order: WorkOrder) -> None:
    address = "/orders/1001/change"
    mine = opened(second, address, complaint="Knocks, left.")
    assert first.post(address, opened(first, address, complaint="Knocks, left.")).status_code == 302
    words = said(second.post(address, mine))
    assert "Nothing of yours is stored yet" in words
    assert "Now it says" not in words and "Taken over" not in words


@pytest.mark.parametrize("lost", ["", "{", "[1]", '"x"', "null", '{"complaint": 5}'])
def test_without_what_was_read_nothing_is_taken_over(
    first: Client, second: Client, order: WorkOrder, lost: str
) -> None:
    """What was read may be lost or made up on the way: then every difference is shown, and what was typed stays."""
    address = "/orders/1001/change"
    mine = opened(second, address, as_read=lost)
    assert first.post(address, opened(first, address, leaves_carrier="Quay Freight 88")).status_code == 302
    refused = second.post(address, mine)
    assert refused.status_code == 422
    assert "Now it says “Quay Freight 88”" in said(refused)
    assert again(refused, "leaves_carrier") == "Dray and Sons"


def test_choices_ticks_and_lines_are_said_in_their_words(
    first: Client, second: Client, order: WorkOrder, std: dict[str, Any]
) -> None:
    customer = Customer.objects.get()
    vehicle = customers.add_vehicle(customer=customer, description="buggy", call=Call.fresh(), **std)
    address = f"/vehicles/{vehicle.pk}/change"
    mine = opened(second, address, description="buggy, two seats", hard_use="on")
    assert (
        first.post(address, opened(first, address, description="dune buggy", plate="ABC 1")).status_code
        == 302
    )
    refused = second.post(address, mine)
    assert "Taken over, because you had not touched it: Plate." in said(refused)
    assert "Now it says “dune buggy”" in said(refused)
    assert again(refused, "hard_use") == "True"
    assert Vehicle.objects.get().description == "dune buggy"
    address = f"/customers/{customer.pk}/change"
    mine = opened(second, address, kind="firm", phones="555-0199")
    theirs = opened(first, address, phones="555-0101\r\n555-0102", note="rings on Fridays")
    assert first.post(address, theirs).status_code == 302
    refused = second.post(address, mine)
    assert "Taken over, because you had not touched it: Note." in said(refused)
    assert "Now it says “555-0101 555-0102”" in said(refused)
    assert (again(refused, "kind"), again(refused, "phones")) == ("firm", "555-0199")


def test_the_owners_forms_show_both_versions_too(
    client_as: Callable[[Person], Client], owner: Person, rebuild: WorkType
) -> None:
    here, there = client_as(owner), client_as(owner)
    address = f"/owner/work-types/{rebuild.pk}"
    mine = opened(there, address, price="190.00")
    assert here.post(address, opened(here, address, price="200.00", minutes="95")).status_code == 302
    refused = there.post(address, mine)
    assert refused.status_code == 422, refused
    assert "Now it says “200.00”" in said(refused)
    assert again(refused, "minutes") == "95"
    assert WorkType.objects.get().price == 200


def test_a_row_that_was_not_read_again_is_only_said_to_be_stale(
    second: Client, order: WorkOrder, std: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other's change may come between reading the row and writing it. Seen red: the old row was shown as new."""
    address = "/orders/1001/change"
    mine = opened(second, address, complaint="Squeaks.")
    real = orders.change_order

    def late(**asked: Any) -> Any:
        monkeypatch.setattr(orders, "change_order", real)
        orders.change_order(
            order=WorkOrder.objects.get(), revision=1, promised=None, limit_gross=None, complaint="Knocks, left.",
            call=Call.fresh(), **std,
        )  # fmt: skip
        return real(**asked)

    monkeypatch.setattr(orders, "change_order", late)
    refused = second.post(address, mine)
    assert "Look at it again, then enter your change once more." in said(refused)
    assert again(refused, "revision") == "1"

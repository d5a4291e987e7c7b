# ruff: noqa: F811 (the bench is a fixture of another folder)
"""Erasing a customer: who they were is in no table any more, what was issued, paid and measured is as it was.

Seen red: with the doubles left as they were, with the terms of a vehicle kept, with remarks kept, with the open order
or what is not invoiced not looked at, with the name not compared, and on PostgreSQL with the customer's row not held
while an order is received.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import models
from django.test import Client

from shopapp.customers import services as customers
from shopapp.customers.models import Customer, Vehicle
from shopapp.customers.services import NewContact
from shopapp.dampers.models import Ownership
from shopapp.money import services as money
from shopapp.orders import services as orders
from shopapp.orders.models import OrderLine, Remark, WorkOrder
from shopapp.orders.services import DamperIn
from shopapp.people.models import Person
from shopapp.shop.models import Act, SearchTerm
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.conftest import times
from tests.faults.cutting import cut_at_each_statement
from tests.faults.racing import race
from tests.money.rows import done, rate

pytestmark = pytest.mark.django_db
ClientAs = Callable[[Person], Client]
# Words that stand nowhere else: each is looked for in every column of every table afterwards.
NAME, DOUBLE, PHONE, MAIL = "Wyn Dallimore", "Quillanmare W.", "555-0118", "quillan@example.com"
PLATE, SAID, TO_WHOM = "QZ 77 XK", "zonkwhistling at the rear", "Perchbury Naddle"
GONE = (DOUBLE, PHONE, MAIL, PLATE, SAID, TO_WHOM, "5550118", "qz77xk", "quillanmare", "vorpal note")
EVIDENCE = {"Paper", "Invoice", "WorkConsent", "Signature"}


def erase(bench: Bench, name: str = NAME, call: Call | None = None, by: Person | None = None) -> None:
    customers.erase_customer(
        customer=Customer.objects.get(pk=bench.order.customer_id), typed_name=name, by=by or bench.owner,
        at=bench.at, call=call or Call.fresh(),
    )  # fmt: skip


def known_well(bench: Bench) -> None:
    """Let the shop know much about the customer, under two entries."""
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at}
    customer = Customer.objects.get(pk=bench.order.customer_id)
    customers.change_customer(
        customer=customer, revision=customer.revision, kind="person", name=NAME, note="vorpal note",
        contacts=[NewContact("phone", PHONE), NewContact("email", MAIL)], call=Call.fresh(), **std,
    )  # fmt: skip
    double = customers.add_customer(name=DOUBLE, call=Call.fresh(), **std)
    customers.add_vehicle(
        customer=double, description="quad", plate=PLATE, use=SAID, call=Call.fresh(), **std
    )
    customers.merge_customers(double=double, into=customer, call=Call.fresh(), **std)
    WorkOrder.objects.filter(pk=bench.order.pk).update(complaint=SAID)
    orders.void_order(order=WorkOrder.objects.get(pk=bench.order.pk), why=SAID, call=Call.fresh(), **std)
    bench.order.jobs.update(handed_over_to=TO_WHOM)


def everywhere(text: str) -> list[str]:
    """List the tables in which a text stands, in any column, whatever its case."""
    found = []
    for table in apps.get_app_config("shopapp").get_models():
        columns = [
            field.attname
            for field in table._meta.concrete_fields
            if isinstance(field, (models.CharField, models.TextField, models.JSONField))
        ]
        for row in table._default_manager.values_list(*columns) if columns else ():
            if any(text.casefold() in str(value).casefold() for value in row):
                found.append(table.__name__)
    return sorted(set(found) - EVIDENCE)


def test_who_they_were_stands_nowhere(bench: Bench) -> None:
    known_well(bench)
    assert all(everywhere(text) for text in (DOUBLE, PHONE, MAIL, PLATE, SAID, TO_WHOM))
    erase(bench)
    assert {text: everywhere(text) for text in GONE} == {text: [] for text in GONE}
    assert everywhere(NAME) == []
    assert Customer.objects.filter(erased_at__isnull=False).count() == 2
    assert not Ownership.objects.filter(customer=bench.order.customer, current=True).exists()
    assert Remark.objects.count() == 0
    assert not SearchTerm.objects.filter(target_kind="customer").exists()
    act = Act.objects.get(verb="erase_customer")
    assert NAME not in f"{act.result}{act.changed}{act.request_hash}"
    call_command("check_books", verbosity=0)


def test_not_while_something_is_open_or_owed(bench: Bench) -> None:
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at}
    with pytest.raises(Refused, match=f"Order {bench.order.number} is open"):
        erase(bench)
    bench.order.jobs.update(is_open=False, state="done", outcome="unrepaired", closed_at=bench.at)
    with pytest.raises(Refused, match=f"Order {bench.order.number} is not invoiced"):
        erase(bench)
    OrderLine.objects.all().delete()
    erase(bench)
    with pytest.raises(Refused, match="erased or merged"):
        erase(bench, name=Customer.objects.get(pk=bench.order.customer_id).name)
    with pytest.raises(Refused, match="erased or merged"):
        rows = [DamperIn(damper=bench.job.damper, work_type=bench.job.work_type)]
        orders.receive_order(customer=bench.order.customer, dampers=rows, call=Call.fresh(), **std)


def test_not_while_an_invoice_is_unpaid_whole(bench: Bench, client_as: ClientAs) -> None:
    """Seen red without the look at unpaid invoices, and with one that is paid counted too."""
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at}
    rate(bench.owner)
    done(bench.order)
    bench.order.jobs.update(is_open=False)
    invoice = money.issue_invoice(order=bench.order, call=Call.fresh(), **std)
    path, client = f"/customers/{bench.order.customer_id}/erase", client_as(bench.owner)
    for paid in ("0.01", str(invoice.gross - Decimal("0.01"))):
        with pytest.raises(Refused) as no:
            erase(bench)
        assert no.value.sentence == f"Invoice {invoice} is not paid yet."
        page = client.get(path).content.decode()
        assert f"Invoice {invoice} is not paid yet." in page and "typed_name" not in page
        answer = client.post(path, {"act_key": f"k{paid}", "typed_name": NAME})
        assert answer.status_code == 422 and f"Invoice {invoice} is not paid yet." in answer.content.decode()
        assert Customer.objects.get(pk=bench.order.customer_id).name == NAME
        money.take_payment(
            order=bench.order, invoice=invoice, amount=Decimal(paid), how="cash", call=Call.fresh(), **std
        )
    assert "typed_name" in client.get(path).content.decode()
    answer = client.post(path, {"act_key": "paid", "typed_name": NAME})
    assert answer.headers["Location"] == f"/customers/{bench.order.customer_id}"
    assert Customer.objects.get(pk=bench.order.customer_id).erased_at is not None


def test_the_name_is_typed_and_twice_is_once(bench: Bench) -> None:
    known_well(bench)
    with pytest.raises(Refused, match="Type the name"):
        erase(bench, name="Wyn")
    call = Call.once("erase")
    erase(bench, name="  wyn   DALLIMORE ", call=call)
    with pytest.raises(AlreadyDone):
        erase(bench, name="  wyn   DALLIMORE ", call=call)


def test_nothing_is_written_to_one_who_was_erased(bench: Bench) -> None:
    """Seen red while a page that was opened afterwards could give them a name again."""
    known_well(bench)
    erase(bench)
    gone = Customer.objects.get(pk=bench.order.customer_id)
    with pytest.raises(Refused, match="is erased"):
        customers.change_customer(
            customer=gone, revision=gone.revision, kind="person", name=NAME, contacts=[], by=bench.desk,
            at=bench.at, call=Call.fresh(),
        )  # fmt: skip
    order, vehicle = WorkOrder.objects.get(pk=bench.order.pk), Vehicle.objects.get(customer=gone)
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at}
    with pytest.raises(Refused, match="what was agreed stays as it is"):
        orders.change_order(
            order=order, revision=order.revision, promised=None, limit_gross=None, complaint=f"for {NAME}",
            who=NAME, why="called", call=Call.fresh(), **std,
        )  # fmt: skip
    with pytest.raises(Refused, match="nothing more is written about it"):
        customers.change_vehicle(
            vehicle=vehicle, revision=vehicle.revision, description=NAME, call=Call.fresh(), **std
        )
    assert everywhere(NAME) == []


@pytest.mark.django_db(transaction=True)
def test_cut_off_they_are_erased_or_not(bench: Bench) -> None:
    known_well(bench)
    call = Call.once("erase")
    assert cut_at_each_statement(lambda: erase(bench, call=call)) >= 10
    assert everywhere(DOUBLE) == []


@pytest.mark.skipif(
    "sqlite" in settings.DATABASES["default"]["ENGINE"] and not os.environ.get("SHOP_TEST_SQLITE"),
    reason="two connections need a file database: set SHOP_TEST_SQLITE to a path",
)
@pytest.mark.django_db(transaction=True)
def test_in_a_race_with_an_order_one_of_them_is(bench: Bench) -> None:
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at}
    rows = [DamperIn(damper=bench.job.damper, work_type=bench.job.work_type)]
    orders.void_order(order=bench.order, why="brought twice", call=Call.fresh(), **std)
    for number in range(times(3, 20)):
        name = f"Racer {number}"
        racer = customers.add_customer(name=name, call=Call.fresh(), **std)

        def receive(racer: Customer = racer) -> WorkOrder:
            return orders.receive_order(customer=racer, dampers=rows, call=Call.fresh(), **std)

        def forget(racer: Customer = racer, name: str = name) -> None:
            customers.erase_customer(customer=racer, typed_name=name, call=Call.fresh(), **std)

        ends = race([receive, forget])
        erased = Customer.objects.get(pk=racer.pk).erased_at is not None
        received = WorkOrder.objects.filter(customer=racer)
        assert erased != received.exists(), ends
        for order in received:
            orders.void_order(order=order, why="raced", call=Call.fresh(), **std)


def test_from_the_page_by_the_owner_alone(bench: Bench, client_as: ClientAs) -> None:
    path = f"/customers/{bench.order.customer_id}/erase"
    assert client_as(bench.desk).get(path).status_code == 403
    assert client_as(bench.desk).post(path, {}).status_code == 403
    client = client_as(bench.owner)
    page = client.get(path).content.decode()
    assert "is open: hand the dampers over first" in page and "typed_name" not in page
    answer = client.post(path, {"act_key": "k0", "typed_name": NAME})
    assert answer.status_code == 422 and "is open" in answer.content.decode()
    known_well(bench)
    assert (
        "Erase them"
        not in client_as(bench.desk).get(f"/customers/{bench.order.customer_id}").content.decode()
    )
    assert DOUBLE in client.get(path).content.decode()
    answer = client.post(path, {"act_key": "k1", "typed_name": "Wyn"})
    assert answer.status_code == 422 and "Type the name as it stands above" in answer.content.decode()
    for _again in range(2):
        answer = client.post(path, {"act_key": "k2", "typed_name": NAME})
        assert answer.headers["Location"] == f"/customers/{bench.order.customer_id}"
    page = client.get(f"/customers/{bench.order.customer_id}").content.decode()
    assert "Who this was is erased since" in page and "New order" not in page.split("<main")[-1]
    assert client.get(path).status_code == 302
    assert client.get(f"/orders/{bench.order.number}").status_code == 200


def test_nothing_is_added_for_one_who_was_erased(bench: Bench, client_as: ClientAs) -> None:
    """Seen red without the look of `add_order_line`, and without `hold_customer` in `add_vehicle`."""
    known_well(bench)
    erase(bench)
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at}
    order = WorkOrder.objects.get(pk=bench.order.pk)
    with pytest.raises(Refused, match="is erased: no line is added"):
        orders.add_order_line(
            order=order,
            job=None,
            what="postage",
            quantity=Decimal(1),
            price=Decimal(9),
            call=Call.fresh(),
            **std,
        )
    with pytest.raises(Refused, match="was erased or merged meanwhile"):
        customers.add_vehicle(customer=order.customer, description="quad", call=Call.fresh(), **std)
    vehicles = Vehicle.objects.count()
    line = {
        "act_key": "k7", "job": "", "what": "postage", "quantity": "1", "unit": "piece", "price": "9",
        "tax_category": "S",
    }  # fmt: skip
    client = client_as(bench.desk)
    answer = client.post(f"/orders/{order.number}/lines", line)
    page = answer.content.decode()
    assert answer.status_code == 422 and "is erased: no line is added" in page and "postage" in page
    url = f"/customers/{order.customer_id}/vehicles/new"
    answer = client.post(url, {"act_key": "k8", "description": "quad", "counts_distance": "on"})
    assert answer.status_code in (404, 422)
    assert not OrderLine.objects.filter(comes_from="hand").exists() and Vehicle.objects.count() == vehicles
    call_command("check_books", verbosity=0)


@pytest.mark.skipif(
    "sqlite" in settings.DATABASES["default"]["ENGINE"] and not os.environ.get("SHOP_TEST_SQLITE"),
    reason="two connections need a file database: set SHOP_TEST_SQLITE to a path",
)
@pytest.mark.django_db(transaction=True)
def test_in_a_race_with_a_line_one_of_them_is(bench: Bench) -> None:
    """Seen red on PostgreSQL with the customer's row read without a lock."""
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at}
    for number in range(times(4, 20)):
        name = f"Racer {number}"
        racer = customers.add_customer(name=name, call=Call.fresh(), **std)
        job = bench.fresh_order()
        order = job.order
        WorkOrder.objects.filter(pk=order.pk).update(customer=racer)
        orders.void_order(order=order, why="raced", call=Call.fresh(), **std)

        def bill(order: WorkOrder = order) -> OrderLine:
            return orders.add_order_line(
                order=WorkOrder.objects.get(pk=order.pk), job=None, what="postage", quantity=Decimal(1),
                price=Decimal(9), call=Call.fresh(), **std,
            )  # fmt: skip

        def forget(racer: Customer = racer, name: str = name) -> None:
            customers.erase_customer(customer=racer, typed_name=name, call=Call.fresh(), **std)

        ends = race([bill, forget] if number % 2 else [forget, bill])
        erased = Customer.objects.get(pk=racer.pk).erased_at is not None
        assert erased != OrderLine.objects.filter(order=order).exists(), ends

"""An order and a customer as files: whole, by their published schemas, for the office alone.

Seen red: with a field of the entry left out (schema and table), with a correction's `replaced_by` not given, with the
papers of another order mixed in, with who recorded an entry read one by one, with the right given to everyone.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, models
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.calc import units
from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.due.models import Signature
from shopapp.money import services as money
from shopapp.orders import services as orders
from shopapp.orders.models import Remark, Terms, WorkOrder
from shopapp.people.models import Person
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call
from shopapp.web.exports import customer_document, order_document
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.due.test_parcels import send
from tests.due.test_signatures import HAND
from tests.web.exported import INSIDE, WRITTEN, faults, properties

pytestmark = pytest.mark.django_db
ClientAs = Callable[[Person], Client]


def busy(bench: Bench) -> None:  # noqa: F811
    """Let something of nearly every kind happen to the order."""
    by_desk = {"by": bench.desk, "at": bench.at}
    customers.record_meter(
        vehicle=bench.order.vehicle, distance=units.parse("12400 km", "distance"), on=bench.at.date(),
        source="the customer", call=Call.fresh(), **by_desk,
    )  # fmt: skip
    bench.through("release-zero")
    wrong = bench.do("strip-ifp-depth", "reading", text="3 1/16")
    bench.do("strip-ifp-depth", "reading", text="3", replaces=wrong.pk)
    orders.record_work_consent(
        order=bench.order, yes=True, who="Wyn Dallimore", how="by phone", amount=Decimal("600.00"),
        call=Call.fresh(), **by_desk,
    )  # fmt: skip
    money.take_payment(order=bench.order, amount=Decimal("100.00"), how="cash", call=Call.fresh(), **by_desk)


def the_order(bench: Bench) -> dict[str, Any]:  # noqa: F811
    return order_document(bench.order, shop=bench.shop, at=bench.at)


def test_an_order_is_as_its_schema_says(bench: Bench) -> None:  # noqa: F811
    busy(bench)
    document = the_order(bench)
    assert faults(document) == []
    order = document["order"]
    assert order["number"] == bench.order.number
    assert [job["damper"]["serial"] for job in order["jobs"]] == ["118834", "118835"]
    assert order["answers"][0]["amount"] in ("600", "600.00")
    assert Decimal(order["payments"][0]["amount"]) == 100
    assert {act["verb"] for act in order["history"]} >= {"receive_order", "record_entry", "take_payment"}


def test_a_correction_stands_beside_what_it_corrects(bench: Bench) -> None:  # noqa: F811
    busy(bench)
    entries = the_order(bench)["order"]["jobs"][0]["entries"]
    depths = [row for row in entries if row["step"] and row["step"]["code"] == "strip-ifp-depth"]
    first, second = depths
    assert (first["value"]["text"], second["value"]["text"]) == ("3 1/16", "3")
    assert (first["replaced_by"], second["replaces"]) == (second["id"], first["id"])
    assert first["value"]["si"] == pytest.approx(0.0777875)
    assert first["value"]["si_unit"] == "m"


def test_what_was_agreed_said_signed_and_sent_stands_in_it(bench: Bench) -> None:  # noqa: F811
    """Seen red with each of the four left out, and with a signature's strokes written as words."""
    act = Act.objects.get(verb="receive_order", result__order=bench.order.pk)
    terms = Terms.objects.create(
        version=3, text="We rebuild by the maker's sheet.", since=bench.at.date(), act=act
    )
    WorkOrder.objects.filter(pk=bench.order.pk).update(terms=terms, terms_accepted_how="by e-mail")
    bench.do("", "close", outcome="unrepaired", words="declined")
    send(bench)
    Remark.objects.create(order=bench.order, act=act, words="the lid is taped")
    Signature.objects.create(
        order=bench.order,
        what="brought",
        name="Wyn Dallimore",
        strokes=HAND,
        by=bench.desk,
        at=bench.at,
        act=act,
    )
    bench.order.refresh_from_db()
    document = the_order(bench)
    assert faults(document) == []
    order = document["order"]
    assert order["terms"] == {"version": 3, "text": terms.text, "accepted_how": "by e-mail"}
    assert [row["about"] for row in order["remarks"]] == ["send_parcel", "receive_order"]
    assert order["remarks"][1]["words"] == "the lid is taped"
    (signed,) = order["signatures"]
    assert (signed["what"], signed["name"], signed["strokes"]) == ("brought", "Wyn Dallimore", HAND)
    (sent,) = order["parcels"]
    assert (sent["number"], sent["carrier"], sent["gas"]) == (1, "Harbour Freightways", "charged")
    assert order["jobs"][0]["parcel"] is not None


def test_a_customer_is_as_the_schema_says_with_all_their_orders(bench: Bench) -> None:  # noqa: F811
    busy(bench)
    other = customers.add_customer(name="Wyn Dalimore", by=bench.desk, at=bench.at, call=Call.fresh())
    Customer.objects.filter(pk=other.pk).update(merged_into=bench.order.customer)
    bench.fresh_order()
    document = customer_document(bench.order.customer, shop=bench.shop, at=bench.at)
    assert faults(document) == []
    found = document["customer"]
    assert [order["number"] for order in found["orders"]] == sorted(
        order.number for order in bench.order.customer.orders.all()
    )
    assert [one["name"] for one in found["merged"]] == ["Wyn Dalimore"]
    assert found["vehicles"][0]["readings"][0]["distance"]["text"] == "12400 km"
    assert len(found["dampers"]) == 3


def test_another_order_s_papers_and_acts_stay_out(bench: Bench) -> None:  # noqa: F811
    other = bench.fresh_order()
    document = order_document(other.order, shop=bench.shop, at=bench.at)
    assert [act["verb"] for act in document["order"]["history"]] == ["receive_order"]


@pytest.mark.parametrize("table", WRITTEN, ids=lambda table: table.__name__)
def test_no_field_of_a_table_is_forgotten(table: type[models.Model]) -> None:
    definition, elsewhere = WRITTEN[table]
    written = properties(definition)
    columns = {field.name for field in table._meta.concrete_fields}
    measured = {name: name.rsplit("_", 1)[0] for name in columns if name.endswith(("_si", "_unit", "_text"))}
    named = {**measured, **elsewhere}
    assert set(elsewhere) <= columns, "names a field that is gone"
    forgotten = {name for name in columns if named.get(name, name) not in {*written, ""}}
    assert not forgotten


def test_every_table_that_leads_to_a_customer_is_written() -> None:
    """A table that comes later and names a customer, an order, a job or a vehicle has to be exported as well."""
    from django.apps import apps

    leads = {Customer}
    tables = [table for table in apps.get_app_config("shopapp").get_models() if not table._meta.auto_created]
    grown = True
    while grown:
        more = {
            table
            for table in tables
            for field in table._meta.concrete_fields
            if field.is_relation and field.related_model in leads and table not in leads
        }
        leads |= more
        grown = bool(more)
    lent = {
        "ServiceSpec",
        "SpecFigure",
        "SpecKit",
        "SpecTool",
        "Checkout",
    }  # of the shop's own, not of a customer
    missing = {table.__name__ for table in leads - set(WRITTEN) - INSIDE} - lent
    assert not missing


def test_the_page_gives_a_file_and_the_command_the_same(bench: Bench, client_as: ClientAs) -> None:  # noqa: F811
    busy(bench)
    answer = client_as(bench.desk).get(f"/orders/{bench.order.number}/export")
    assert answer.headers["Content-Disposition"] == f'attachment; filename="order-{bench.order.number}.json"'
    assert answer.headers["Cache-Control"] == "no-store"
    out = StringIO()
    call_command("export_order", str(bench.order.number), "--format", "json", stdout=out)
    assert json.loads(out.getvalue())["order"] == json.loads(answer.content)["order"]
    page = client_as(bench.desk).get(f"/customers/{bench.order.customer_id}/export")
    out = StringIO()
    call_command("export_customer", str(bench.order.customer_id), stdout=out)
    assert json.loads(out.getvalue())["customer"] == json.loads(page.content)["customer"]


@pytest.mark.parametrize("command", ["export_order", "export_customer"])
@pytest.mark.parametrize("number", ["0", "999999", str(10**30), "-1"])
def test_what_is_not_there_is_said(command: str, number: str) -> None:
    with pytest.raises(CommandError, match="There is no"):
        call_command(command, f"{number}") if number != "-1" else call_command(command, "--", number)


def test_who_may_and_how(bench: Bench, client_as: ClientAs) -> None:  # noqa: F811
    for path in (f"/orders/{bench.order.number}/export", f"/customers/{bench.order.customer_id}/export"):
        assert client_as(bench.desk).get(path).status_code == 200
        assert client_as(bench.owner).get(path).status_code == 200
        assert client_as(bench.technician).get(path).status_code == 403
        assert client_as(bench.desk).post(path).status_code == 405
        assert Client().get(path).status_code == 302
    assert client_as(bench.desk).get("/orders/999999/export").status_code == 404
    assert client_as(bench.desk).get("/customers/999999/export").status_code == 404


def test_the_queries_grow_neither_with_entries_nor_with_orders(bench: Bench) -> None:  # noqa: F811
    def asked() -> int:
        with CaptureQueriesContext(connection) as caught:
            customer_document(bench.order.customer, shop=bench.shop, at=dt.datetime.now(dt.UTC))
        return len(caught)

    busy(bench)
    bench.fresh_order()
    two = asked()
    bench.fresh_order()
    bench.unlock("charge")
    assert asked() == two

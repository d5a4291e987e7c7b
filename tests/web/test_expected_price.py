"""What a new order comes to: said on the sheet, kept with the order, asked about where the limit is below it.

Seen red, each test by a break of its own: a row's gross as its net; the part alone answered by the whole sheet; the
work for all not read; the sums neither kept with the order nor named by the act; the tick under a low limit not
looked at; the limit held against the net sum, refused at the very sum, not asked about beside the prices; everybody
taxed; a missing rate kept silent; one tax basis for all shops; warranty at its price, free against the desk's word,
never free.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from shopapp.customers.models import Customer
from shopapp.dampers.models import DamperModel
from shopapp.money import services as money
from shopapp.money.expected import expected
from shopapp.orders import services as orders
from shopapp.orders.models import WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act, Shop
from shopapp.shop.services.acts import Call
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.web.test_comebacks import send_home
from tests.web.test_new_order import URL, said

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 3, 2)


@pytest.fixture
def client(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


@pytest.fixture
def taxed(std: dict[str, Any]) -> None:
    money.add_tax_rate(
        category="S",
        name="Sales tax",
        rate=Decimal("8.25"),
        since=dt.date(2026, 1, 1),
        call=Call.fresh(),
        **std,
    )


@pytest.fixture
def two(sheet: dict[str, str], model: DamperModel) -> dict[str, str]:
    """Give the sheet with a second damper, whose work is that of the first."""
    return sheet | {"r2_place": "front right", "r2_tag": "KM25-118835", "r2_model": str(model.pk)}


@pytest.mark.usefixtures("taxed")
def test_each_row_and_the_sum_stand_on_the_sheet(client: Client, two: dict[str, str]) -> None:
    page = said(client.post(URL, two | {"look_up": "1"}))
    assert page.count("$186.00 $201.35") == 2
    assert "Expected in all $372.00 $402.69" in page


@pytest.mark.usefixtures("taxed")
def test_the_part_alone_is_asked_for_while_work_is_chosen(
    client: Client,
    two: dict[str, str],
    rebuild: WorkType,
    std: dict[str, Any],
) -> None:
    look = orders.add_work_type(
        code="look", name="Inspection", price=Decimal("42.00"), call=Call.fresh(), **std
    )
    acts = Act.objects.count()
    response = client.post(URL, two | {"look_up": "agreed", "r2_work": str(look.pk)})
    text = said(response)
    assert response.status_code == 200 and "<form" not in response.content.decode()
    assert "Expected in all $228.00 $246.81" in text and "Inspection" in text
    every = two | {"look_up": "agreed", "r1_work": "", "work": str(look.pk)}
    assert "Expected in all $84.00 $90.93" in said(client.post(URL, every))
    assert "once its dampers and their work are chosen" in said(client.post(URL, every | {"work": ""}))
    assert Act.objects.count() == acts and not WorkOrder.objects.exists()


@pytest.mark.usefixtures("taxed")
def test_it_is_kept_as_it_was_said(
    client: Client,
    two: dict[str, str],
    std: dict[str, Any],
) -> None:
    assert client.post(URL, two).status_code == 302
    order = WorkOrder.objects.get()
    assert (order.expected_net, order.expected_gross) == (Decimal("372.00"), Decimal("402.69"))
    assert Decimal(Act.objects.get(verb="take_in").result["expected"]) == Decimal("402.69")
    receipt = said(client.post(f"/orders/{order.number}/receipt", {"act_key": new_key()}, follow=True))
    assert "Expected, with tax $402.69 ($372.00 without tax)" in receipt
    orders.add_order_line(
        order=order, job=None, what="New bushing", quantity=Decimal(1), unit="piece", price=Decimal(100),
        tax_category="S", call=Call.fresh(), **std,
    )  # fmt: skip
    page = said(client.get(f"/orders/{order.number}"))
    assert "Expected when received, with tax $402.69" in page and "Comes to, with tax $510.94" in page
    receipt = said(client.post(f"/orders/{order.number}/receipt", {"act_key": new_key()}, follow=True))
    assert (
        "Expected when received, with tax $402.69" in receipt
        and "As it stands now, with tax $510.94" in receipt
    )


@pytest.mark.usefixtures("taxed")
def test_a_limit_below_it_is_asked_about_and_not_refused(
    client: Client,
    two: dict[str, str],
) -> None:
    low = two | {"limit_gross": "402.68"}
    question = "The work comes to $402.69 with tax, more than this limit."
    assert question in said(client.post(URL, low | {"look_up": "agreed"}))
    response = client.post(URL, low)
    assert response.status_code == 422 and question in said(response)
    assert 'name="limit_below"' in response.content.decode()
    assert not WorkOrder.objects.exists()
    assert client.post(URL, low | {"limit_below": "on"}).status_code == 302
    assert WorkOrder.objects.get().limit_gross == Decimal("402.68")


@pytest.mark.usefixtures("taxed")
def test_a_limit_of_the_very_sum_asks_nothing(client: Client, two: dict[str, str]) -> None:
    assert client.post(URL, two | {"limit_gross": "402.69"}).status_code == 302


@pytest.mark.usefixtures("taxed")
def test_who_is_exempt_pays_no_tax(
    client: Client,
    two: dict[str, str],
    wyn: Customer,
) -> None:
    Customer.objects.filter(pk=wyn.pk).update(exemption="farm")
    known = two | {
        "new_name": "",
        "customer": str(wyn.pk),
        "vehicle_description": "",
        "vehicle_plate": "",
        "meter": "",
    }
    assert "Expected in all $372.00 $372.00" in said(client.post(URL, known | {"look_up": "1"}))
    assert client.post(URL, known).status_code == 302
    assert WorkOrder.objects.get().expected_gross == Decimal("372.00")


def test_without_a_rate_it_says_that_the_tax_is_missing(client: Client, two: dict[str, str]) -> None:
    assert "There is no tax rate for S" in said(client.post(URL, two | {"look_up": "1"}))


def test_each_rate_is_taxed_once_or_line_by_line(rebuild: WorkType, shop: Shop, std: dict[str, Any]) -> None:
    """186 a piece at 8.25 %: 15.345 of tax on each, 46.035 on three; line by line each is rounded up first."""
    money.add_tax_rate(
        category="S",
        name="Sales tax",
        rate=Decimal("8.25"),
        since=dt.date(2026, 1, 1),
        call=Call.fresh(),
        **std,
    )
    work = [(rebuild, False)] * 3
    assert expected(work, customer=None, on=DAY, shop=shop).tax == Decimal("46.04")
    shop.tax_basis = Shop.TaxBasis.LINE
    assert expected(work, customer=None, on=DAY, shop=shop).tax == Decimal("46.05")
    assert expected([*work, (rebuild, True)], customer=None, on=DAY, shop=shop).rows[-1].gross == 0


def test_under_warranty_a_row_is_free_unless_the_desk_says_otherwise(
    bench: Bench,  # noqa: F811
    client_as: Callable[[Person], Client],
) -> None:
    type(bench.job.work_type).objects.update(warranty_days=180)
    first = send_home(bench)
    type(first).objects.filter(pk=first.pk).update(
        handed_over_at=dt.datetime.now(dt.UTC) - dt.timedelta(days=20)
    )
    asked = {
        "act_key": new_key(), "customer": str(bench.order.customer_id), "r1_tag": bench.job.damper.tag,
        "r1_work": str(bench.job.work_type_id), "look_up": "agreed",
    }  # fmt: skip
    desk = client_as(bench.desk)
    assert "under warranty, no charge $0.00 $0.00" in said(desk.post(URL, asked))
    assert "under warranty, no charge $0.00 $0.00" in said(desk.post(URL, asked | {"r1_back": "free"}))
    assert "Rebuild $186.00" in said(desk.post(URL, asked | {"r1_back": "priced"}))

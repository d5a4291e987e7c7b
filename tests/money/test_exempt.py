"""A customer who is exempt pays 0 %, with the exemption's words on the paper, for as long as it holds."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.customers.services import Exemption
from shopapp.money import services as money
from shopapp.money.handlers import invoices_book
from shopapp.money.queries import order_money
from shopapp.orders.models import WorkOrder
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act, Shop
from shopapp.shop.services.acts import Call, Refused
from shopapp.web.queries.sums import sums_of

from .rows import NOW, add_line, an_order, done, rate

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
WORDS = "Exempt from tax: resale, certificate R-117"


@pytest.fixture
def order(desk: Person) -> WorkOrder:
    rate(desk)
    return an_order(desk, jobs=1)


def exempt(customer: Customer, by: Person, exemption: Exemption | None) -> None:
    customers.change_customer(
        customer=customer, revision=customer.revision, kind=customer.kind, name=customer.name, contacts=[],
        exemption=exemption, by=by, at=NOW, call=Call.fresh(),
    )  # fmt: skip


def issued(order: WorkOrder, by: Person) -> Any:
    done(order)
    return money.issue_invoice(order=order, by=by, at=NOW, call=Call.fresh())


def test_an_exempt_customer_gets_no_tax_and_the_words(order: WorkOrder, desk: Person, shop: Shop) -> None:
    add_line(order, None, "1", "10.00", "X")  # a category without a rate: it needs none here
    exempt(order.customer, desk, Exemption("resale", "R-117"))
    state = order_money(order, on=NOW.date())
    assert (state.tax, state.gross, state.without_rate) == (0, Decimal("196.00"), ())
    assert sums_of([order], on=NOW.date(), shop=shop)[order.pk].gross == Decimal("196.00")
    invoice = issued(order, desk)
    assert (invoice.net, invoice.tax, invoice.gross) == (Decimal("196.00"), 0, Decimal("196.00"))
    assert {(line.tax_category, line.rate) for line in invoice.lines.all()} == {("E", Decimal(0))}
    figures = Paper.objects.get(kind="invoice").figures
    assert [(tax["name"], tax["rate"]) for tax in figures["taxes"]] == [(WORDS, "0")]
    assert list(invoices_book()) == []


@pytest.mark.parametrize(("days", "tax"), [(0, Decimal(0)), (-1, Decimal("15.35"))])
def test_it_holds_through_its_last_day(order: WorkOrder, desk: Person, days: int, tax: Decimal) -> None:
    until = NOW.date() + dt.timedelta(days=days)
    exempt(order.customer, desk, Exemption("resale", until=until))
    assert issued(order, desk).tax == tax


def test_an_issued_invoice_keeps_it_when_the_customer_changes(order: WorkOrder, desk: Person) -> None:
    exempt(order.customer, desk, Exemption("resale"))
    invoice = issued(order, desk)
    exempt(Customer.objects.get(pk=order.customer_id), desk, None)
    invoice.refresh_from_db()
    assert invoice.tax == 0
    assert Paper.objects.get(kind="invoice").figures["taxes"][0]["name"] == "Exempt from tax: resale"


def test_the_desk_enters_it_and_a_certificate_alone_is_not_enough(
    order: WorkOrder, desk: Person, client_as: As
) -> None:
    client, url = client_as(desk), reverse("customer-change", args=[order.customer_id])
    shown = client.get(url).context["form"]
    body = {field.html_name: field.value() for field in shown if field.value() not in (None, False)}
    body |= {"act_key": new_key(), "exemption_certificate": "R-117", "exemption_until": "2026-12-31"}
    answer = client.post(url, body)
    assert answer.status_code == 422 and "Say why no tax is charged" in answer.content.decode()
    assert 'value="R-117"' in answer.content.decode()
    assert client.post(url, {**body, "exemption_until": "soon", "exemption": "x"}).status_code == 422
    assert client.post(url, {**body, "exemption": "resale"}).status_code == 302
    customer = Customer.objects.get(pk=order.customer_id)
    kept = (customer.exemption, customer.exemption_certificate, customer.exemption_until)
    assert kept == ("resale", "R-117", dt.date(2026, 12, 31))
    assert 'value="resale"' in client.get(url).content.decode()
    changed = Act.objects.filter(verb="change_customer").latest("at").changed
    assert {"field": "exemption"} in changed and "resale" not in str(changed)
    assert "R-117" in client.get(reverse("customer", args=[customer.pk])).content.decode()
    with pytest.raises(Refused, match="Say why"):
        exempt(customer, desk, Exemption(" ", "R-117"))

"""The books of money find each fault that is planted."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from shopapp.money import services as money
from shopapp.money.handlers import invoices_book, order_lines_book
from shopapp.money.models import Invoice, InvoiceLine
from shopapp.orders.models import OrderLine
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop import ledgers
from shopapp.shop.models import Counter
from shopapp.shop.services.acts import Call

from .rows import NOW, an_order, done, rate

pytestmark = pytest.mark.django_db

PLANTED: dict[str, tuple[Callable[[], object], str]] = {
    "gross": (lambda: Invoice.objects.update(gross=Decimal(1)), "gross of invoice I1001"),
    "tax": (lambda: Invoice.objects.update(tax=Decimal(1)), "tax of invoice I1001"),
    "taxes": (
        lambda: Invoice.objects.update(tax_by_rate=[{"rate": "8.25", "taxable": "1", "tax": "1"}]),
        "taxes of invoice I1001",
    ),
    "line": (
        lambda: InvoiceLine.objects.filter(number=1).update(price=Decimal(1)),
        "line 1 of invoice I1001",
    ),
    "number": (lambda: Invoice.objects.update(number=1005), "counter"),
    "counter": (lambda: Counter.objects.filter(series="invoice").update(last=2000), "counter"),
    "paper": (lambda: Paper.objects.update(subject_id="0"), "paper of invoice I1001"),
    "not invoiced": (lambda: OrderLine.objects.update(invoiced=False), "invoiced"),
}


@pytest.fixture(autouse=True)
def _invoice(desk: Person) -> None:
    rate(desk)
    order = an_order(desk)
    done(order)
    money.issue_invoice(order=order, by=desk, at=NOW, call=Call.fresh())


def rows() -> list[str]:
    return [difference.row for book in (invoices_book, order_lines_book) for difference in book()]


def test_whole_books_have_no_difference() -> None:
    assert rows() == []


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_found(fault: str) -> None:
    plant, row = PLANTED[fault]
    with ledgers.lifted():
        plant()
    assert any(row in found for found in rows()), rows()


def test_a_line_marked_without_an_invoice_is_found(desk: Person) -> None:
    other = an_order(desk, jobs=1, name="Another")
    OrderLine.objects.filter(order=other).update(invoiced=True)
    assert len(rows()) == 1 and "invoiced" in rows()[0]


def test_a_gap_in_the_numbers_is_found(desk: Person) -> None:
    for number in (1003, 1004):
        order = an_order(desk, jobs=1, name=f"Customer {number}")
        done(order)
        Counter.objects.filter(series="invoice").update(last=number - 1)
        money.issue_invoice(order=order, by=desk, at=NOW, call=Call.fresh())
    assert rows() == ["numbers of series I"]

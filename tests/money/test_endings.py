"""Jobs that ended otherwise than done: the desk decides on each whether it is charged, and the invoice keeps it."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.money import services as money
from shopapp.money.forms import InvoiceForm
from shopapp.money.handlers import invoices_book, order_lines_book
from shopapp.money.models import Invoice
from shopapp.money.queries import order_money
from shopapp.orders.models import Job, WorkOrder
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call, Refused

from .rows import NOW, an_order, done, rate

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


@pytest.fixture
def order(desk: Person) -> WorkOrder:
    """Give an order of three: one done, one unrepaired, one not serviceable."""
    rate(desk)
    found = an_order(desk, jobs=3)
    done(found)
    done(found, 2, outcome="unrepaired")
    done(found, 3, outcome="not serviceable")
    return found


def job(order: WorkOrder, number: int) -> Job:
    return order.jobs.get(number=number)


def issue(order: WorkOrder, by: Person, **endings: str) -> Invoice:
    decided = {job(order, int(name[1:])).pk: ending for name, ending in endings.items()}
    return money.issue_invoice(order=order, endings=decided, by=by, at=NOW, call=Call.fresh())


@pytest.mark.parametrize(
    "endings", [{}, {"j2": "charge"}, {"j3": "no charge"}, {"j2": "maybe", "j3": "charge"}]
)
def test_without_a_word_on_each_nothing_is_invoiced(
    order: WorkOrder, desk: Person, endings: dict[str, str]
) -> None:
    with pytest.raises(Refused, match="whether it is charged"):
        issue(order, desk, **endings)
    assert not Invoice.objects.exists() and not order.lines.filter(invoiced=True).exists()


def test_what_was_decided_stands_in_the_lines_for_ever(order: WorkOrder, desk: Person) -> None:
    invoice = issue(order, desk, j2="charge", j3="no charge")
    rows = [(line.what, line.price, line.allowance, line.net) for line in invoice.lines.order_by("number")]
    price, nothing = Decimal("186.00"), Decimal(0)
    assert rows == [
        ("Rebuild", price, nothing, price),
        ("Rebuild · returned unrepaired, charged", price, nothing, price),
        ("Rebuild · not serviceable, not charged", price, price, nothing),
    ]
    assert invoice.net == Decimal("372.00")
    figures = Paper.objects.get(kind="invoice").figures
    assert [line["what"] for line in figures["lines"]] == [what for what, *_rest in rows]
    assert {"field": "job 3", "old": "not serviceable", "new": "no charge"} in Act.objects.get(
        verb="issue_invoice"
    ).changed
    assert [*invoices_book(), *order_lines_book()] == []
    assert order_money(order, on=NOW.date()).gross == invoice.gross


def test_later_leaves_it_for_another_invoice(order: WorkOrder, desk: Person) -> None:
    first = issue(order, desk, j2="later", j3="no charge")
    assert [line.job.number for line in first.lines.order_by("number") if line.job] == [1, 3]
    second = issue(order, desk, j2="charge")
    assert [line.job.number for line in second.lines.all() if line.job] == [2]


def test_a_long_line_keeps_the_decision(order: WorkOrder, desk: Person) -> None:
    order.lines.update(what="x" * 200)
    line = issue(order, desk, j2="charge", j3="no charge").lines.get(job__number=3)
    assert len(line.what) == 200 and line.what.endswith("not serviceable, not charged")


def test_the_form_makes_no_choice_for_the_desk(order: WorkOrder) -> None:
    form = InvoiceForm(order=order)
    second, third = job(order, 2), job(order, 3)
    assert form["jobs"].initial == [job(order, 1).pk]
    assert {choice.data["value"].value for choice in form["jobs"]} == {job(order, 1).pk}
    for row in (second, third):
        drawn = str(form[f"ended_{row.pk}"])
        assert drawn.count('type="radio"') == 3 and "checked" not in drawn


def test_the_desk_decides_on_the_page_and_is_asked_again(
    order: WorkOrder, client_as: As, desk: Person
) -> None:
    client, url = client_as(desk), reverse("order-invoice", args=[order.number])
    page = client.get(reverse("order", args=[order.number])).content.decode()
    assert "returned unrepaired" in page and "do not charge them" in page
    second, third = (f"ended_{job(order, number).pk}" for number in (2, 3))
    body = {"act_key": new_key(), "jobs": [job(order, 1).pk], second: "charge"}
    answer = client.post(url, body)
    words = answer.content.decode()
    assert answer.status_code == 422 and "Say whether it is charged" in words
    assert body["act_key"] in words and words.count("checked") == 2
    assert client.post(url, {**body, third: "x\0<b>"}).status_code in (400, 422)
    assert client.post(url, {**body, third: "no charge"}).status_code == 302
    assert [line.net for line in Invoice.objects.get().lines.order_by("number")] == [186, 186, 0]


def test_all_of_it_let_off_is_an_invoice_of_nothing(desk: Person) -> None:
    rate(desk)
    order = an_order(desk, jobs=1)
    done(order, outcome="uncharged")
    invoice = issue(order, desk, j1="no charge")
    assert invoice.gross == 0 and list(invoices_book()) == []

"""Pages of money: the list, one invoice, the two forms of an order's page."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopapp.customers.models import Customer
from shopapp.money import services as money
from shopapp.money.forms import AmountField, InvoiceForm, PaymentForm
from shopapp.money.models import Invoice, Payment
from shopapp.orders.models import WorkOrder
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.services.acts import Call
from tests.conftest import drawn

from .rows import NOW, add_line, an_order, done, rate

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
HOSTILE = [
    "9" * 40,
    "<script>alert(1)</script>",
    "nul \0 in it",
    "\ud800",
    "9" * 400,
    "x" * 1_000_000,
    "'; DROP TABLE",
    "1e30",
]


@pytest.fixture
def order(desk: Person) -> WorkOrder:
    rate(desk)
    return an_order(desk)


def invoiced(desk: Person, count: int, **more: Any) -> list[Invoice]:
    found = []
    for number in range(count):
        order = an_order(desk, jobs=1, name=f"Customer {number}")
        done(order)
        found.append(money.issue_invoice(order=order, by=desk, at=NOW, call=Call.fresh()))
    return found


def test_issue_an_invoice_from_the_order(order: WorkOrder, client_as: As, desk: Person) -> None:
    jobs = done(order)
    url = reverse("order-invoice", args=[order.number])
    body = {"act_key": new_key(), "jobs": [jobs[0].pk]}
    client = client_as(desk)
    answer = client.post(url, body)
    assert (answer.status_code, answer["Location"]) == (302, reverse("order", args=[order.number]))
    again = client.post(url, body)
    assert again.status_code in (302, 422)
    assert [line.job for line in Invoice.objects.get().lines.all()] == [jobs[0]]


def test_a_refused_invoice_keeps_its_form(order: WorkOrder, client_as: As, desk: Person) -> None:
    WorkOrder.objects.update(limit_gross=Decimal(100))
    jobs = done(order)
    key = new_key()
    body = {"act_key": key, "jobs": [job.pk for job in jobs]}
    answer = client_as(desk).post(reverse("order-invoice", args=[order.number]), body)
    words = answer.content.decode()
    assert answer.status_code == 422
    assert "$402.69" in words and "$100.00" in words and key in words
    assert words.count("checked") == 2
    assert not Invoice.objects.exists()


def test_take_a_payment_from_the_order(order: WorkOrder, client_as: As, desk: Person) -> None:
    url = reverse("order-payment", args=[order.number])
    body = {"act_key": new_key(), "amount": "100.50", "how": "card", "reference": "slip 17", "invoice": ""}
    client = client_as(desk)
    for _time in range(2):
        answer = client.post(url, body)
        assert (answer.status_code, answer["Location"]) == (302, reverse("order", args=[order.number]))
    payment = Payment.objects.get()
    assert (payment.amount, payment.how, payment.reference) == (Decimal("100.50"), "card", "slip 17")
    other = client.post(url, {**body, "amount": "5"})
    assert other.status_code == 422 and "stored already" in other.content.decode()
    assert Payment.objects.count() == 1


def test_too_much_is_a_sentence_and_the_form_is_kept(order: WorkOrder, client_as: As, desk: Person) -> None:
    body = {"act_key": new_key(), "amount": "500", "how": "cash", "reference": "slip 17"}
    answer = client_as(desk).post(reverse("order-payment", args=[order.number]), body)
    words = answer.content.decode()
    assert answer.status_code == 422
    assert "$402.69" in words and 'value="500"' in words and 'value="slip 17"' in words


def test_more_than_an_invoice_asks_is_a_sentence_and_the_form_is_kept(
    order: WorkOrder, client_as: As, desk: Person
) -> None:
    """Seen red without `_hold_invoice`: what the second job costs was taken for the first one's invoice."""
    money.take_payment(order=order, amount=Decimal(50), how="cash", by=desk, at=NOW, call=Call.fresh())
    done(order, 1)
    invoice = money.issue_invoice(order=order, by=desk, at=NOW, call=Call.fresh())
    client, url = client_as(desk), reverse("order-payment", args=[order.number])
    body = {
        "act_key": new_key(), "amount": "151.36", "how": "card", "reference": "slip 17", "invoice": str(invoice.pk),
    }  # fmt: skip
    answer = client.post(url, body)
    words = answer.content.decode()
    assert answer.status_code == 422
    assert f"$151.36 is more than invoice {invoice} still asks: $151.35." in words
    assert 'value="151.36"' in words and 'value="slip 17"' in words and body["act_key"] in words
    assert f'<option value="{invoice.pk}" selected' in words and '<option value="card" selected' in words
    assert Payment.objects.count() == 1
    assert client.post(url, body | {"amount": "151.35"}).status_code == 302
    assert Payment.objects.get(invoice=invoice).amount == Decimal("151.35")


@pytest.mark.parametrize("text", drawn(HOSTILE, 2))
@pytest.mark.parametrize("field", ["amount", "how", "reference", "invoice", "act_key"])
def test_hostile_text_in_a_payment_is_never_a_500(
    order: WorkOrder, client_as: As, desk: Person, field: str, text: str
) -> None:
    body = {"act_key": new_key(), "amount": "1", "how": "cash", "reference": ""} | {field: text}
    answer = client_as(desk).post(
        reverse("order-payment", args=[order.number]),
        {name: value.encode("utf-8", "surrogatepass") for name, value in body.items()},
    )
    assert answer.status_code in (302, 400, 422)
    assert b"<script>alert(1)" not in answer.content


@pytest.mark.parametrize("text", drawn(HOSTILE, 2))
def test_hostile_text_in_an_invoice_is_never_a_500(
    order: WorkOrder, client_as: As, desk: Person, text: str
) -> None:
    body = {"act_key": new_key(), "jobs": text.encode("utf-8", "surrogatepass")}
    answer = client_as(desk).post(reverse("order-invoice", args=[order.number]), body)
    assert answer.status_code in (400, 422)


@pytest.mark.parametrize("name", ["order-invoice", "order-payment"])
def test_rights_and_methods_of_the_forms(
    order: WorkOrder, client_as: As, technician: Person, desk: Person, name: str
) -> None:
    url = reverse(name, args=[order.number])
    assert client_as(desk).get(url).status_code == 405
    assert client_as(technician).post(url).status_code == 403
    assert Client().post(url).status_code == 302
    assert client_as(desk).post(reverse(name, args=[999_999])).status_code == 404
    assert not (Invoice.objects.exists() or Payment.objects.exists())


def test_one_invoice_with_its_lines_and_payments(order: WorkOrder, client_as: As, desk: Person) -> None:
    done(order)
    invoice = money.issue_invoice(order=order, by=desk, at=NOW, call=Call.fresh())
    money.take_payment(
        order=order, invoice=invoice, amount=Decimal(2), how="cash", reference="slip 17", by=desk, at=NOW,
        call=Call.fresh(),
    )  # fmt: skip
    words = client_as(desk).get(reverse("invoice", args=[invoice.pk])).content.decode()
    assert "I1001" in words and "$402.69" in words and "$400.69" in words and "slip 17" in words
    assert client_as(desk).get(reverse("invoice", args=[invoice.pk + 1])).status_code == 404


@pytest.mark.parametrize("name", ["invoices", "invoice"])
def test_rights_of_the_pages(client_as: As, technician: Person, desk: Person, name: str) -> None:
    rate(desk)
    (invoice,) = invoiced(desk, 1)
    url = reverse(name, args=[invoice.pk] if name == "invoice" else [])
    assert client_as(technician).get(url).status_code == 403
    assert client_as(desk).post(url).status_code == 405
    assert client_as(desk).get(url).status_code == 200


def test_filters_stand_in_the_address(client_as: As, desk: Person) -> None:
    rate(desk)
    first, second = invoiced(desk, 2)
    client = client_as(desk)

    def shown(query: str) -> set[str]:
        words = client.get(reverse("invoices") + query).content.decode()
        return {str(row) for row in (first, second) if f">{row}<" in words}

    assert shown("") == {"I1001", "I1002"}
    WorkOrder.objects.filter(pk=second.order.pk).update(number=77)
    assert shown("?q=I1001") == shown("?q=1001") == {"I1001"}
    assert shown("?q=77") == {"I1002"}
    assert shown("?q=customer+1") == {"I1002"}
    assert shown("?since=2026-03-03") == set() and shown("?until=2026-03-02") == {"I1001", "I1002"}
    money.take_payment(
        order=first.order, invoice=first, amount=first.gross, how="cash", by=desk, at=NOW, call=Call.fresh()
    )
    assert shown("?unpaid=on") == {"I1002"}


@pytest.mark.parametrize("query", ["?since=yesterday", "?q=" + "9" * 400, "?page=x", "?page=-3", "?q=%00"])
def test_a_filter_that_cannot_be_read_is_no_500(client_as: As, desk: Person, query: str) -> None:
    assert client_as(desk).get(reverse("invoices") + query).status_code in (200, 400, 422)


@pytest.mark.parametrize(
    ("day", "words"), [("2026-03-16", ""), ("2026-03-17", "1 day late"), ("2026-03-26", "10 days late")]
)
def test_a_late_invoice_carries_its_flag(client_as: As, desk: Person, day: str, words: str) -> None:
    rate(desk)
    invoiced(desk, 1)
    client = client_as(desk)
    with time_machine.travel(f"{day}T12:00:00Z", tick=False):
        client.force_login(desk)
        page = client.get(reverse("invoices")).content.decode()
    assert words in page and (bool(words) == ('class="late"' in page))


def test_an_empty_list_says_what_to_do(client_as: As, desk: Person) -> None:
    assert "No invoice is issued yet" in client_as(desk).get(reverse("invoices")).content.decode()
    assert "Take a filter away" in client_as(desk).get(reverse("invoices") + "?q=nobody").content.decode()


def test_the_list_asks_as_often_for_20_rows_as_for_10(client_as: As, desk: Person) -> None:
    rate(desk)
    client = client_as(desk)

    def queries() -> int:
        with CaptureQueriesContext(connection) as found:
            assert client.get(reverse("invoices")).status_code == 200
        return len(found)

    invoiced(desk, 10)
    client.get(reverse("invoices"))
    ten = queries()
    invoiced(desk, 10)
    assert queries() == ten
    assert Customer.objects.count() == 20


@pytest.mark.parametrize(
    ("comma", "text", "amount"),
    [
        (False, "120", "120"),
        (False, "1,250.50", "1250.50"),
        (False, " 12.5 ", "12.5"),
        (True, "1.250,50", "1250.50"),
        (True, "120,5", "120.5"),
        (False, "12,5", None),
        (True, "12.5", None),
        (False, "$12", None),
        (False, "-12", None),
        (False, "1,25,000", None),
        (False, "٣", None),
        (False, "1e3", None),
    ],
)
def test_an_amount_is_read_as_the_shop_writes_it(comma: bool, text: str, amount: str | None) -> None:
    field = AmountField()
    field.decimal_comma = comma
    if amount is None:
        with pytest.raises(Exception, match="is not an amount"):
            field.clean(text)
    else:
        assert field.clean(text) == Decimal(amount)


def test_the_forms_offer_what_is_open(order: WorkOrder, desk: Person) -> None:
    first, second = done(order)
    assert InvoiceForm(order=order).fields["jobs"].initial == [first.pk, second.pk]
    invoice = money.issue_invoice(order=order, jobs=[first], by=desk, at=NOW, call=Call.fresh())
    assert InvoiceForm(order=order).fields["jobs"].initial == [second.pk]
    assert PaymentForm(order=order).fields["invoice"].initial == invoice.pk


def test_no_job_ticked_is_no_job_invoiced(order: WorkOrder, client_as: As, desk: Person) -> None:
    done(order)
    url = reverse("order-invoice", args=[order.number])
    answer = client_as(desk).post(url, {"act_key": new_key()})
    assert answer.status_code == 422 and "nothing to invoice" in answer.content.decode()
    own = add_line(order, None, "1", "12.00")
    assert client_as(desk).post(url, {"act_key": new_key()}).status_code == 302
    assert [line.order_line for line in Invoice.objects.get().lines.all()] == [own]

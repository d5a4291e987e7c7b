"""Taking a payment back: the owner alone, with a reason, once, and both rows stay."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.money import services as money
from shopapp.money.models import Payment
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call, Refused
from tests.web.hostile import HOSTILE, encoded

from .rows import NOW, an_order, done, rate

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


@pytest.fixture
def payment(desk: Person) -> Payment:
    rate(desk)
    return money.take_payment(
        order=an_order(desk, jobs=1), amount=Decimal("100.00"), how="cash", by=desk, at=NOW, call=Call.fresh()
    )


def address(payment: Payment) -> str:
    return reverse("payment-take-back", args=[payment.pk])


def test_the_owner_takes_it_back_once_with_a_reason(payment: Payment, owner: Person, client_as: As) -> None:
    client, body = client_as(owner), {"act_key": new_key(), "why": "typed 100 for 10"}
    assert "$100.00" in client.get(address(payment)).content.decode()
    for _time in range(2):
        answer = client.post(address(payment), body)
        assert (answer.status_code, answer["Location"]) == (
            302,
            reverse("order", args=[payment.order.number]),
        )
    rows = list(Payment.objects.order_by("pk").values_list("amount", "reference", "reverses"))
    assert rows == [(100, "", None), (-100, "typed 100 for 10", payment.pk)]
    assert Act.objects.get(verb="reverse_payment").by == owner
    again = client.post(address(payment), {"act_key": new_key(), "why": "twice"})
    assert again.status_code == 422 and "taken back already" in again.content.decode()
    back = Payment.objects.get(reverses=payment)
    assert client.get(address(back)).status_code == 404
    assert client.post(address(back), {"act_key": new_key(), "why": "x"}).status_code == 404
    assert client.get(reverse("payment-take-back", args=[back.pk + 9])).status_code == 404


def test_without_a_reason_the_form_comes_again(payment: Payment, owner: Person, client_as: As) -> None:
    key = new_key()
    answer = client_as(owner).post(address(payment), {"act_key": key, "why": "   "})
    assert answer.status_code == 422 and key in answer.content.decode()
    with pytest.raises(Refused, match="Say why"):
        money.reverse_payment(payment=payment, why=" ", by=owner, at=NOW, call=Call.fresh())
    assert Payment.objects.count() == 1


def test_hostile_text_is_never_a_fault(payment: Payment, owner: Person, client_as: As) -> None:
    client = client_as(owner)
    for text in HOSTILE.values():
        answer = client.post(address(payment), {"act_key": new_key(), "why": text})
        assert answer.status_code in (302, 400, 422)
        assert b"<script>alert" not in answer.content
    broken = encoded({"act_key": new_key()}, "why")
    answer = client.post(address(payment), broken, content_type="application/x-www-form-urlencoded")
    assert answer.status_code in (302, 400, 422)
    assert Payment.objects.count() == 2


def test_nobody_else_may_and_nobody_else_is_offered_it(
    payment: Payment, owner: Person, desk: Person, technician: Person, client_as: As
) -> None:
    for person in (desk, technician):
        assert client_as(person).get(address(payment)).status_code == 403
        assert client_as(person).post(address(payment), {"act_key": "k", "why": "x"}).status_code == 403
    assert client_as(owner).delete(address(payment)).status_code == 405
    assert Client().get(address(payment)).status_code == 302
    assert Payment.objects.count() == 1
    done(payment.order)
    invoice = money.issue_invoice(order=payment.order, by=owner, at=NOW, call=Call.fresh())
    pages = (reverse("order", args=[payment.order.number]), reverse("invoice", args=[invoice.pk]))
    for page in pages:
        assert address(payment) in client_as(owner).get(page).content.decode()
        assert address(payment) not in client_as(desk).get(page).content.decode()
    money.reverse_payment(payment=payment, why="x", by=owner, at=NOW, call=Call.fresh())
    for page in pages:
        assert "/take-back" not in client_as(owner).get(page).content.decode()

"""What is done on an order's page stands behind its verb: closed, until it is asked for or was refused."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shopapp.orders.models import WorkOrder
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from tests.web.hostile import HOSTILE

pytestmark = pytest.mark.django_db
FOLD = re.compile(
    r'<section class="part fold"><details( open)?><summary><h2>([^<]+)</h2></summary>(.*?)</details>', re.S
)
VERBS = {
    "payment": "Take a payment", "answer": "Record an answer to a new limit", "line": "Add a line",
    "void-job": "Void a job", "void-order": "Void the whole order",
}  # fmt: skip


@pytest.fixture
def client(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


@pytest.fixture
def order(receive: Callable[..., WorkOrder]) -> WorkOrder:
    return receive("KM25-1", "KM25-2")


def folds(response: Any) -> dict[str, tuple[bool, str]]:
    """Give by its form's name whether a fold is open, and what stands in it."""
    found = {}
    for is_open, verb, inside in FOLD.findall(response.content.decode()):
        name = re.search(r'<form[^>]* id="([\w-]+)"', inside)
        assert name is not None, verb
        assert VERBS[name[1]] == verb
        found[name[1]] = (bool(is_open), inside)
    return found


def opened(response: Any) -> set[str]:
    return {name for name, (is_open, _inside) in folds(response).items() if is_open}


def test_all_are_closed_and_the_address_opens_one(client: Client, order: WorkOrder) -> None:
    """Seen red with every fold open, and with the address not asked."""
    page = client.get(f"/orders/{order.number}")
    assert set(folds(page)) == set(VERBS)
    assert opened(page) == set()
    for name in VERBS:
        assert opened(client.get(f"/orders/{order.number}", {"open": name})) == {name}


def test_whatever_else_the_address_says_opens_nothing(client: Client, order: WorkOrder) -> None:
    for text in ("", "x", *HOSTILE.values()):
        page = client.get(f"/orders/{order.number}", {"open": text})
        assert page.status_code in (200, 400) and not (page.status_code == 200 and opened(page)), text[:40]


@pytest.mark.parametrize(
    ("name", "address"),
    [("line", "lines"), ("answer", "consent"), ("void-job", "void-job"), ("void-order", "void")],
)
def test_a_refused_one_is_open_with_its_slip_within(
    client: Client, order: WorkOrder, name: str, address: str
) -> None:
    """Seen red with the slip left over the page, and with a refused one closed."""
    page = client.post(f"/orders/{order.number}/{address}", {"act_key": new_key()})
    assert page.status_code == 422
    assert opened(page) == {name}
    assert page.content.decode().count("data-error-slip") == 1
    assert "data-error-slip" in folds(page)[name][1]


def test_what_has_no_fold_keeps_its_slip_over_the_page(client: Client, order: WorkOrder) -> None:
    """Seen red with the slip shown in folds alone."""
    job = order.jobs.earliest("pk")
    page = client.post(f"/jobs/{job.pk}/assign", {"act_key": new_key(), "technician": "99", "bay": ""})
    assert page.status_code == 422 and opened(page) == set()
    assert page.content.decode().count("data-error-slip") == 1

# ruff: noqa: F811 (the bench is a fixture of another folder)
"""What findings want of the desk stands in the day and on my bench, and goes when it is answered."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.bench.services import answers
from shopapp.orders.models import WorkOrder
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.bench.test_answers import price
from tests.bench.test_findings import agree, find
from tests.money.rows import rate

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


def said(response: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def test_the_day_says_what_to_do_about_it(bench: Bench, client_as: As) -> None:
    """Seen red with the priced ones left out."""
    client = client_as(bench.desk)
    find(bench, part="bushing", words="worn", answer="should")
    row = find(bench)
    assert "Give finding 2 rod: pitted a price unsafe to use, 1 more" in said(client.get("/desk"))
    price(bench, row)
    assert "Ask for a yes to finding 2 rod: pitted" in said(client.get("/desk"))
    agree(bench, row)
    assert "Give finding 1 bushing: worn a price should be done" in said(client.get("/desk"))
    find(bench, answer="note")
    bench.do("", "close", outcome="unrepaired", words="declined")
    assert "finding 1" not in said(client.get("/desk"))


def test_my_bench_says_that_it_waits_and_names_no_amount(bench: Bench, client_as: As) -> None:
    client = client_as(bench.technician)
    row = find(bench)
    assert "a price for finding 1 rod: pitted" in said(client.get("/bench/"))
    price(bench, row)
    text = said(client.get("/bench/"))
    assert "a yes to finding 1 rod: pitted" in text
    assert "145" not in text


def test_past_what_was_agreed_my_bench_says_so(bench: Bench, client_as: As) -> None:
    rate(bench.owner)
    WorkOrder.objects.filter(pk=bench.order.pk).update(limit_gross=Decimal(410))
    client = client_as(bench.technician)
    assert "more than was agreed" not in said(client.get("/bench/"))
    row = find(bench, answer="should")
    agree(bench, row, amount=Decimal("420.00"))
    text = said(client.get("/bench/"))
    assert "a yes: the order comes to more than was agreed" in text
    assert not re.search(r"\b4[12]0\b", text)
    answers.take_back_answer(finding=row, why="too dear", by=bench.desk, at=bench.at, call=Call.fresh())
    assert "more than was agreed" not in said(client.get("/bench/"))


def test_the_day_asks_as_often_for_many_findings_as_for_one(bench: Bench, client_as: As) -> None:
    client = client_as(bench.desk)

    def count() -> int:
        with CaptureQueriesContext(connection) as queries:
            client.get("/desk")
        return len(queries)

    find(bench)
    few = count()
    for _ in range(10):
        find(bench)
    assert count() == few

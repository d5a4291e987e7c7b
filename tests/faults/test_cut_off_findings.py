"""A finding cut off at each SQL statement: recorded, priced, answered, taken back, put right; whole or not at all."""

from __future__ import annotations

from decimal import Decimal

import pytest

from shopapp.bench.models import Finding
from shopapp.bench.services import answers, record_entry
from shopapp.orders.models import Job, OrderLine, WorkOrder
from shopapp.shop import books
from shopapp.shop.services.acts import Call
from tests.faults.cutting import cut_at_each_statement
from tests.faults.whole_shop import make_shop

pytestmark = pytest.mark.django_db(transaction=True)


def test_from_the_finding_to_what_was_put_right() -> None:
    """Seen red without the act's one transaction."""
    bench = make_shop()
    WorkOrder.objects.filter(pk=bench.order.pk).update(limit_gross=Decimal(400))
    std = {"by": bench.desk, "at": bench.at}
    found = bench.entry("", "finding", part="rod", words="pitted", advice="replace", answer="unsafe")

    def record() -> None:
        record_entry(
            job=Job(pk=found.job), entry=found, by=bench.technician, at=bench.at, call=Call.once("found")
        )

    assert cut_at_each_statement(record) >= 8
    row = Finding.objects.get()

    def price() -> None:
        answers.price_finding(
            finding=row, revision=1, what="New rod", price=Decimal(145), tax_category="S",
            call=Call.once("price"), **std,
        )  # fmt: skip

    assert cut_at_each_statement(price) >= 6

    def answer() -> None:
        answers.answer_finding(
            finding=row, yes=True, who="W", how="phone", amount=Decimal(600), call=Call.once("yes"), **std
        )

    assert cut_at_each_statement(answer) >= 10

    def take_back() -> None:
        answers.take_back_answer(finding=row, why="no", call=Call.once("back"), **std)

    assert cut_at_each_statement(take_back) >= 8
    assert not OrderLine.objects.filter(comes_from="finding").exists()
    right = bench.entry("", "put right", about=row.entry_id, words="new rod")

    def put_right() -> None:
        record_entry(
            job=Job(pk=right.job), entry=right, by=bench.technician, at=bench.at, call=Call.once("right")
        )

    assert cut_at_each_statement(put_right) >= 8
    assert [name for name, check in books.REGISTRY.items() if list(check())] == []

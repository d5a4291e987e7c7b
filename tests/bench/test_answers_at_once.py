"""Two desks and one finding at the same moment, with real commits; and an answer against a closing job."""

from __future__ import annotations

import os
from decimal import Decimal
from typing import Any

import pytest
from django.conf import settings

from shopapp.bench.handlers import FINDINGS
from shopapp.bench.models import Finding
from shopapp.bench.services import answers
from shopapp.orders.models import Job, OrderLine, WorkConsent
from shopapp.shop import books
from shopapp.shop.services.acts import Call, Refused
from tests.bench.make import Bench
from tests.bench.test_answers import price
from tests.bench.test_findings import ROD, find
from tests.conftest import times
from tests.faults.racing import race

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(
        "sqlite" in settings.DATABASES["default"]["ENGINE"] and not os.environ.get("SHOP_TEST_SQLITE"),
        reason="two connections need a file database: set SHOP_TEST_SQLITE to a path",
    ),
]
AT_ONCE = 4


def answer(bench: Bench, row: Finding, *, yes: bool) -> Finding:
    return answers.answer_finding(
        finding=row, yes=yes, who="W. Dallimore", how="by phone", amount=Decimal(600) if yes else None,
        by=bench.desk, at=bench.at, call=Call.fresh(),
    )  # fmt: skip


def differences() -> list[Any]:
    return list(books.REGISTRY[FINDINGS]())


def test_of_desks_that_answer_one_finding_at_once_one_is_heard(bench: Bench) -> None:
    """Seen red with the answer read and then written, without the row locks."""
    for turn in range(times(2, 15)):
        row = price(bench, find(bench))
        ends = race([lambda row=row, n=n: answer(bench, row, yes=n % 2 == 0) for n in range(AT_ONCE)])  # type: ignore[misc]
        heard = [end for end in ends if isinstance(end, Finding)]
        assert len(heard) == 1, ends
        assert sum(isinstance(end, Refused) for end in ends) == AT_ONCE - 1, ends
        assert WorkConsent.objects.filter(about_id=str(row.entry_id)).count() == 1
        assert OrderLine.objects.filter(entry_id=row.entry_id).count() == int(heard[0].answer == "yes")
        assert Finding.objects.get(pk=row.pk).number == turn + 1
    assert differences() == []


def test_taken_back_by_two_at_once_it_is_taken_back_once(bench: Bench) -> None:
    row = price(bench, find(bench))
    row = answer(bench, row, yes=True)

    def attempt() -> Finding:
        return answers.take_back_answer(
            finding=row, why="changed his mind", by=bench.desk, at=bench.at, call=Call.fresh()
        )

    ends = race([attempt] * AT_ONCE)
    assert sum(isinstance(end, Finding) for end in ends) == 1, ends
    assert sum(isinstance(end, Refused) for end in ends) == AT_ONCE - 1, ends
    assert differences() == []


def test_findings_recorded_at_once_have_each_their_number(bench: Bench) -> None:
    entries = [bench.entry("", "finding", **ROD) for _ in range(AT_ONCE)]
    ends = race([lambda one=one: bench.record(one) for one in entries])  # type: ignore[misc]
    assert not [end for end in ends if isinstance(end, Exception)], ends
    numbers = Finding.objects.filter(job=bench.job).values_list("number", flat=True)
    assert sorted(numbers) == list(range(1, AT_ONCE + 1))


def test_an_unsafe_finding_and_closing_as_done_at_once_never_end_charged_and_done(bench: Bench) -> None:
    """Whichever comes first: refused as done, or stopped after it."""
    bench.through("final-leave")
    end, found = bench.entry("", "close", outcome="done"), bench.entry("", "finding", **ROD)
    race([lambda: bench.record(end), lambda: bench.record(found)])
    job = Job.objects.get(pk=bench.job.pk)
    assert job.outcome != Job.Outcome.DONE
    assert Finding.objects.filter(job=job).count() == 1
    assert list(books.REGISTRY["jobs"]()) == []

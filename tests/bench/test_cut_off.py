"""Recording and closing cut off at each SQL statement: before or after, never half."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from django.db import DatabaseError, connection

from shopapp.bench import services
from shopapp.bench.models import Entry, Wait
from shopapp.bench.queries.issued import issued_of
from shopapp.bench.services import BackIn, LotIn
from shopapp.orders.models import Job, OrderLine
from shopapp.papers.models import Paper
from shopapp.shop import books
from shopapp.shop.models import Act, Outbox
from shopapp.shop.services.acts import Call
from shopapp.stock.models import LotLevel, StockLevel, StockMove
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db(transaction=True)
KEPT = (Entry, Wait, StockMove, StockLevel, LotLevel, OrderLine, Paper, Outbox, Act)


class Cut(DatabaseError):
    """The statement at which the line was cut."""


@dataclass
class Scissors:
    """Cut at the n-th statement that is run."""

    at: int
    seen: int = 0

    def __call__(self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        self.seen += 1
        if self.seen == self.at:
            raise Cut(sql[:60])
        return execute(sql, params, many, context)


def snapshot(bench: Bench) -> dict[str, list[tuple[Any, ...]]]:
    """Read everything that an entry may change."""
    found = {model.__name__: sorted(map(repr, model.objects.values_list())) for model in KEPT}
    found["Job"] = list(Job.objects.filter(order=bench.order).order_by("pk").values_list())
    return found


def cut_everywhere(bench: Bench, entry: services.EntryIn) -> int:
    """Record an entry cut off at statement 1, 2, 3 … until one run is whole; give how many were cut."""
    call = Call(key=services.entry_key(entry.id), device=bench.device, request_hash="h")
    before = snapshot(bench)
    for place in range(1, 1000):
        scissors = Scissors(place)
        try:
            with connection.execute_wrapper(scissors):
                services.record_entry(
                    job=Job(pk=entry.job), entry=entry, by=bench.technician, at=bench.at, call=call
                )
        except Cut:
            assert snapshot(bench) == before, f"half stored when cut at statement {place}"
            continue
        assert scissors.seen < place
        assert Entry.objects.filter(pk=entry.id).count() == 1
        assert snapshot(bench) != before
        assert books.differences() == []
        return place - 1
    raise AssertionError("the recording never came to its end")


def test_a_reading_cut_off(bench: Bench) -> None:
    assert cut_everywhere(bench, bench.entry("settings-eyes", "reading", text="28 1/16")) >= 8


def test_a_kit_cut_off_and_its_correction(bench: Bench) -> None:
    bench.unlock("strip")
    first = bench.entry("reseal-kit", "part")
    assert cut_everywhere(bench, first) >= 20
    lots = (LotIn(2, bench.lots["ring-2"].pk),)
    second = bench.entry("reseal-kit", "part", replaces=first.id, lots=lots)
    assert cut_everywhere(bench, second) >= 30


def test_a_wait_cut_off(bench: Bench) -> None:
    bench.unlock("strip")
    assert cut_everywhere(bench, bench.entry("strip-drain", "wait")) >= 8
    assert cut_everywhere(bench, bench.entry("strip-drain", "wait end", reason="drained")) >= 8


def test_a_stop_cut_off(bench: Bench) -> None:
    assert cut_everywhere(bench, bench.entry("release-zero", "proof", answer="does not move")) >= 8
    assert bench.fresh().state == Job.State.STOPPED


def test_closing_cut_off(bench: Bench) -> None:
    bench.through("final-leave")
    assert cut_everywhere(bench, bench.entry("", "close", outcome="done")) >= 15
    assert bench.fresh().state == Job.State.DONE
    assert Paper.objects.filter(kind="rebuild report").count() == 1


def test_a_closing_that_gives_parts_back_cut_off(bench: Bench) -> None:
    bench.unlock("strip")
    bench.do("reseal-kit", "part")
    back = tuple(BackIn(row.move.pk, "1") for row in issued_of(bench.sheet()))
    entry = bench.entry("", "close", outcome="unrepaired", words="part unobtainable", back=back)
    assert cut_everywhere(bench, entry) >= 30
    assert StockMove.objects.filter(kind="return").count() == 2

"""One damper from the first step to closed: what is stored, moved, billed and kept."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from shopapp.bench.models import Entry
from shopapp.orders.models import Job, OrderLine
from shopapp.papers.models import Paper
from shopapp.shop import books
from shopapp.stock.models import StockLevel, StockMove
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db


def test_a_job_goes_from_planned_to_done(bench: Bench) -> None:
    assert bench.fresh().state == Job.State.PLANNED
    bench.through("receive-tag")
    assert (bench.fresh().state, bench.fresh().stage) == (Job.State.IN_WORK, "wash")
    assert bench.fresh().technician == bench.technician
    bench.through("final-leave")
    bench.do("", "close", outcome="done")
    job = bench.fresh()
    assert (job.state, job.outcome, job.is_open) == (Job.State.DONE, "done", True)
    assert job.closed_at == bench.made[-1].stored_at
    assert job.next_due == dt.date(2028, 3, 2)
    assert Entry.objects.filter(job=job, out_of_order=True).count() == 0
    assert books.differences() == []


def test_kit_and_oil_leave_their_lots_and_are_billed(bench: Bench) -> None:
    bench.through("fill-oil")
    moves = StockMove.objects.filter(job=bench.job, kind="issue")
    assert {(move.item.code, move.lot.batch, move.quantity) for move in moves} == {
        ("wiper-25", "B-wiper", -1), ("oring-210", "B-ring", -2), ("oil-5", "B-oil", -4730),
    }  # fmt: skip
    assert StockLevel.objects.get(item=bench.oil).on_hand == 100_000 - 4730
    lines = OrderLine.objects.filter(job=bench.job, comes_from="move").order_by("pk")
    assert [(line.what, line.quantity, line.unit, line.price) for line in lines] == [
        ("Seal kit K25", Decimal(1), "piece", Decimal("64.5")),
        ("Damper oil 5", Decimal("0.473"), "L", Decimal("32")),
    ]
    assert {line.entry_id for line in lines} == {row.pk for row in bench.made if row.kind == "part"}


def test_closing_freezes_a_rebuild_report(bench: Bench) -> None:
    bench.through("final-leave")
    row = bench.do("", "close", outcome="done")
    paper = Paper.objects.get(kind="rebuild report", subject_kind="job", subject_id=str(bench.job.pk))
    assert paper.act_id == row.act_id


def test_each_reading_keeps_what_was_typed(bench: Bench) -> None:
    bench.through("settings-preload")
    row = Entry.objects.get(job=bench.job, name="preload", phase="received")
    assert (row.value_text, row.value_unit, row.value_kind) == ("2 3/16 in", "in", "length")
    assert row.value_si == pytest.approx(0.0555625)

"""When a damper wants service next: by the sheet's months, else the kind of work's; never after what is no service."""

from __future__ import annotations

import datetime as dt

import pytest

from shopapp.bench.services.closing import next_due
from shopapp.orders.models import Job, WorkType
from shopapp.specs.models import SpecFigure
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db
CLOSED = dt.date(2026, 3, 2)


def test_the_kind_of_work_gives_the_months(bench: Bench) -> None:
    assert next_due(bench.fresh(), CLOSED) == dt.date(2028, 3, 2)
    WorkType.objects.update(interval_months=6)
    assert next_due(bench.fresh(), CLOSED) == dt.date(2026, 9, 2)


@pytest.mark.parametrize("months", [None, 0])
def test_a_kind_of_work_without_months_is_no_service(bench: Bench, months: int | None) -> None:
    WorkType.objects.update(interval_months=months)
    assert next_due(bench.fresh(), CLOSED) is None


def test_the_sheet_s_months_go_before_those_of_the_kind_of_work(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    given = SpecFigure(name="interval months", target_si=12.0)
    monkeypatch.setattr("shopapp.bench.services.closing.figure", lambda _spec, _name: given)
    assert next_due(bench.fresh(), CLOSED) == dt.date(2027, 3, 2)
    WorkType.objects.update(interval_months=None)
    assert next_due(bench.fresh(), CLOSED) is None


def test_a_job_without_a_sheet_goes_by_its_kind_of_work(bench: Bench) -> None:
    Job.objects.filter(pk=bench.job.pk).update(spec=None)
    assert next_due(bench.fresh(), CLOSED) == dt.date(2028, 3, 2)


def test_an_inspection_closed_at_the_bench_sets_no_date(bench: Bench) -> None:
    WorkType.objects.update(procedure_name="", interval_months=None)
    Job.objects.update(procedure=None)
    bench.do("", "close", outcome="done", words="looked over")
    assert (bench.fresh().outcome, bench.fresh().next_due) == ("done", None)

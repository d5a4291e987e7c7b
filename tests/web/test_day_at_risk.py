# ruff: noqa: F811 (the bench is a fixture of another folder)
"""The day says which promise is at risk and why, what holds a job up, and what lies ready and is not fetched.

Seen red: with the work of the order's other dampers left out, with the stages behind a job not taken off, with parts
left out of what holds a job up, with the days counted from the first damper that was ready.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable

import pytest
import time_machine
from django.test import Client
from django.utils import timezone

from shopapp.bench.models import Wait
from shopapp.bench.queries.waiting import WaitLine
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.stock.models import LotLevel, StockLevel
from shopapp.web.queries.the_day import span, the_day, work_left
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


def said(bench: Bench, client_as: As) -> str:
    page = client_as(bench.desk).get("/desk").content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))


def promise(bench: Bench, hours: float) -> None:
    due = timezone.now() + dt.timedelta(hours=hours, seconds=30)
    WorkOrder.objects.filter(pk=bench.order.pk).update(promised=due)


def given(bench: Bench, **fields: object) -> None:
    Job.objects.filter(order=bench.order).update(technician=bench.technician, **fields)


def test_work_that_does_not_fit_before_the_promise_is_at_risk(bench: Bench, client_as: As) -> None:
    WorkType.objects.update(minutes=90)
    given(bench)
    promise(bench, 2)
    assert "At risk: about 3 h 00 min of work, 2 h 00 min to the promise" in said(bench, client_as)
    promise(bench, 4)
    assert "At risk" not in said(bench, client_as)
    promise(bench, -1)
    page = said(bench, client_as)
    assert "Tell the customer: it will be late" in page and "At risk" not in page


def test_stages_that_lie_behind_are_taken_off(bench: Bench) -> None:
    WorkType.objects.update(minutes=160)
    given(bench, state="in work", stage="restore")
    job = Job.objects.select_related("work_type").get(pk=bench.job.pk)
    assert work_left(job) == dt.timedelta(minutes=20), "two of sixteen stages are left"
    job.state = Job.State.DONE
    assert work_left(job) == dt.timedelta()


def test_a_part_that_is_not_there_holds_it_up(bench: Bench, client_as: As) -> None:
    given(bench)
    promise(bench, 60)
    assert "No good lot of" not in said(bench, client_as)
    LotLevel.objects.filter(lot__item__code="wiper-25").update(on_hand=0)
    StockLevel.objects.filter(item__code="wiper-25").update(on_hand=0)
    assert "waits" in said(bench, client_as) and "No good lot of Wiper" in said(bench, client_as)
    promise(bench, 20)
    assert "At risk: it waits, 20 h 00 min to the promise" in said(bench, client_as)


def test_only_what_the_work_cannot_go_on_without_is_named(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    given(bench, state="in work", stage="strip")
    promise(bench, 60)
    lines = [
        WaitLine("drains", ends=timezone.now()),
        WaitLine("two entries to countersign", holds_up=False),
        WaitLine("the puller is out"),
    ]
    monkeypatch.setattr("shopapp.web.queries.the_day.waits_of", lambda jobs, at: {bench.job.pk: lines})
    rows = [row for part in the_day(at=timezone.now(), shop=bench.shop).parts for row in part.rows]
    assert [row.todo for row in rows if row.words == "waits"] == ["The puller is out"]


def test_a_job_that_waits_for_a_clock_says_until_when(bench: Bench, client_as: As) -> None:
    """Seen red without the line of the clock, and while "Nothing before" stayed after the wait was over."""
    bench.unlock("strip")
    ends = Wait.objects.get(entry=bench.do("strip-drain", "wait")).ends
    WorkOrder.objects.update(promised=ends + dt.timedelta(days=9))

    def asked(minutes: int) -> list[tuple[str, str]]:
        at = ends + dt.timedelta(minutes=minutes)
        rows = [row for part in the_day(at=at, shop=bench.shop).parts for row in part.rows]
        return [(row.words, row.todo) for row in rows if row.words.startswith("waits until")]

    clock = f"{ends:%H:%M}"
    assert asked(-1) == [(f"waits until {clock}", f"Nothing before {clock}")]
    for minutes in (0, 10):
        assert asked(minutes) == [(f"waits until {clock}", f"Go on: the wait is over since {clock}")]
    with time_machine.travel(ends - dt.timedelta(minutes=1), tick=False):
        assert f"Nothing before {clock}" in said(bench, client_as)
    bench.at = ends
    bench.do("strip-drain", "wait end")
    assert asked(1) == []


def test_what_is_not_fetched_for_a_week_is_rung_about(bench: Bench, client_as: As) -> None:
    def closed(job: Job, days: int) -> None:
        at = timezone.now() - dt.timedelta(days=days)
        Job.objects.filter(pk=job.pk).update(state="done", outcome="done", closed_at=at)

    closed(bench.job, 9)
    closed(bench.other, 6)
    assert "not fetched" not in said(bench, client_as), "the other is ready for six days only"
    closed(bench.other, 8)
    assert "Ring: not fetched for 8 days" in said(bench, client_as)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "0 min"),
        (59, "59 min"),
        (60, "1 h 00 min"),
        (140, "2 h 20 min"),
        (2879, "47 h 59 min"),
        (2880, "2 days"),
    ],
)
def test_a_length_of_time_is_said_as_at_a_counter(minutes: int, words: str) -> None:
    assert span(dt.timedelta(minutes=minutes)) == words

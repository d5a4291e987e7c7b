"""The books of jobs and waits find what was changed behind the entries' back."""

from __future__ import annotations

from typing import Any

import pytest

from shopapp.bench.models import Wait
from shopapp.orders.models import Job
from shopapp.shop import books
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("name", "planted"),
    [("state", "planned"), ("stage", "final"), ("is_open", False)],
)
def test_a_projection_that_was_changed_is_found(bench: Bench, name: str, planted: Any) -> None:
    bench.unlock("spring off")
    assert books.differences() == []
    Job.objects.filter(pk=bench.job.pk).update(**{name: planted})
    found = books.differences()
    assert [(f.book, f.stored) for f in found] == [("jobs", planted)]
    assert found[0].row.startswith(f"{name} of job {bench.job.pk}")


def test_a_stop_that_was_talked_away_is_found(bench: Bench) -> None:
    bench.do("release-zero", "proof", answer="does not move")
    Job.objects.filter(pk=bench.job.pk).update(state="in work", outcome="")
    assert {(f.stored, f.derived) for f in books.differences()} == {("in work", "stopped"), ("", "unsafe")}


def test_a_closing_without_its_entry_is_found(bench: Bench) -> None:
    bench.through("receive-tag")
    Job.objects.filter(pk=bench.job.pk).update(state="done", outcome="done", closed_at=bench.at)
    assert {f.derived for f in books.differences()} == {"in work", "", None}


@pytest.mark.parametrize("ended", [True, False])
def test_a_wait_that_is_not_what_the_entries_say_is_found(bench: Bench, ended: bool) -> None:
    bench.unlock("strip")
    begun = bench.do("strip-drain", "wait")
    if ended:
        bench.do("strip-drain", "wait end", reason="drained")
        Wait.objects.filter(entry=begun).update(ended_by=None)
    else:
        Wait.objects.filter(entry=begun).update(ended_by=bench.made[0])
    found = books.differences()
    assert [(f.book, f.derived) for f in found] == [("waits", "ended" if ended else "running")]


def test_a_job_that_was_handed_over_stays_as_it_went(bench: Bench) -> None:
    bench.do("", "close", outcome="unrepaired", words="declined")
    Job.objects.filter(pk=bench.job.pk).update(
        handed_over_at=bench.at, handed_over_to="the owner", is_open=False
    )
    assert books.differences() == []
    late = bench.do("release-zero", "proof", answer="does not move")
    assert late.out_of_order
    assert books.differences() == []
    assert bench.fresh().outcome == "unrepaired"

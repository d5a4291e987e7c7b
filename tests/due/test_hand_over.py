"""Handing over: done jobs alone, some before the rest, never what was stopped unsafe; and the next due noted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.due import services as due
from shopapp.due.handlers import due_book
from shopapp.due.models import Due
from shopapp.orders.models import Job, WorkOrder
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from tests.money.rows import NOW, an_order, done

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
SPRING = dt.date(2028, 3, 2)


def give(order: WorkOrder, jobs: list[Job], by: Person, **more: Any) -> list[Job]:
    return due.hand_over_jobs(
        order=order, jobs=jobs, by=by, at=NOW, **{"to_whom": "Wyn Dallimore", "call": Call.fresh(), **more}
    )


def test_a_part_goes_before_the_rest(desk: Person) -> None:
    order = an_order(desk, jobs=2)
    (first,) = done(order, 1, next_due=SPRING)
    (handed,) = give(order, [first], desk)
    assert (handed.handed_over_at, handed.handed_over_to, handed.is_open) == (NOW, "Wyn Dallimore", False)
    assert Job.objects.get(order=order, number=2).is_open
    row = Due.objects.get()
    assert (row.damper, row.on, row.because, row.serviced_on, row.job) == (
        first.damper, SPRING, "months", NOW.date(), first,
    )  # fmt: skip
    assert list(due_book()) == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"state": "in work"}, "not done"),
        ({"state": "stopped"}, "DO NOT OPEN"),
        ({"state": "done", "outcome": "unsafe", "closed_at": NOW}, "DO NOT OPEN"),
    ],
)
def test_what_may_not_leave_stays(desk: Person, change: dict[str, Any], words: str) -> None:
    order = an_order(desk, jobs=2)
    done(order, 2)
    Job.objects.filter(order=order, number=1).update(**change)
    with pytest.raises(Refused, match=words):
        give(order, list(order.jobs.all()), desk)
    assert not Job.objects.filter(handed_over_at__isnull=False).exists()
    assert not Due.objects.exists()


def test_a_damper_that_was_not_serviced_keeps_its_due(desk: Person) -> None:
    order = an_order(desk, jobs=1)
    give(order, done(order, next_due=SPRING), desk)
    damper = Due.objects.get().damper
    later = an_order(desk, jobs=1, name="Another")
    Job.objects.filter(order=later).update(damper=damper)
    give(later, done(later, outcome="unrepaired"), desk)
    assert Due.objects.get().on == SPRING
    assert list(due_book()) == []


def test_an_inspection_leaves_the_due_that_stood_there(desk: Person) -> None:
    order = an_order(desk, jobs=1)
    give(order, done(order, next_due=SPRING), desk)
    later = an_order(desk, jobs=1, name="Another")
    Job.objects.filter(order=later).update(damper=Due.objects.get().damper)
    give(later, done(later), desk)
    assert (Due.objects.get().on, Due.objects.get().job.order) == (SPRING, order)
    assert list(due_book()) == []


def test_done_twice_and_somebody_elses(desk: Person) -> None:
    order, other = an_order(desk, jobs=1), an_order(desk, jobs=1, name="Another")
    jobs, call = done(order), Call("k1", request_hash="h")
    give(order, jobs, desk, call=call)
    with pytest.raises(AlreadyDone):
        give(order, jobs, desk, call=call)
    with pytest.raises(Refused, match="handed over already"):
        give(order, jobs, desk)
    with pytest.raises(Refused, match="another order"):
        give(order, done(other), desk)
    with pytest.raises(Refused, match="at least one"):
        give(order, [], desk)
    with pytest.raises(Refused, match="who takes them"):
        give(other, done(other), desk, to_whom="  ")


@pytest.mark.parametrize("fault", ["on", "lost", "invented"])
def test_the_book_finds_a_planted_fault(desk: Person, fault: str) -> None:
    order = an_order(desk, jobs=1)
    jobs = done(order, next_due=SPRING)
    if fault == "invented":
        Due.objects.create(
            damper=jobs[0].damper, on=SPRING, because="months", serviced_on=NOW.date(), job=jobs[0]
        )
    else:
        give(order, jobs, desk)
        Due.objects.update(on=dt.date(2030, 1, 1)) if fault == "on" else Due.objects.all().delete()
    assert [row.row for row in due_book()] == [f"damper {jobs[0].damper_id}"]


def test_the_form_hands_over_and_leads_back(desk: Person, client_as: As) -> None:
    order = an_order(desk, jobs=2)
    jobs = done(order, next_due=SPRING)
    url = reverse("hand-over", args=[order.number])
    body = {"act_key": new_key(), "jobs": [job.pk for job in jobs], "to_whom": "Wyn"}
    answer = client_as(desk).post(url, body)
    assert (answer.status_code, answer["Location"]) == (302, reverse("order", args=[order.number]))
    assert Job.objects.filter(order=order, handed_over_to="Wyn").count() == 2


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("to_whom", ""),
        ("to_whom", "x" * 5000),
        ("to_whom", "nul \0"),
        ("jobs", "9" * 40),
        ("jobs", "<script>alert(1)</script>"),
        ("jobs", ""),
    ],
)
def test_a_refused_form_is_kept_with_a_sentence(desk: Person, client_as: As, field: str, text: str) -> None:
    order = an_order(desk, jobs=1)
    jobs = done(order)
    body = {"act_key": new_key(), "jobs": [jobs[0].pk], "to_whom": "Wyn"} | {field: text}
    answer = client_as(desk).post(reverse("hand-over", args=[order.number]), body)
    assert answer.status_code == 422
    assert body["act_key"] in answer.content.decode() and b"<script>alert(1)" not in answer.content
    assert not Job.objects.filter(handed_over_at__isnull=False).exists()


def test_rights_and_methods(desk: Person, technician: Person, client_as: As) -> None:
    url = reverse("hand-over", args=[an_order(desk, jobs=1).number])
    assert client_as(desk).get(url).status_code == 405
    assert client_as(technician).post(url).status_code == 403
    assert Client().post(url).status_code == 302

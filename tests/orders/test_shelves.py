"""Shelves and what lies on them: each laying is kept, the last one holds, and the books say so.

Seen red: without the look at `retired_at`; with `is_open` left out of the UPDATE (a damper that left is laid down);
with a book that reads the first placing.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from shopapp.orders import services as orders
from shopapp.orders import shelves
from shopapp.orders.handlers import place_differences
from shopapp.orders.models import Job, Placing, Shelf, WorkOrder
from shopapp.people.models import Person
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, DoneDifferently, Refused, Stale

pytestmark = pytest.mark.django_db
Receive = Callable[..., WorkOrder]


def a_shelf(owner: Person, now: dt.datetime, code: str = "R2-4", shelf: str = "shelf 4") -> Shelf:
    return orders.add_shelf(code=code, rack="rack 2", shelf=shelf, by=owner, at=now, call=Call.fresh())


def lay(job: Job, std: dict[str, Any], **more: Any) -> Placing:
    return orders.lay_part(job=job, **{"part": "body", "call": Call.fresh(), **std, **more})


@pytest.fixture
def job(receive: Receive) -> Job:
    return receive("118834").jobs.get()


def test_a_part_moves_from_shelf_to_shelf(
    job: Job, owner: Person, now: dt.datetime, std: dict[str, Any]
) -> None:
    one, two = a_shelf(owner, now), a_shelf(owner, now, "R2-5", "shelf 5")
    lay(job, std, shelf=one)
    row = lay(job, std, shelf=two)
    lay(job, std, part="springs", words="r2-4")
    job.refresh_from_db()
    assert (job.shelf_body, job.shelf_springs, job.shelf_tray) == ("R2-5", "R2-4", "")
    assert (row.was, row.place, row.shelf, row.by, row.at) == ("R2-4", "R2-5", two, std["by"], now)
    act = Act.objects.get(pk=row.act_id)
    assert act.changed == [{"field": "1: shelf_body", "old": "R2-4", "new": "R2-5"}]
    assert (act.subject_kind, act.subject_id) == ("order", str(job.order_id))
    assert list(place_differences()) == []


def test_free_words_are_a_place_and_stand_in_no_act(job: Job, std: dict[str, Any]) -> None:
    row = lay(job, std, words="  on   Pia's bench ")
    assert (row.place, row.shelf, row.was) == ("on Pia's bench", None, "")
    act = Act.objects.get(pk=row.act_id)
    assert "Pia" not in str(act.changed) + str(act.result)


def test_what_is_refused(job: Job, owner: Person, now: dt.datetime, std: dict[str, Any]) -> None:
    shelf = a_shelf(owner, now)
    with pytest.raises(Refused, match="Say where"):
        lay(job, std, words="  ")
    lay(job, std, shelf=shelf)
    with pytest.raises(Refused, match="noted at R2-4 already"):
        lay(job, std, words="R2-4")
    orders.change_shelf(
        shelf=shelf,
        revision=1,
        rack="rack 2",
        name="shelf 4",
        retired=True,
        by=owner,
        at=now,
        call=Call.fresh(),
    )
    with pytest.raises(Refused, match="no longer used"):
        lay(job, std, part="tray", shelf=shelf)
    orders.void_job(job=job, why="sold", call=Call.fresh(), **std)
    with pytest.raises(Refused, match="not here any more"):
        lay(job, std, words="on the bench")
    assert Placing.objects.count() == 1


def test_done_twice_has_one_effect(job: Job, std: dict[str, Any]) -> None:
    call = Call("k", request_hash="h")
    lay(job, std, words="on the bench", call=call)
    with pytest.raises(AlreadyDone):
        lay(job, std, words="on the bench", call=call)
    with pytest.raises(DoneDifferently):
        lay(job, std, words="in the wash", call=Call("k", request_hash="other"))
    assert Placing.objects.count() == 1


@pytest.mark.parametrize(
    "code", ["", " ", "2", "40822171", "R2/4", "R2 4", "-R2", "R" * 11, "Ä2", "<b>", "nul\0"]
)
def test_a_code_that_could_be_misread_is_refused(owner: Person, now: dt.datetime, code: str) -> None:
    with pytest.raises(Refused, match="letter among them"):
        a_shelf(owner, now, code)


def test_a_code_is_given_once(owner: Person, now: dt.datetime) -> None:
    assert a_shelf(owner, now, " r2-4 ").code == "R2-4"
    with pytest.raises(Refused, match="R2-4 is taken"):
        a_shelf(owner, now, "R2-4", "another")
    with pytest.raises(Refused, match="has a code already"):
        a_shelf(owner, now, "R2-9")
    with pytest.raises(Refused, match="which rack"):
        a_shelf(owner, now, "R2-8", " ")


def test_two_at_one_shelf_s_form(owner: Person, now: dt.datetime) -> None:
    shelf = a_shelf(owner, now)
    std = {"by": owner, "at": now}
    orders.change_shelf(shelf=shelf, revision=1, rack="rack 3", name="shelf 4", call=Call.fresh(), **std)
    with pytest.raises(Stale):
        orders.change_shelf(shelf=shelf, revision=1, rack="rack 4", name="shelf 4", call=Call.fresh(), **std)
    assert Shelf.objects.get().rack == "rack 3"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("r2-4", "R2-4"), (" R2-4 ", "R2-4"), ("HTTPS://DAMPERS.EXAMPLE.COM/S/R2-4", "R2-4"),
        ("https://dampers.example.com/shop/S/R2-4/", "R2-4"), ("HTTPS://DAMPERS.EXAMPLE.COM/D/40822171/S", ""),
        ("4082 217-1", ""), ("R2 4", ""), ("S/", ""), ("x" * 5000, ""), ("\0", ""), ("\ud800", ""),
    ],
)  # fmt: skip
def test_what_a_scanner_types(text: str, code: str) -> None:
    assert shelves.plain(text) == code


@pytest.mark.parametrize("fault", ["job", "was", "place"])
def test_the_book_finds_a_planted_fault(
    job: Job, owner: Person, now: dt.datetime, std: dict[str, Any], fault: str
) -> None:
    row = lay(job, std, shelf=a_shelf(owner, now))
    if fault == "job":
        Job.objects.filter(pk=job.pk).update(shelf_body="elsewhere")
    else:
        said = {"was": "R2-4", "place": "R2-4"} | {fault: "elsewhere"}
        other = Act.objects.get(verb="add_shelf")
        Placing.objects.create(job=job, part="body", shelf=row.shelf, by=row.by, at=now, act=other, **said)
    assert list(place_differences()) != []


def test_a_placing_is_never_changed(job: Job, std: dict[str, Any]) -> None:
    lay(job, std, words="on the bench")
    for change in (lambda: Placing.objects.update(place="x"), lambda: Placing.objects.all().delete()):
        with pytest.raises(DatabaseError), transaction.atomic():
            change()

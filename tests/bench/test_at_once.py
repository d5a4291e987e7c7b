"""One entry many times at once, two people at one sheet, two corrections of one entry: real commits and threads."""

from __future__ import annotations

import dataclasses
import uuid
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError

from shopapp.bench import services
from shopapp.bench.models import Entry
from shopapp.bench.queries.issued import issued_of
from shopapp.orders import services as orders
from shopapp.orders.models import Job, OrderLine
from shopapp.people.models import Device, Person
from shopapp.shop import books
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from shopapp.stock.models import LotLevel, StockMove
from tests.bench.make import Bench
from tests.conftest import make_person, times
from tests.faults.racing import race

pytestmark = pytest.mark.django_db(transaction=True)


def recording(bench: Bench, entry: services.EntryIn, by: Person | None = None) -> Callable[[], Any]:
    call = Call(key=services.entry_key(entry.id), device=bench.device, request_hash=entry.id.hex)

    def record() -> Any:
        return services.record_entry(
            job=Job(pk=entry.job), entry=entry, by=by or bench.technician, at=bench.at, call=call
        )

    return record


def kinds(ends: list[Any]) -> Counter[str]:
    return Counter(type(end).__name__ for end in ends)


def test_the_same_entry_fifty_times_at_once_is_one(bench: Bench) -> None:
    entry = bench.entry("settings-eyes", "reading", text="28 1/16")
    ends = race([recording(bench, entry)] * 50)
    assert kinds(ends) == {"Entry": 1, "AlreadyDone": 49}
    assert Entry.objects.count() == 1
    assert Act.objects.filter(verb="record_entry").count() == 1


def test_the_same_part_many_times_at_once_takes_one_kit(bench: Bench) -> None:
    bench.unlock("strip")
    entry = bench.entry("reseal-kit", "part")
    ends = race([recording(bench, entry)] * 8)
    assert kinds(ends) == {"Entry": 1, "AlreadyDone": 7}
    assert StockMove.objects.filter(job=bench.job).count() == 2
    assert OrderLine.objects.filter(job=bench.job, comes_from="move").count() == 1


def test_two_kits_for_one_step_at_once_are_one(bench: Bench) -> None:
    bench.unlock("strip")
    ends = race([recording(bench, bench.entry("reseal-kit", "part")) for _twice in range(4)])
    assert kinds(ends) == {"Entry": 1, "Refused": 3}
    assert StockMove.objects.filter(job=bench.job).count() == 2


def test_two_people_on_one_sheet_both_stand(bench: Bench) -> None:
    rows = [
        bench.entry("settings-eyes", "reading", text=text, counter=n)
        for n, text in enumerate(("28", "28 1/16"))
    ]
    ends = race([recording(bench, rows[0]), recording(bench, rows[1], bench.owner)])
    assert kinds(ends) == {"Entry": 2}
    assert {row.value_text for row in bench.sheet().current(bench.step("settings-eyes").key)} == {
        "28",
        "28 1/16",
    }
    stored = list(Entry.objects.order_by("stored_at").values_list("stored_at", flat=True))
    assert len(set(stored)) == 2


def test_one_of_two_corrections_stands_and_the_other_is_told(bench: Bench) -> None:
    old = bench.do("settings-eyes", "reading", text="82")
    rows = [bench.entry("settings-eyes", "reading", text=text, replaces=old.pk) for text in ("28", "28 1/16")]
    ends = race([recording(bench, row) for row in rows])
    assert kinds(ends) == {"Entry": 1, "Refused": 1}
    assert Entry.objects.filter(replaces=old).count() == 1


def test_a_stop_and_the_next_step_at_once_leave_no_way_on(bench: Bench) -> None:
    bench.unlock("spring off")
    stop = bench.entry("release-zero", "proof", answer="does not move")
    passes = bench.entry("release-zero", "proof", answer="cap moves")
    race([recording(bench, stop), recording(bench, passes, bench.owner)])
    assert bench.fresh().state == Job.State.STOPPED
    assert bench.sheet().standing.open == frozenset()
    assert books.differences() == []


def test_closing_twice_at_once_is_one_closing(bench: Bench) -> None:
    rows = [
        bench.entry("", "close", outcome="unrepaired", words="declined", id=uuid.uuid4())
        for _twice in range(3)
    ]
    ends = race([recording(bench, row) for row in rows])
    assert kinds(ends) == {"Entry": 1, "Refused": 2}
    assert Entry.objects.filter(kind="close").count() == 1


def test_one_number_of_a_tablet_at_once_is_one_entry(bench: Bench) -> None:
    first = bench.entry("receive-tag", "do")
    second = dataclasses.replace(bench.entry("wash-outside", "do"), counter=first.counter)
    ends = race([recording(bench, first), recording(bench, second)])
    assert sum(isinstance(end, Entry) for end in ends) == 1
    assert sum(isinstance(end, (Refused, IntegrityError)) for end in ends) == 1


def test_a_repeat_after_all_is_led_to_the_first(bench: Bench) -> None:
    entry = bench.entry("receive-tag", "do")
    row = bench.record(entry)
    with pytest.raises(AlreadyDone) as done:
        bench.record(entry)
    assert done.value.act.result["entry"] == str(row.pk)


def test_a_job_is_void_or_begun_never_both(bench: Bench) -> None:
    """Seen red: with a void job's stage derived from the entry that came after it, the books differ."""
    for turn in range(times(3, 20)):
        job = bench.fresh_order()
        entry = dataclasses.replace(bench.entry("receive-tag", "do"), job=job.pk)

        def void(job: Job = job) -> Any:
            return orders.void_job(
                job=job, why="entered twice", by=bench.desk, at=bench.at, call=Call.fresh()
            )

        attempts = [void, recording(bench, entry)]
        ends = race(attempts if turn % 2 else attempts[::-1])
        job.refresh_from_db()
        row = Entry.objects.get(job=job)
        began = job.state == Job.State.IN_WORK
        assert row.out_of_order is (job.state == Job.State.VOID), ends
        assert began is any(isinstance(end, Refused) for end in ends), ends
        assert OrderLine.objects.filter(job=job).exists() is began
    assert books.differences() == []


def test_a_note_to_the_shift_is_taken_by_one_of_many_at_once(bench: Bench) -> None:
    note = bench.do("", "note", words="Hose is pinched", answer="shift")
    rows = [bench.entry("", "taken", about=note.pk) for _each in range(6)]
    ends = race(
        [
            recording(bench, row, person)
            for row, person in zip(rows, [bench.technician, bench.owner] * 3, strict=True)
        ]
    )
    assert kinds(ends) == {"Entry": 1, "Refused": 5}
    assert Entry.objects.filter(kind="taken").count() == 1


def test_an_entry_is_countersigned_by_one_of_two_at_once(bench: Bench) -> None:
    trainee = make_person("ravi", "technician", initials="RQ", countersign_needed=True)
    row = bench.do("receive-tag", "do", by=trainee)
    rows = [bench.entry("", "countersign", about=row.pk) for _each in range(2)]
    ends = race([recording(bench, rows[0]), recording(bench, rows[1], bench.owner)])
    assert kinds(ends) == {"Entry": 1, "Refused": 1}
    assert Entry.objects.filter(kind="countersign").count() == 1


def test_what_goes_back_and_what_another_job_takes_at_once_both_count(bench: Bench) -> None:
    """Seen red: with a lot's level read and written back instead of raised, one of the two is lost."""
    bench.unlock("strip")
    bench.do("fill-oil", "part", text="400 mL")
    first, bench.job = bench.job, bench.other
    bench.unlock("strip")
    takes = bench.entry("fill-oil", "part", text="300 mL")
    bench.job = first
    (row,) = issued_of(bench.sheet())
    gives = bench.entry(
        "", "close", outcome="unrepaired", words="declined", back=(services.BackIn(row.move.pk, "400 mL"),)
    )
    ends = race([recording(bench, gives), recording(bench, takes)])
    assert kinds(ends) == {"Entry": 2}
    assert LotLevel.objects.get(lot=bench.lots["oil"]).on_hand == 100_000 - 3_000
    assert books.differences() == []


def test_two_closings_at_once_give_a_part_back_once(bench: Bench) -> None:
    bench.unlock("strip")
    bench.do("fill-oil", "part", text="400 mL")
    (row,) = issued_of(bench.sheet())
    back = (services.BackIn(row.move.pk, "400 mL"),)
    rows = [
        bench.entry("", "close", outcome="unrepaired", words="declined", back=back, id=uuid.uuid4())
        for _twice in range(4)
    ]
    ends = race([recording(bench, row) for row in rows])
    assert kinds(ends) == {"Entry": 1, "Refused": 3}
    assert StockMove.objects.filter(kind="return").count() == 1
    assert books.differences() == []


def test_two_tablets_at_one_part_book_it_once(bench: Bench) -> None:
    """Each with an entry and a number of its own: the second is told, and the shelf gives once.

    Seen red without the look of `_refuse_twice`: 800 mL went.
    """
    bench.unlock("strip")
    tablets = [bench.device, Device.objects.create(cookie_hash="2" * 64, first_seen=bench.at)]
    rows = [bench.entry("fill-oil", "part", text="400 mL", counter=900 + n) for n in range(2)]
    attempts = [
        recording(dataclasses.replace(bench, device=device), row, person)
        for device, row, person in zip(tablets, rows, (bench.technician, bench.owner), strict=True)
    ]
    ends = race(attempts)
    assert kinds(ends) == {"Entry": 1, "Refused": 1}
    assert StockMove.objects.filter(job=bench.job, kind="issue").count() == 1
    assert LotLevel.objects.get(lot=bench.lots["oil"]).on_hand == 100_000 - 4_000
    assert OrderLine.objects.filter(job=bench.job, comes_from="move").count() == 1
    assert books.differences() == []


def test_two_corrections_of_one_part_put_back_and_take_once(bench: Bench) -> None:
    """Seen red where the old issue is not given back. The look, the step that stands and a constraint hold the race."""
    bench.unlock("strip")
    old = bench.do("fill-oil", "part", text="400 mL")
    rows = [bench.entry("fill-oil", "part", text=text, replaces=old.pk) for text in ("300 mL", "350 mL")]
    ends = race([recording(bench, rows[0]), recording(bench, rows[1], bench.owner)])
    assert kinds(ends) == {"Entry": 1, "Refused": 1}
    (kept,) = [end for end in ends if isinstance(end, Entry)]
    taken = int(kept.value_text.split()[0])
    assert LotLevel.objects.get(lot=bench.lots["oil"]).on_hand == 100_000 - taken * 10
    assert OrderLine.objects.filter(job=bench.job, comes_from="move").count() == 1
    assert books.differences() == []

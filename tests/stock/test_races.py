"""Two at one shelf, with real commits: one gets the last piece, and what is on hand never falls below nothing.

Seen to fail with `on_hand__gte` taken out of `levels.take` (the constraint then refuses with an IntegrityError instead
of a sentence), with the lines of an issue left unsorted (PostgreSQL finds a deadlock), with `levels.hold` reading
without a lock, with the look for an act of the same key left out, and with a second insert of a batch not caught.
"""

from __future__ import annotations

import threading

import pytest

from shopapp.orders.models import Job
from shopapp.people.models import Person
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from shopapp.stock import services as stock
from shopapp.stock.books import item_differences, lot_differences
from shopapp.stock.models import Lot, StockMove
from shopapp.stock.services import levels as levels_of_lots
from tests.faults.racing import race

from .shelf import NOW, TODAY, a_job, a_lot, an_item, issue, levels

pytestmark = pytest.mark.django_db(transaction=True)


def kinds_of(results: list[object]) -> dict[str, int]:
    names = [type(result).__name__ for result in results]
    return {name: names.count(name) for name in sorted(set(names))}


def books_agree() -> bool:
    return not [*item_differences(), *lot_differences()]


def test_the_last_piece_goes_to_one_of_two(technician: Person) -> None:
    item = an_item()
    lot, jobs = a_lot(item, 1), [a_job(technician), a_job(technician)]
    results = race([lambda job=job: issue(lot, 1, job, technician) for job in jobs])
    assert kinds_of(results) == {"Refused": 1, "list": 1}
    (refused,) = [result for result in results if isinstance(result, Refused)]
    assert "holds 0; 1 were asked for" in refused.sentence
    assert levels(item) == (0, 0, 0)
    assert books_agree()


def test_of_twenty_issues_of_one_from_twelve_twelve_succeed(technician: Person) -> None:
    item, job = an_item(), a_job(technician)
    lot = a_lot(item, 12)
    results = race([lambda: issue(lot, 1, job, technician) for _number in range(20)])
    assert kinds_of(results) == {"Refused": 8, "list": 12}
    assert levels(item) == (0, 0, 0)
    assert StockMove.objects.filter(kind="issue").count() == 12
    assert books_agree()


def test_the_same_issue_sent_five_times_at_once_has_one_effect(technician: Person) -> None:
    item, job = an_item(), a_job(technician)
    lot, call = a_lot(item, 12), Call.once("issue-1")
    results = race([lambda: issue(lot, 2, job, technician, call) for _number in range(5)])
    assert kinds_of(results) == {"AlreadyDone": 4, "list": 1}
    assert all(result.act.key == "issue-1" for result in results if isinstance(result, AlreadyDone))
    assert levels(item) == (10, 0, 0)


def test_two_who_issue_the_same_parts_in_opposite_order_do_not_block_each_other(technician: Person) -> None:
    wiper, ring = an_item(), an_item("O-210", "o-ring -210")
    one, two = a_lot(wiper, 20), a_lot(ring, 20)
    other = a_lot(wiper, 20, "second")
    jobs = [a_job(technician), a_job(technician)]

    def both(job: object, lots: list[object]) -> object:
        lines = [stock.IssueLine(lot.item, lot, 1) for lot in lots]  # type: ignore[attr-defined]
        return stock.issue(lines=lines, job=job, by=technician, at=NOW, call=Call.fresh())  # type: ignore[arg-type]

    calls = [
        lambda job=jobs[n % 2], lots=([one, two] if n % 2 else [two, other]): both(job, lots)
        for n in range(10)
    ]
    assert kinds_of(race(calls)) == {"list": 10}
    assert levels(ring) == (10, 0, 0)
    assert books_agree()


@pytest.fixture
def slow_hold(monkeypatch: pytest.MonkeyPatch) -> tuple[threading.Event, threading.Event]:
    """Let whoever holds a lot dawdle with the lock until the other is through, or a second has gone.

    Gives (held, through). Where the lock is real the other cannot come through before the holder has committed.
    """
    held, through, real = threading.Event(), threading.Event(), levels_of_lots.hold

    def dawdle(lot: Lot) -> int:
        seen = real(lot)
        held.set()
        through.wait(timeout=1.0)
        return seen

    monkeypatch.setattr(levels_of_lots, "hold", dawdle)
    return held, through


def issue_meanwhile(
    lot: Lot, job: Job, by: Person, events: tuple[threading.Event, threading.Event]
) -> object:
    """Issue one piece as soon as somebody holds the lot, and say when it is through."""
    held, through = events
    assert held.wait(timeout=30)
    try:
        return issue(lot, 1, job, by)
    finally:
        through.set()


def test_while_a_lot_is_being_blocked_nothing_of_it_is_issued(
    technician: Person, slow_hold: tuple[threading.Event, threading.Event]
) -> None:
    item, job = an_item(), a_job(technician)
    lot = a_lot(item, 6)
    results = race(
        [
            lambda: stock.block_lot(lot=lot, why="lips cut", by=technician, at=NOW, call=Call.fresh()),
            lambda: issue_meanwhile(lot, job, technician, slow_hold),
        ]
    )
    assert [type(result).__name__ for result in results] == ["Lot", "Refused"]
    assert "is blocked" in str(results[1]) or "not free" in str(results[1])
    assert levels(item) == (6, 6, 0)
    assert books_agree()


def test_an_issue_waits_until_a_count_is_done(
    technician: Person, slow_hold: tuple[threading.Event, threading.Event]
) -> None:
    item, job = an_item(), a_job(technician)
    lot = a_lot(item, 9)
    results = race(
        [
            lambda: stock.count_lot(lot=lot, counted=8, reason="x", by=technician, at=NOW, call=Call.fresh()),
            lambda: issue_meanwhile(lot, job, technician, slow_hold),
        ]
    )
    assert [type(result).__name__ for result in results] == ["StockMove", "list"]
    assert levels(item) == (7, 0, 0)
    assert books_agree()


def test_a_part_comes_back_once_however_often_it_is_sent(technician: Person) -> None:
    item, job = an_item(), a_job(technician)
    moves = issue(a_lot(item, 5), 3, job, technician)
    back = lambda: stock.give_back(moves=moves, job=job, by=technician, at=NOW, call=Call.fresh())  # noqa: E731
    assert kinds_of(race([back] * 3)) == {"Refused": 2, "list": 1}
    assert levels(item) == (5, 0, 0)


def test_one_batch_received_twice_at_once_is_one_lot(technician: Person) -> None:
    item = an_item()
    come = lambda: stock.receive_lot(  # noqa: E731
        item=item, batch="B", quantity=3, received=TODAY, by=technician, at=NOW, call=Call.fresh()
    )
    assert kinds_of(race([come] * 3)) == {"Lot": 3}
    assert item.lots.count() == 1
    assert levels(item) == (9, 0, 0)
    assert books_agree()

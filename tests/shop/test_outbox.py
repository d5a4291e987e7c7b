"""The outbox: planned with the change, claimed by one, done once; a lost worker, a failed try, a second sweeper."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from shopapp.shop import outbox_kinds, queries, wake
from shopapp.shop.models import Outbox
from shopapp.shop.services import outbox
from tests.conftest import NOW
from tests.faults.racing import race

S = Outbox.State
LATER = NOW + outbox.LEASE + dt.timedelta(seconds=1)


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Any]]:
    """Register a kind that can be repeated (paper-like) and one that cannot (mail-like); give what they did."""
    did: list[Any] = []

    def deliver(ids: dict[str, Any], at: dt.datetime) -> str:
        did.append(ids["n"])
        return f"message-{ids['n']}"

    monkeypatch.setattr(outbox_kinds, "REGISTRY", dict(outbox_kinds.REGISTRY))
    outbox_kinds.register("again", deliver, repeatable=True)
    outbox_kinds.register("once", deliver, repeatable=False)
    yield did


def failing(kind: str, problem: Exception, *, repeatable: bool) -> None:
    def deliver(ids: dict[str, Any], at: dt.datetime) -> str:
        raise problem

    outbox_kinds.REGISTRY[kind] = outbox_kinds.OutboxKind(deliver, repeatable)


def plan(kind: str = "again", n: int = 1, **more: Any) -> Outbox:
    return outbox.plan(kind=kind, key=f"{kind}:{n}", ids={"n": n}, at=NOW, **more)


@pytest.mark.django_db
def test_works(done: list[Any]) -> None:
    row = plan()
    assert outbox.sweep(at=NOW) == {"sent": 1}
    row.refresh_from_db()
    assert (row.state, row.done_at, row.message_id, row.attempt, row.lease) == (
        S.SENT,
        NOW,
        "message-1",
        1,
        None,
    )
    assert done == [1]


@pytest.mark.django_db
def test_planned_twice_is_one_row(done: list[Any]) -> None:
    assert plan().pk == plan().pk
    outbox.sweep(at=NOW)
    plan()
    assert outbox.sweep(at=NOW) == {}
    assert done == [1]


@pytest.mark.django_db(transaction=True)
def test_what_is_rolled_back_is_not_planned(done: list[Any]) -> None:
    with pytest.raises(RuntimeError), transaction.atomic():
        plan()
        raise RuntimeError
    assert outbox.sweep(at=NOW) == {}
    assert Outbox.objects.count() == 0


@pytest.mark.django_db
def test_an_unknown_kind_is_refused_when_planned(done: list[Any]) -> None:
    with pytest.raises(ValueError, match="no outbox kind"):
        plan(kind="forgotten")


def test_a_kind_is_registered_once(done: list[Any]) -> None:
    with pytest.raises(ValueError, match="twice"):
        outbox_kinds.register("again", lambda ids, at: None, repeatable=True)


@pytest.mark.django_db
def test_what_is_not_due_waits(done: list[Any]) -> None:
    plan(n=1, due=NOW + dt.timedelta(hours=1))
    plan(n=2)
    assert outbox.sweep(at=NOW) == {"sent": 1}
    assert done == [2]
    outbox.sweep(at=NOW + dt.timedelta(hours=1))
    assert done == [2, 1]


@pytest.mark.django_db
def test_the_oldest_comes_first_and_a_sweep_ends(done: list[Any]) -> None:
    for n in (3, 1, 2):
        plan(n=n, due=NOW - dt.timedelta(minutes=10 - n))
    assert outbox.sweep(at=NOW, limit=2) == {"sent": 2}
    assert done == [1, 2]


@pytest.mark.django_db
def test_a_claimed_row_is_left_alone(done: list[Any]) -> None:
    row = plan()
    assert outbox.claim(row.pk, at=NOW)
    assert outbox.claim(row.pk, at=NOW) == ""
    assert outbox.deliver(row.pk, at=NOW) == ""
    assert outbox.sweep(at=NOW) == {}
    assert done == []


@pytest.mark.django_db
@pytest.mark.parametrize(("kind", "state", "times"), [("again", S.SENT, [1]), ("once", S.UNKNOWN, [])])
def test_a_worker_is_lost(done: list[Any], kind: str, state: str, times: list[int]) -> None:
    """What may be repeated is; what may not becomes unknown, is shown, and is never sent again by itself."""
    row = plan(kind=kind)
    outbox.claim(row.pk, at=NOW)
    outbox.sweep(at=NOW + outbox.LEASE)
    assert Outbox.objects.get().state == S.CLAIMED, "its lease is not over"
    outbox.sweep(at=LATER)
    outbox.sweep(at=LATER + dt.timedelta(days=1))
    assert (Outbox.objects.get().state, done) == (state, times)
    assert list(queries.outbox_trouble()) == ([row] if state == S.UNKNOWN else [])


@pytest.mark.django_db
def test_a_worker_that_comes_back_late_changes_nothing(done: list[Any], monkeypatch: Any) -> None:
    """Its lease was given to another; the other's end is the one that is kept."""
    row = plan()

    def slow(ids: dict[str, Any], at: dt.datetime) -> str:
        outbox.free_lost(at=LATER)
        outbox.claim(row.pk, at=LATER)
        return "late"

    outbox_kinds.REGISTRY["again"] = outbox_kinds.OutboxKind(slow, repeatable=True)
    outbox.deliver(row.pk, at=NOW)
    row.refresh_from_db()
    assert (row.state, row.message_id, row.lease) == (S.CLAIMED, "", LATER + outbox.LEASE)


@pytest.mark.django_db
def test_a_repeatable_kind_is_tried_again_later_and_then_given_up(done: list[Any]) -> None:
    failing("again", OSError("disk full"), repeatable=True)
    row = plan()
    at, tries = NOW, 0
    while Outbox.objects.get().state == S.PLANNED:
        at = max(at, Outbox.objects.get().due)
        outbox.sweep(at=at)
        tries += 1
    row.refresh_from_db()
    assert (row.state, tries, row.attempt) == (S.FAILED, 5, 5)
    assert row.due - NOW == sum(outbox.RETRY_AFTER, dt.timedelta())
    assert row.problem == "OSError: disk full"
    assert list(queries.outbox_trouble()) == [row]


@pytest.mark.django_db
def test_a_mail_that_broke_off_is_unknown(done: list[Any]) -> None:
    failing("once", TimeoutError("after DATA"), repeatable=False)
    plan("once")
    assert outbox.sweep(at=NOW) == {"unknown": 1}
    assert outbox.sweep(at=NOW + dt.timedelta(days=2)) == {}


@pytest.mark.django_db
def test_a_mail_that_was_certainly_not_sent_is_tried_again(done: list[Any]) -> None:
    failing("once", outbox_kinds.NotSent("connection refused"), repeatable=False)
    row = plan("once")
    assert outbox.sweep(at=NOW) == {"planned": 1}
    row.refresh_from_db()
    assert row.due == NOW + outbox.RETRY_AFTER[0]


@pytest.mark.django_db
def test_one_bad_row_does_not_hold_up_the_others(done: list[Any]) -> None:
    failing("once", ValueError("x" * 1000), repeatable=False)
    plan("once", n=1, due=NOW - dt.timedelta(minutes=5))
    plan("again", n=2)
    assert outbox.sweep(at=NOW) == {"unknown": 1, "sent": 1}
    assert len(Outbox.objects.get(state=S.UNKNOWN).problem) == 300


@pytest.mark.django_db
@pytest.mark.parametrize("given", [{"state": "lost"}, {"state": S.CLAIMED, "lease": None}, {"state": S.SENT}])
def test_the_database_refuses_states_that_cannot_be(done: list[Any], given: dict[str, Any]) -> None:
    row = plan()
    with pytest.raises(IntegrityError), transaction.atomic():
        Outbox.objects.filter(pk=row.pk).update(**given)


@pytest.mark.django_db(transaction=True)
def test_of_many_sweepers_each_row_is_done_by_one(done: list[Any]) -> None:
    """Seen to fail with a claim that does not ask for the state: then rows are done four times."""
    for n in range(12):
        plan(n=n)
    ends = race([lambda: outbox.sweep(at=NOW)] * 4)
    assert [end for end in ends if isinstance(end, Exception)] == []
    assert sorted(done) == list(range(12))
    assert Outbox.objects.filter(state=S.SENT, attempt=1).count() == 12


@pytest.mark.django_db(transaction=True)
def test_of_many_plans_with_one_key_one_row_comes(done: list[Any]) -> None:
    ends = race([lambda: plan().pk] * 6)
    assert set(ends) == {Outbox.objects.get().pk}


@pytest.mark.django_db(transaction=True)
def test_celery_is_woken_after_the_commit_and_not_before(done: list[Any], monkeypatch: Any) -> None:
    woken: list[str] = []
    monkeypatch.setattr(wake, "wake", woken.append)
    with transaction.atomic():
        plan()
        assert woken == []
    assert woken == ["shop.sweep_outbox"]


@pytest.mark.django_db(transaction=True)
def test_without_its_broker_the_row_is_planned_all_the_same(
    done: list[Any], settings: Any, unused_port: int, caplog: pytest.LogCaptureFixture
) -> None:
    from shopapp.celery import app

    settings.REDIS_URL = f"redis://127.0.0.1:{unused_port}/0"
    before = app.conf.broker_url
    app.conf.broker_url = settings.REDIS_URL
    try:
        with transaction.atomic():
            plan()
    finally:
        app.conf.broker_url = before
    assert "broker not reached" in caplog.text
    assert outbox.sweep(at=NOW) == {"sent": 1}


@pytest.fixture
def unused_port() -> int:
    import socket

    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.mark.django_db(transaction=True)
def test_a_busy_database_ends_the_row_not_the_sweeper(
    done: list[Any], monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """The command sweeps on; what it could not note is taken back when the lease is over."""
    from shopapp.management.commands.sweep import Command

    failing("again", DatabaseError("database is locked"), repeatable=True)
    plan()
    Command()._sweep_on()
    assert "sweep put off" in caplog.text
    assert Outbox.objects.get().state == S.CLAIMED


@pytest.fixture
def sweep_command() -> Callable[[], str]:
    import io

    from django.core.management import call_command

    def run() -> str:
        out = io.StringIO()
        call_command("sweep", stdout=out)
        return out.getvalue().strip()

    return run


@pytest.mark.django_db
def test_the_command_says_what_it_did(done: list[Any], sweep_command: Callable[[], str]) -> None:
    plan()
    assert sweep_command() == "1 sent"
    assert sweep_command() == ""

"""What a comeback took of the shop: the parts that stayed in the damper and the minutes at the bench."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.bench.queries.bench_time import minutes_of
from shopapp.bench.queries.issued import issued_of
from shopapp.bench.services import BackIn
from shopapp.orders.models import Job
from shopapp.people.models import Person
from shopapp.stock.models import Item
from shopapp.web.queries import comebacks
from tests.bench.conftest import bench as _bench
from tests.bench.make import Bench

bench = _bench
pytestmark = pytest.mark.django_db


def after(bench: Bench, minutes: int) -> None:
    """Let time go by since the last entry: recording itself takes a minute in these tests."""
    bench.at += dt.timedelta(minutes=minutes - 1)


def minutes(bench: Bench, job: Job | None = None) -> int:
    return minutes_of([job or bench.job]).get((job or bench.job).pk, 0)


def test_from_one_entry_to_the_next_without_pauses(bench: Bench) -> None:
    """Seen red with pauses counted, with 20 minutes taken for a pause, and with minutes before the first
    entry."""
    bench.do("receive-tag", "do")
    assert minutes(bench) == 0
    after(bench, 7)
    bench.do("wash-outside", "do")
    after(bench, 20)
    bench.do("", "note", words="collar stiff")
    after(bench, 21)
    bench.do("", "note", words="back from lunch")
    assert minutes(bench) == 27


def test_who_works_on_two_dampers_is_counted_for_each_in_turn(bench: Bench) -> None:
    """Seen red with the other damper's entries not looked at: its minutes were counted here as well."""
    first, second = bench.job, bench.other
    for job, gap in ((first, 0), (second, 5), (first, 8), (second, 3)):
        bench.job = job
        after(bench, gap or 1)
        bench.do("", "note", words="on it")
    assert (minutes(bench, first), minutes(bench, second)) == (8, 8)
    assert minutes_of([first, second]) == {first.pk: 8, second.pk: 8}


def test_two_people_are_two_hands_and_a_drain_is_no_work(bench: Bench) -> None:
    """Seen red with the drain counted, and with all people taken for one."""
    bench.unlock("strip")
    begun = minutes(bench)
    bench.do("strip-drain", "wait")
    assert minutes(bench) == begun + 1
    after(bench, 15)
    bench.do("strip-drain", "wait end", reason="drained")
    assert minutes(bench) == begun + 1
    after(bench, 4)
    bench.do("", "note", by=bench.owner, words="looked at it")
    assert minutes(bench) == begun + 1
    after(bench, 4)
    bench.do("", "note", words="goes on")
    assert minutes(bench) == begun + 9


def test_a_tablet_that_was_offline_tells_when_it_was_typed(bench: Bench) -> None:
    """Seen red with the moment of storing."""
    typed = bench.at
    after(bench, 120)
    for gap in (0, 6):
        bench.do("", "note", words="typed in the yard", typed_at=typed + dt.timedelta(minutes=gap))
    assert minutes(bench) == 6


def test_a_tablet_whose_clock_goes_wrong_is_read_by_the_servers(bench: Bench) -> None:
    """The second note comes from a tablet that is four minutes fast. Seen red without its offset: 10 minutes."""
    typed = bench.at
    after(bench, 120)
    for fast, gap in ((0, 0), (4, 6)):
        bench.do(
            "", "note", words="typed in the yard", typed_at=typed + dt.timedelta(minutes=gap + fast),
            offset_ms=-fast * 60_000,
        )  # fmt: skip
    assert minutes(bench) == 6


def a_comeback(bench: Bench) -> None:
    Job.objects.filter(pk=bench.other.pk).update(
        state="done", outcome="done", closed_at=bench.at, handed_over_at=bench.at, is_open=False
    )
    Job.objects.filter(pk=bench.job.pk).update(comeback_of=bench.other, under_warranty=True)


def test_the_owner_sees_parts_minutes_and_price(bench: Bench, client_as: Callable[[Person], Client]) -> None:
    """Seen red with what went back counted, without the word for parts that have no price, and without
    minutes."""
    a_comeback(bench)
    Item.objects.filter(code="oring-210").update(price=Decimal("4.50"))
    bench.unlock("strip")
    bench.do("reseal-kit", "part")
    bench.do("fill-oil", "part")
    back = tuple(
        BackIn(row.move.pk, "223 mL" if row.move.item.code == "oil-5" else "")
        for row in issued_of(bench.sheet())
    )
    bench.do("", "close", outcome="unrepaired", words="declined", cause="other", back=back)
    (row,) = comebacks.with_costs(comebacks.shown(comebacks.comebacks()))
    assert row.cost is not None
    # Two rings at 4.50 and a quarter of a litre at 32.00; the wiper has no price.
    assert (row.cost.parts, row.cost.unpriced) == (Decimal("17.00"), 1)
    assert row.cost.minutes == minutes(bench) > 10
    owner = client_as(bench.owner)
    assert f"{row.cost.minutes} min" not in owner.get("/owner/comebacks").content.decode()
    page = owner.get("/owner/comebacks?took=1").content.decode()
    assert "17.00" in page and "1 part has no price" in page and f"{row.cost.minutes} min" in page


def test_as_many_queries_for_two_as_for_one(bench: Bench) -> None:
    """Seen red with minutes read job by job."""
    a_comeback(bench)
    bench.do("", "note", words="on it")
    with CaptureQueriesContext(
        connection,
    ) as one:
        comebacks.with_costs(comebacks.shown(comebacks.comebacks()))
    third = bench.fresh_order()
    Job.objects.filter(pk=third.pk).update(comeback_of=bench.other)
    bench.job = third
    bench.do("", "note", words="on it")
    with CaptureQueriesContext(connection) as two:
        assert len(comebacks.with_costs(comebacks.shown(comebacks.comebacks()))) == 2
    assert len(one) == len(two)

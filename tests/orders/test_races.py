"""Several desks at the same moment, with real commits: a damper stands in one open order, numbers are given once.

Seen red: without the look in `_refuse_open` and without the constraint `damper_in_one_open_job` the first test finds
several orders (without the look alone it stays green on PostgreSQL: the constraint holds); with `next_number` as
read-then-write, on PostgreSQL, the second one fails; with the revision not compared, the change of one revision.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable
from typing import Any

import pytest
from django.conf import settings

from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.dampers.models import Damper, DamperModel
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.orders.services import Agreed, DamperIn, DamperRow
from shopapp.people.models import Person
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, Refused, Stale
from tests.conftest import times
from tests.faults.racing import race

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(
        "sqlite" in settings.DATABASES["default"]["ENGINE"] and not os.environ.get("SHOP_TEST_SQLITE"),
        reason="two connections need a file database: set SHOP_TEST_SQLITE to a path",
    ),
]
AT_ONCE = 4


def test_one_damper_gets_into_one_open_order(
    new_damper: Callable[..., Damper], rebuild: WorkType, wyn: Customer, std: dict[str, Any]
) -> None:
    for number in range(times(3, 20)):
        rows = [DamperIn(damper=new_damper(f"S{number}"), work_type=rebuild)]

        def attempt(rows: list[DamperIn] = rows) -> WorkOrder:
            return orders.receive_order(customer=wyn, dampers=rows, call=Call.fresh(), **std)

        ends = race([attempt] * AT_ONCE)
        received = [end for end in ends if isinstance(end, WorkOrder)]
        refused = [end for end in ends if isinstance(end, Refused)]
        assert (len(received), len(refused)) == (1, AT_ONCE - 1), ends
        assert all(f"is in order {received[0].number}" in no.sentence for no in refused)
    open_jobs = Job.objects.filter(is_open=True).values_list("damper_id", flat=True)
    assert len(open_jobs) == len(set(open_jobs)) == WorkOrder.objects.count()


def test_order_numbers_are_given_once_without_gaps(
    new_damper: Callable[..., Damper], rebuild: WorkType, wyn: Customer, std: dict[str, Any]
) -> None:
    for turn in range(times(3, 20)):
        waiting = [new_damper(f"S{turn}-{n}") for n in range(AT_ONCE)]

        def attempt(damper: Damper) -> WorkOrder:
            rows = [DamperIn(damper=damper, work_type=rebuild)]
            return orders.receive_order(customer=wyn, dampers=rows, call=Call.fresh(), **std)

        ends = race([lambda damper=damper: attempt(damper) for damper in waiting])  # type: ignore[misc]
        assert all(isinstance(end, WorkOrder) for end in ends), ends
    numbers = list(WorkOrder.objects.order_by("number").values_list("number", flat=True))
    assert numbers == list(range(1001, 1001 + len(numbers)))


def test_one_sheet_sent_by_two_threads_is_one_order(
    rebuild: WorkType, model: DamperModel, wyn: Customer, std: dict[str, Any]
) -> None:
    for turn in range(times(3, 20)):
        call = Call.once(f"sheet {turn}")
        row = DamperRow(work_type=rebuild, serial=f"N{turn}", model=model)

        def attempt(call: Call = call, row: DamperRow = row) -> WorkOrder:
            return orders.take_in(
                customer=wyn, vehicle=None, meter=None, rows=[row], agreed=Agreed(), call=call, **std
            )

        ends = race([attempt] * AT_ONCE)
        kinds = sorted(type(end).__name__ for end in ends)
        assert kinds == ["AlreadyDone"] * (AT_ONCE - 1) + ["WorkOrder"], ends
        made = next(end for end in ends if isinstance(end, WorkOrder))
        assert all(end.act.result["order"] == made.pk for end in ends if isinstance(end, AlreadyDone))
    assert WorkOrder.objects.count() == Damper.objects.count() == Act.objects.filter(verb="take_in").count()


def test_one_new_serial_at_two_desks_is_one_damper(
    rebuild: WorkType, model: DamperModel, wyn: Customer, std: dict[str, Any]
) -> None:
    for turn in range(times(3, 20)):
        row = DamperRow(work_type=rebuild, serial=f"N{turn}", model=model)

        def attempt(row: DamperRow = row) -> WorkOrder:
            return orders.take_in(
                customer=wyn, vehicle=None, meter=None, rows=[row], agreed=Agreed(), call=Call.fresh(), **std
            )

        ends = race([attempt] * AT_ONCE)
        assert sum(isinstance(end, WorkOrder) for end in ends) == 1, ends
        assert sum(isinstance(end, Refused) for end in ends) == AT_ONCE - 1, ends
        assert Damper.objects.filter(serial=f"N{turn}").count() == 1


def test_of_two_changes_of_one_revision_one_is_kept(
    new_damper: Callable[..., Damper], rebuild: WorkType, wyn: Customer, std: dict[str, Any]
) -> None:
    rows = [DamperIn(damper=new_damper("S"), work_type=rebuild)]
    order = orders.receive_order(customer=wyn, dampers=rows, call=Call.fresh(), **std)

    def attempt(words: str) -> WorkOrder:
        return orders.change_order(
            order=WorkOrder.objects.get(pk=order.pk), revision=1, promised=None, limit_gross=None,
            complaint=words, why="asked", call=Call.fresh(), **std,
        )  # fmt: skip

    ends = race([lambda words=str(n): attempt(words) for n in range(AT_ONCE)])  # type: ignore[misc]
    kept = [end for end in ends if isinstance(end, WorkOrder)]
    assert len(kept) == 1
    assert sum(isinstance(end, Stale) for end in ends) == AT_ONCE - 1, ends
    assert WorkOrder.objects.get().complaint == kept[0].complaint


def test_one_valid_vin_at_two_desks_is_one_vehicle(wyn: Customer, desk: Person, now: dt.datetime) -> None:
    def attempt() -> Any:
        return customers.add_vehicle(
            customer=wyn, description="truck", vin="1M8GDM9AXKP042788", by=desk, at=now, call=Call.fresh()
        )

    ends = race([attempt] * AT_ONCE)
    assert sum(isinstance(end, Refused) for end in ends) == AT_ONCE - 1, ends
    assert wyn.vehicles.count() == 1


def test_dampers_taken_into_one_order_at_once_get_numbers_of_their_own(
    new_damper: Callable[..., Damper], rebuild: WorkType, wyn: Customer, std: dict[str, Any]
) -> None:
    """Seen red on PostgreSQL without the order's row lock: two took the same next number. Known dampers: a new one
    waits for the counter of tags, which hides it."""
    for turn in range(times(3, 20)):
        rows = [DamperIn(damper=new_damper(f"S{turn}"), work_type=rebuild)]
        order = orders.receive_order(customer=wyn, dampers=rows, call=Call.fresh(), **std)

        def attempt(damper: Damper, order: WorkOrder = order) -> Any:
            row = DamperRow(work_type=rebuild, damper=damper)
            return orders.take_in_damper(order=order, row=row, call=Call.fresh(), **std)

        more = [new_damper(f"N{turn}-{n}") for n in range(AT_ONCE)]
        ends = race([lambda damper=damper: attempt(damper) for damper in more])  # type: ignore[misc]
        assert all(isinstance(end, Job) for end in ends), ends
        assert sorted(order.jobs.values_list("number", flat=True)) == list(range(1, AT_ONCE + 2))

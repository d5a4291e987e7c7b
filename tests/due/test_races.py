"""Two desks at one parcel, two at one damper that stays: with real commits, one of them does it.

Seen red on PostgreSQL without the condition of the UPDATE by which a job is handed over (two parcels); with
`leave_stay` not looking whether the stay that it ends is there still (it went on, and was to be fetched too).
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from shopapp.due import services as due
from shopapp.due.models import Parcel
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder
from shopapp.papers.models import Paper
from shopapp.shop import books
from shopapp.shop.services.acts import Call
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.conftest import times
from tests.due.test_parcels import close, send
from tests.faults.racing import race

pytestmark = pytest.mark.django_db(transaction=True)


def kinds(ends: list[Any]) -> Counter[str]:
    return Counter(type(end).__name__ for end in ends)


def test_two_desks_send_one_parcel(bench: Bench) -> None:  # noqa: F811
    close(bench)
    ends = race([lambda: send(bench)] * 4)
    assert kinds(ends) == {"Parcel": 1, "Refused": 3}, ends
    assert Parcel.objects.count() == Paper.objects.filter(kind="packing slip").count() == 1
    assert bench.fresh().parcel == Parcel.objects.get()
    assert books.differences() == []


def test_one_desk_that_clicks_again_sends_once(bench: Bench) -> None:  # noqa: F811
    close(bench)
    call = Call("parcel", request_hash="h")
    ends = race([lambda: send(bench, call=call)] * 4)
    assert kinds(ends) == {"Parcel": 1, "AlreadyDone": 3}, ends
    assert Parcel.objects.count() == 1


def test_a_parcel_and_a_hand_over_at_once_are_one_of_them(bench: Bench) -> None:  # noqa: F811
    close(bench)

    def give() -> Any:
        return due.hand_over_jobs(
            order=bench.order, jobs=[bench.job], to_whom="Wyn", by=bench.desk, at=bench.at, call=Call.fresh()
        )

    ends = race([give, lambda: send(bench)] * 2)
    assert kinds(ends)["Refused"] == 3, ends
    assert (bench.fresh().parcel is not None) is Parcel.objects.exists()
    assert books.differences() == []


def test_one_that_stays_goes_on_into_one_order(bench: Bench) -> None:  # noqa: F811
    std = {"by": bench.desk, "at": bench.at}
    close(bench)
    job = bench.job
    for _turn in range(times(6, 20)):
        orders.keep_here(job=job, why="part", who="Wyn", how="by phone", call=Call.fresh(), **std)
        row = orders.DamperIn(damper=job.damper, work_type=job.work_type)

        def later(row: orders.DamperIn = row) -> WorkOrder:
            return orders.receive_order(
                customer=bench.order.customer, dampers=[row], call=Call.fresh(), **std
            )

        def back(job: Job = job) -> Any:
            return orders.take_stay_back(stay=job.stays.get(ended_at=None), call=Call.fresh(), **std)

        ends = race([later, later, back])
        took = [end for end in ends if isinstance(end, WorkOrder)]
        assert len(took) + kinds(ends)["Stay"] == 1, ends
        assert kinds(ends)["Refused"] + kinds(ends)["DoesNotExist"] == 2, ends
        job.refresh_from_db()
        assert (job.went_on_id is not None) is bool(took)
        assert job.is_open is not bool(took) and not job.stays.filter(ended_at=None).exists()
        if took:
            orders.void_order(order=took[0], why="to try again", call=Call.fresh(), **std)
    assert books.differences() == []

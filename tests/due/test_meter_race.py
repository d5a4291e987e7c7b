"""A reading that begins while its vehicle's damper is handed over: whichever comes later sees the other.

Begun at one statement of the hand-over after the other, without either waiting for the other. Seen red on PostgreSQL
with the vehicle's row not taken: the reading was stored, and the due was reckoned without it.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection

from shopapp.customers.models import MeterReading, Vehicle
from shopapp.due.models import Due
from shopapp.orders.models import WorkOrder
from shopapp.people.models import Person
from shopapp.shop.models import Shop
from tests.conftest import times
from tests.due.test_by_meter import LATER, a_service, days, give, read, stands
from tests.faults.racing import PATIENCE, race

pytestmark = pytest.mark.django_db(transaction=True)


class Starter:
    """Raise a flag once so many statements of one connection are through (or its work is over); count them."""

    def __init__(self, at: int) -> None:
        self.at, self.seen, self.flag = at, 0, threading.Event()

    def __call__(self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        done = execute(sql, params, many, context)
        self.seen += 1
        if self.seen == self.at:
            self.flag.set()
        return done


def _hand_over(order: WorkOrder, by: Person, starter: Starter) -> Vehicle:
    try:
        with connection.execute_wrapper(starter):
            return give(order, by)
    finally:
        starter.flag.set()


def _read(vehicle: Vehicle, by: Person, starter: Starter) -> MeterReading:
    assert starter.flag.wait(timeout=PATIENCE)
    return read(vehicle, "4000 mi", LATER, by)


def test_a_hand_over_and_a_reading_see_each_other(shop: Shop, desk: Person) -> None:
    at, last = 1, 2
    while at < last:
        order = a_service(desk, "1000 mi to 2000 mi", name=f"Wyn Dallimore {at}")
        vehicle, starter = order.vehicle, Starter(at)
        assert vehicle is not None
        ends = race([
            lambda order=order, starter=starter: _hand_over(order, desk, starter),
            lambda vehicle=vehicle, starter=starter: _read(vehicle, desk, starter),
        ])  # fmt: skip
        assert type(ends[1]) is MeterReading and ends[0] == vehicle, ends
        assert stands(order) != (days(150), "distance"), (
            f"begun at statement {at}: reckoned without the reading"
        )
        assert Due.objects.filter(damper__jobs__order=order).count() == 1
        at, last = at + times(3, 1), starter.seen
    assert last > 20

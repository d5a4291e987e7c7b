"""Orders of a customer who was entered twice: the vehicles and dampers of either entry are theirs.

Seen red with the owners compared by entry (a vehicle and a damper "of somebody else"), with the orders of the double
left out of the list, and with the due list by entry.
"""

from __future__ import annotations

import datetime as dt

import pytest

from shopapp.customers import services as customers
from shopapp.dampers.models import Ownership
from shopapp.due.by_owner import DueByOwner
from shopapp.due.models import Due
from shopapp.orders import services as orders
from shopapp.orders.queries import orders as list_orders
from shopapp.orders.services import Agreed, DamperRow
from shopapp.shop.services.acts import Call
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db


def test_what_is_of_the_double_is_theirs(bench: Bench) -> None:  # noqa: F811
    std = {"by": bench.desk, "at": bench.at}
    kept = customers.add_customer(name="Wyn Dallimore", call=Call.fresh(), **std)
    customers.merge_customers(double=bench.order.customer, into=kept, call=Call.fresh(), **std)
    orders.void_order(order=bench.order, why="brought twice", call=Call.fresh(), **std)
    bench.order.vehicle.refresh_from_db()
    row = DamperRow(damper=bench.job.damper, work_type=bench.job.work_type, place="front left")
    order = orders.take_in(
        customer=kept, vehicle=bench.order.vehicle, meter=None, rows=[row], agreed=Agreed(), changed_hands=False,
        call=Call.fresh(), **std,
    )  # fmt: skip
    assert order.jobs.get().damper == bench.job.damper
    owner = Ownership.objects.get(damper=bench.job.damper, current=True)
    assert owner.customer == bench.order.customer, "it stays where it is, so that they can be parted"
    assert {row.number for row in list_orders(customer=kept)} == {bench.order.number, order.number}


def test_who_is_due_is_one(bench: Bench) -> None:  # noqa: F811
    std = {"by": bench.desk, "at": bench.at}
    kept = customers.add_customer(name="Wyn D. Dallimore", call=Call.fresh(), **std)
    customers.merge_customers(double=bench.order.customer, into=kept, call=Call.fresh(), **std)
    day = dt.date(2026, 1, 5)
    Due.objects.create(damper=bench.job.damper, on=day, because="months", serviced_on=day, job=bench.job)
    (row,) = DueByOwner()
    assert (row.owner_id, row.owner_name, row.on) == (kept.pk, "Wyn D. Dallimore", day)

"""Where a damper is now: said alike on its page, its order's page, behind its tag and in the find box.

Seen red: with void jobs left out of what is over (it said "never received"), with the customer's name given to the
bay, with to whom it was handed over said twice, and said no more once the damper came again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from shopapp.web.queries.where_now import Where, where_is, where_now

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
Receive = Callable[..., WorkOrder]


def where(damper: Damper, now: dt.datetime, *, names: bool = True) -> Where:
    return where_is(damper, at=now, names=names)


def test_never_received(new_damper: Any, now: dt.datetime) -> None:
    found = where(new_damper("1"), now)
    assert (found.here, found.first) == (False, "Not here: never received")
    assert found.more == ["belongs to Wyn Dallimore"]
    assert where(new_damper("2"), now, names=False).more == []


def test_at_its_customer(new_damper: Any, wyn: Customer, std: dict[str, Any], now: dt.datetime) -> None:
    damper = new_damper("1")
    buggy = customers.add_vehicle(customer=wyn, description="Buggy", call=Call.fresh(), **std)
    dampers.fit_damper(damper=damper, vehicle=buggy, place="rear left", call=Call.fresh(), **std)
    assert where(damper, now).more == ["at its customer: Wyn Dallimore, Buggy, rear left"]
    assert where(damper, now, names=False).more == ["at its customer: Buggy, rear left"]


def test_in_the_shop(receive: Receive, technician: Person, std: dict[str, Any], now: dt.datetime) -> None:
    job = receive("1").jobs.get()
    assert where(job.damper, now).first == "In the shop: no place is noted"
    for part in ("body", "springs", "tray"):
        orders.lay_part(job=job, part=part, words="on the bench", call=Call.fresh(), **std)
    orders.assign_job(job=job, technician=technician, bay=None, call=Call.fresh(), **std)
    found = where(job.damper, now)
    assert (found.here, found.first) == (True, "In the shop: on the bench")
    assert found.more == ["planned", technician.name, f"order {job.order.number}/1"]
    orders.lay_part(job=job, part="tray", words="in the wash", call=Call.fresh(), **std)
    assert (
        where(job.damper, now).first
        == "In the shop: body on the bench, springs on the bench, tray in the wash"
    )


def test_handed_over_void_and_scrapped(receive: Receive, std: dict[str, Any], now: dt.datetime) -> None:
    job = receive("1", "2").jobs.get(number=1)
    done = {"state": "done", "outcome": "done", "closed_at": now, "handed_over_at": now, "is_open": False}
    Job.objects.filter(pk=job.pk).update(handed_over_to="Wyn Dallimore", **done)
    assert where(job.damper, now).first == "Handed over on 2 Mar 2026 to Wyn Dallimore"
    bay = where(job.damper, now, names=False)
    assert bay.first == "Handed over on 2 Mar 2026" and "Wyn" not in str(bay)
    Damper.objects.filter(pk=job.damper_id).update(retired_at=now)
    assert where(Damper.objects.get(pk=job.damper_id), now).first == "Scrapped on 2 Mar 2026"
    other = job.order.jobs.get(number=2)
    orders.void_job(job=other, why="sold", call=Call.fresh(), **std)
    assert where(other.damper, now).first == "Not noted as here: its last job was void"


def test_it_is_said_alike_everywhere(
    receive: Receive, desk: Person, technician: Person, client_as: As, std: dict[str, Any]
) -> None:
    order = receive("118834")
    job = order.jobs.get()
    orders.lay_part(job=job, part="body", words="rack 9", call=Call.fresh(), **std)
    client, words = client_as(desk), "In the shop: body rack 9"
    for address in (
        reverse("damper", args=[job.damper_id]), reverse("order", args=[order.number]), "/find?q=118834",
    ):  # fmt: skip
        assert words in client.get(address).content.decode(), address
    bay = client_as(technician)
    assert words in bay.get(reverse("bench-damper", args=[job.damper_id])).content.decode()
    assert "body rack 9" in bay.get("/bench/").content.decode()
    orders.void_order(order=order, why="sold", call=Call.fresh(), **std)
    told = bay.get(f"/D/{job.damper.tag}", follow=True).content.decode()
    assert "is in no open order. Not noted as here" in told


def test_an_order_says_once_to_whom_it_was_handed_over(
    receive: Receive, desk: Person, client_as: As, rebuild: WorkType, std: dict[str, Any], now: dt.datetime
) -> None:
    """Where the damper is now says it, until it came again: then the older order still says it of its own."""
    job = receive("118834").jobs.get()
    done = {"state": "done", "outcome": "done", "closed_at": now, "handed_over_at": now, "is_open": False}
    Job.objects.filter(pk=job.pk).update(handed_over_to="Sella Varn", **done)
    client, page = client_as(desk), reverse("order", args=[job.order.number])
    assert client.get(page).content.decode().count("Sella Varn") == 1
    row = orders.DamperIn(damper=job.damper, work_type=rebuild)
    orders.receive_order(customer=job.order.customer, dampers=[row], call=Call.fresh(), **std)
    told = client.get(page).content.decode()
    assert told.count("Sella Varn") == 1 and "to Sella Varn, 2 Mar 2026" in told and "In the shop" in told


def test_the_queries_do_not_grow_with_the_dampers(receive: Receive, now: dt.datetime) -> None:
    def queries(order: WorkOrder) -> int:
        some = [job.damper for job in order.jobs.select_related("damper")]
        with CaptureQueriesContext(connection) as caught:
            assert len(where_now(some, at=now, names=True)) == len(some)
        return len(caught)

    few = queries(receive(*(f"a{n}" for n in range(10))))
    assert queries(receive(*(f"b{n}" for n in range(20)))) == few

# ruff: noqa: F811 (the bench is a fixture of another folder)
"""A vehicle's page: each corner now and before, its meters with what was corrected, its orders.

Seen red with a damper of before left among those of now, with corrected readings left out, with the queries growing by
corner.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.calc import units
from shopapp.customers import services as customers
from shopapp.customers.models import Vehicle
from shopapp.dampers import services as dampers
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from shopapp.web.queries.vehicle_page import corners_of
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


def fit(bench: Bench, number: int, place: str) -> str:
    """Fit a new damper in a place; give its serial."""
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at, "call": Call.fresh()}
    model, customer = bench.job.damper.model, bench.order.customer
    damper = dampers.add_damper(model=model, customer=customer, serial=f"77{number:04}", **std)
    std["call"] = Call.fresh()
    on = bench.at.date() + dt.timedelta(days=number)
    dampers.fit_damper(damper=damper, vehicle=bench.order.vehicle, place=place, on=on, **std)
    return damper.serial


def said(client: Client, vehicle: Vehicle) -> str:
    page = client.get(f"/vehicles/{vehicle.pk}").content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))


def test_each_corner_says_what_sits_there_and_what_sat_there_before(bench: Bench, client_as: As) -> None:
    first, second, third = (fit(bench, number, "rear left") for number in (1, 2, 3))
    fit(bench, 4, "front left")
    corners = {corner.place: corner for corner in corners_of(bench.order.vehicle)}
    assert list(corners) == ["front left", "rear left"]
    rear = corners["rear left"]
    assert [row.damper.serial for row in rear.now] == [third]
    assert [row.damper.serial for row in rear.before] == [second, first]
    page = said(client_as(bench.desk), bench.order.vehicle)
    assert all(serial in page for serial in (first, second, third))
    assert str(bench.order.number) in page and "The meter was never read." in page


def test_its_meters_show_corrections(bench: Bench, client_as: As) -> None:
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at, "on": bench.at.date(), "source": "the desk"}
    vehicle = bench.order.vehicle
    wrong = customers.record_meter(
        vehicle=vehicle, distance=units.parse("98000 km", "distance"), call=Call.fresh(), **std
    )
    customers.record_meter(
        vehicle=vehicle, distance=units.parse("9800 km", "distance"), replaces=wrong, call=Call.fresh(), **std
    )
    page = said(client_as(bench.desk), vehicle)
    assert "98000 km corrected" in page and " 9800 km " in page


def test_the_queries_do_not_grow_with_the_corners(bench: Bench, client_as: As) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as caught:
            client.get(f"/vehicles/{bench.order.vehicle_id}")
        return len(caught)

    client = client_as(bench.desk)
    fit(bench, 1, "rear left")
    one = asked()
    for number, place in enumerate(("rear right", "front left", "front right", "steering"), 2):
        fit(bench, number, place)
    assert asked() == one


def test_who_may_and_what_is_not_there(bench: Bench, client_as: As) -> None:
    path = f"/vehicles/{bench.order.vehicle_id}"
    assert client_as(bench.technician).get(path).status_code == 403
    client = client_as(bench.desk)
    assert client.get(path).status_code == 200
    assert client.post(path).status_code == 405
    assert client.get("/vehicles/999999").status_code == 404
    assert client.get(f"/vehicles/{10**30}").status_code == 404


def test_a_new_order_begun_from_it_has_it_chosen(bench: Bench, client_as: As) -> None:
    """Seen red while the address's vehicle was not read."""
    vehicle = bench.order.vehicle
    form = client_as(bench.desk).get(f"/orders/new?customer={vehicle.customer_id}&vehicle={vehicle.pk}")
    assert f'<option value="{vehicle.pk}" selected>' in form.content.decode()
    hostile = client_as(bench.desk).get(f"/orders/new?customer={vehicle.customer_id}&vehicle=999999x'")
    assert hostile.status_code == 200

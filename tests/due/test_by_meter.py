"""Due by what a vehicle's meters show, not by months alone: noted at the hand-over, and again with each reading.

Seen red one after the other: `_earliest` looking at the months alone; hard use left out; `meters_read.tell` taken out
of `record_meter`, and out of `change_vehicle`; a replaced meter's figure taken for a reading of the old one; the
rollover's range left out; the reading before the service looked for among all readings; corrected readings counted;
`ValueError` let through; the list's rows reckoned one by one; a date taken from the use alone where readings tell it;
the reason taken off the list, and off the damper's page.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from shopapp.calc import units
from shopapp.customers import services as customers
from shopapp.customers.models import MeterReading, Vehicle
from shopapp.dampers.models import Damper
from shopapp.due import services as due
from shopapp.due.handlers import due_book
from shopapp.due.models import Due
from shopapp.orders.models import Job, WorkOrder
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from shopapp.specs.models import ServiceSpec
from tests.money.rows import NOW, an_order, done
from tests.specs.sheets import a_released, whole

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
SERVICED = NOW.date()
MONTHS = dt.date(2027, 3, 2)
EARLY, LATER = SERVICED - dt.timedelta(days=100), SERVICED + dt.timedelta(days=50)


def text(words: str) -> units.Measurement:
    kind = "running_time" if words.endswith("h") else "distance"
    return units.parse(words, kind)


def read(vehicle: Vehicle, shown: str, on: dt.date, by: Person, **more: Any) -> MeterReading:
    kind = "running" if shown.endswith("h") else "distance"
    return customers.record_meter(
        vehicle=vehicle, **{kind: text(shown)}, on=on, source="desk", by=by, at=NOW, call=Call.fresh(), **more
    )


def a_service(desk: Person, *shown: str, hard: bool = False, name: str = "Wyn Dallimore") -> WorkOrder:
    """Give an order, done, of a vehicle whose meters were read 100 days before the service and at it."""
    order = an_order(desk, jobs=1, name=name)
    vehicle = customers.add_vehicle(
        customer=order.customer, description="buggy", counts_hours=True, hard_use=hard, by=desk, at=NOW,
        call=Call.fresh(),
    )  # fmt: skip
    model = order.jobs.get().damper.model
    assert model is not None
    spec = ServiceSpec.objects.filter(model=model).first() or a_released(
        model,
        desk,
        whole(interval_running=("", "60 h", "")),
    )
    WorkOrder.objects.filter(pk=order.pk).update(vehicle=vehicle)
    done(order, next_due=MONTHS)
    Job.objects.filter(order=order).update(spec=spec)
    order.refresh_from_db()
    for one in shown:
        for words, day in zip(one.split(" to "), (EARLY, SERVICED), strict=False):
            read(vehicle, words, day, desk)
    return order


def give(order: WorkOrder, by: Person) -> Vehicle:
    due.hand_over_jobs(
        order=order, jobs=list(order.jobs.all()), to_whom="Wyn", by=by, at=NOW, call=Call.fresh()
    )
    assert order.vehicle is not None
    return order.vehicle


def stands(order: WorkOrder) -> tuple[dt.date | None, str]:
    """Give what is noted, which the book derives again."""
    assert list(due_book()) == []
    row = Due.objects.get(job__order=order)
    return row.on, row.because


def days(number: int) -> dt.date:
    return SERVICED + dt.timedelta(days=number)


@pytest.mark.parametrize(
    ("shown", "hard", "found"),
    [
        (("1000 mi to 2000 mi",), False, (days(150), "distance")),
        (("1000 mi to 2000 mi",), True, (days(100), "distance")),
        (("100 h to 140 h",), False, (days(150), "hours")),
        (("1000 mi to 2000 mi", "100 h to 160 h"), False, (days(100), "hours")),
        (("1000 mi to 1100 mi",), False, (MONTHS, "months")),
        (("1000 mi",), False, (MONTHS, "months")),
        ((), False, (MONTHS, "months")),
    ],
)
def test_the_earliest_of_meters_and_months_is_noted(
    desk: Person, shown: tuple[str, ...], hard: bool, found: tuple[dt.date, str]
) -> None:
    order = a_service(desk, *shown, hard=hard)
    give(order, desk)
    assert stands(order) == found


def test_a_meter_that_was_first_read_after_the_service_says_nothing(desk: Person) -> None:
    order = a_service(desk)
    vehicle = give(order, desk)
    read(vehicle, "9000 mi", LATER, desk)
    read(vehicle, "19000 mi", LATER + dt.timedelta(days=30), desk)
    assert stands(order) == (MONTHS, "months")


def test_each_reading_reckons_again_and_a_corrected_one_counts_no_more(desk: Person) -> None:
    order = a_service(desk, "1000 mi to 2000 mi")
    vehicle = give(order, desk)
    wrong = read(vehicle, "4000 mi", LATER, desk)
    late, because = stands(order)
    assert because == "distance" and late is not None and late < LATER
    read(vehicle, "2500 mi", LATER, desk, replaces=wrong)
    assert stands(order) == (days(150), "distance")


def test_hard_use_shortens_what_was_noted(desk: Person) -> None:
    order = a_service(desk, "1000 mi to 2000 mi")
    vehicle = give(order, desk)
    vehicle.refresh_from_db()
    customers.change_vehicle(
        vehicle=vehicle, revision=vehicle.revision, description="buggy", counts_hours=True, hard_use=True, by=desk,
        at=NOW, call=Call.fresh(),
    )  # fmt: skip
    assert stands(order) == (days(100), "distance")


def test_a_meter_that_began_again_goes_on_counting(desk: Person) -> None:
    """From 99,500 over 99,999 to 500: a thousand miles of 1500 in a hundred days."""
    order = a_service(desk, "98500 mi to 99500 mi")
    vehicle = give(order, desk)
    read(vehicle, "500 mi", days(100), desk, kind="rolled over")
    assert stands(order) == (days(150), "distance")


def test_a_new_meter_goes_on_counting_where_the_old_one_was(desk: Person) -> None:
    """It began at 5: two thousand miles in a hundred days are over the limit, whatever it shows."""
    order = a_service(desk, "98500 mi to 99500 mi")
    vehicle = give(order, desk)
    read(vehicle, "5 mi", days(1), desk, kind="replaced")
    read(vehicle, "2005 mi", days(101), desk)
    on, because = stands(order)
    assert because == "distance" and on is not None and days(50) <= on < days(101)


def test_no_damper_is_due_before_its_service(desk: Person) -> None:
    """Read past the limit, it was due when the limit was passed, taken as even use between the two readings."""
    order = a_service(desk, "1000 mi to 1010 mi")
    vehicle = give(order, desk)
    read(vehicle, "4010 mi", days(10), desk)
    read(vehicle, "9010 mi", days(20), desk)
    assert stands(order) == (days(5), "distance")


def test_figures_that_no_vehicle_reaches_leave_it_to_the_months(desk: Person) -> None:
    """Rolled over again and again a meter comes to what the reckoning refuses; its readings are stored all the same."""
    order = a_service(desk)
    assert order.vehicle is not None
    for number in range(140):
        kind = "rolled over" if number % 2 else "reading"
        shown = "1 mi" if number % 2 else "6200000 mi"
        read(order.vehicle, shown, EARLY + dt.timedelta(days=number // 2), desk, kind=kind)
    give(order, desk)
    assert stands(order) == (MONTHS, "months")


def test_the_list_and_the_dampers_page_say_why(desk: Person, client_as: As) -> None:
    order = a_service(desk, "1000 mi to 2000 mi", hard=True)
    vehicle = give(order, desk)
    read(vehicle, "3240 mi", days(110), desk)
    with time_machine.travel("2026-11-30T12:00:00Z", tick=False):
        client = client_as(desk)
        listed = client.get(reverse("due") + "?ahead=all").content.decode()
        shown = client.get(reverse("damper", args=[order.jobs.get().damper_id])).content.decode()
    assert "by distance: 1,240 of 1,000 mi" in shown
    assert "by distance" in listed and "overdue" in listed


def test_the_list_says_running_time_and_months(desk: Person, client_as: As) -> None:
    give(a_service(desk, "100 h to 140 h", name="Club"), desk)
    give(a_service(desk, name="Farm"), desk)
    page = client_as(desk).get(reverse("due") + "?ahead=all").content.decode()
    assert "by running time" in page and "by months" in page
    club = Damper.objects.get(jobs__order__customer__name="Club")
    shown = client_as(desk).get(reverse("damper", args=[club.pk])).content.decode()
    assert "by running time: 0 of 60 h read, about 12 h a month" in shown

"""The demo's eighteen months, written in bulk: what the services would have written, as the books hold it."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db.models import F
from django.utils import timezone

from shopapp.bench.models import Entry, Finding
from shopapp.customers.models import Contact, Customer, MeterReading
from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper, DamperModel
from shopapp.dampers.services import tags
from shopapp.demo.load import load
from shopapp.demo.master import ZONE
from shopapp.due.models import Due
from shopapp.money.models import Invoice, Payment
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.orders.services import DamperIn
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call
from shopapp.stock.models import StockLevel
from shopapp.tools.models import Checkout

TODAY = dt.date(2026, 11, 25)
NOW = dt.datetime(2026, 11, 25, 17, tzinfo=dt.UTC)

pytestmark = pytest.mark.django_db


def test_eighteen_months_agree_with_the_books_and_make_sense() -> None:
    """Seen red with orders of one day counted by the minute, and with a shelf that the past had emptied (the services
    after it found no lot)."""
    made = load(seed=1187, today=TODAY, scale=1)
    assert made["customers"] == Customer.objects.count() and 55 <= made["customers"] <= 65
    assert 230 <= made["dampers"] <= 300
    assert books.differences() == []
    _orders_run_with_the_days()
    _machines_count_on()
    _readings_stay_by_their_sheets()
    _nobody_is_real()
    _some_are_late_for_each_reason()
    _not_all_went_well()
    _no_tool_is_in_two_hands()
    paid = set(Payment.objects.values_list("invoice", flat=True))
    assert Invoice.objects.exclude(pk__in=paid).exists() and Invoice.objects.filter(pk__in=paid).exists()
    assert StockLevel.objects.filter(on_hand__lt=F("item__minimum")).exists()
    _the_day_goes_on()


def _orders_run_with_the_days() -> None:
    moments = WorkOrder.objects.order_by("number").values_list("received_at", flat=True)
    days = [timezone.localdate(at, ZoneInfo(ZONE)) for at in moments]
    assert days == sorted(days)
    assert (days[-1] - days[0]).days > 500
    assert Act.objects.filter(at__gt=NOW + dt.timedelta(hours=12)).count() == 0


def _machines_count_on() -> None:
    """A meter runs backwards only where it is told why, and a machine that counts hours shows hours alone."""
    shown: dict[int, list[MeterReading]] = defaultdict(list)
    for reading in MeterReading.objects.filter(vehicle__isnull=False).order_by("on", "pk"):
        shown[reading.vehicle_id or 0].append(reading)
    assert len(shown) > 30
    for readings in shown.values():
        for name in ("distance_si", "running_si"):
            told = [one for one in readings if getattr(one, name) is not None]
            for before, after in pairwise(told):
                fell = getattr(after, name) < getattr(before, name)
                assert fell == (after.kind != "reading"), (before.pk, after.pk)
    kinds = MeterReading.objects.values_list("kind", flat=True)
    assert set(kinds) == {"reading", "replaced", "rolled over"}


def _some_are_late_for_each_reason() -> None:
    """By distance, by hours (a club's buggies count nothing else) and by months; others are due later."""
    late = Due.objects.filter(on__lt=TODAY)
    assert late.filter(because="distance").count() >= 10
    assert late.filter(because="hours").count() >= 10
    assert late.filter(because="months").count() >= 3
    assert Due.objects.filter(on__gt=TODAY).count() >= 50
    rescue = late.filter(because="hours", job__order__customer__name="Ostrey Beach Rescue")
    assert rescue.count() >= 4
    for due in rescue.select_related("job__order__vehicle"):
        vehicle = due.job.order.vehicle
        assert vehicle is not None and vehicle.counts_hours and not vehicle.counts_distance


def _not_all_went_well() -> None:
    """Customers said no to some findings, and some dampers came back within their warranty, each with its cause."""
    assert Finding.objects.filter(answer="no").count() >= 8
    assert Finding.objects.filter(answer="yes").count() >= 20
    back = Job.objects.filter(comeback_of__isnull=False, state="done")
    assert back.count() >= 5
    for job in back.select_related("comeback_of"):
        assert job.comeback_of is not None and job.comeback_of.damper_id == job.damper_id
        assert job.comeback_cause and job.comeback_of.handed_over_at < job.order.received_at  # type: ignore[operator]


def _no_tool_is_in_two_hands() -> None:
    """A tool that is taken out was back, whoever had it before."""
    taken: dict[int, list[Checkout]] = defaultdict(list)
    for row in Checkout.objects.order_by("out_at", "pk"):
        taken[row.tool_id].append(row)
    assert len(taken) >= 4
    for rows in taken.values():
        for before, after in pairwise(rows):
            assert before.in_at is not None and before.in_at <= after.out_at, (before.pk, after.pk)


def _readings_stay_by_their_sheets() -> None:
    """What was built is inside its limits, or says why; nothing was recorded out of its order."""
    assert Entry.objects.filter(out_of_order=True).count() == 0
    built = Entry.objects.filter(phase="built", outside="advisory", reason="", replaced_by__isnull=True)
    assert [entry for entry in built if not entry.remarks.exists()] == []
    assert Entry.objects.filter(phase="built", outside="absolute").count() == 0


def _nobody_is_real() -> None:
    """E-mail stays under example.com, and of phones the exchange 555 is fiction's own."""
    for kind, value in Contact.objects.values_list("kind", "value"):
        assert kind != "email" or value.endswith("@example.com"), value
        assert kind != "phone" or "555-01" in value, value


def _the_day_goes_on() -> None:
    """The next order, damper and tag follow on what was written in bulk."""
    desk, customer = Person.objects.get(login_name="pia"), Customer.objects.latest("pk")
    std: dict[str, Any] = {"by": desk, "at": NOW}
    model, work = DamperModel.objects.earliest("pk"), WorkType.objects.earliest("pk")
    damper = dampers.add_damper(model=model, customer=customer, call=Call.fresh(), **std)
    assert tags.looks_like(damper.tag) and Damper.objects.filter(tag=damper.tag).count() == 1
    last = WorkOrder.objects.latest("number").number
    rows = [DamperIn(damper=damper, work_type=work)]
    order = orders.receive_order(customer=customer, dampers=rows, call=Call.fresh(), **std)
    assert order.number == last + 1
    assert books.differences() == []


@pytest.mark.full
def test_a_scale_is_that_many_times_the_shop() -> None:
    """Seen red with fewer villages and names in the lists than a scale of two draws."""
    load(seed=7, today=TODAY, scale=2)
    assert 105 <= Customer.objects.count() <= 130
    assert Customer.objects.values("name").distinct().count() == Customer.objects.count()
    assert timezone.localdate(WorkOrder.objects.earliest("number").received_at) < TODAY - dt.timedelta(500)

"""A promised day is weighed: the bays' hours until then, what open jobs want of them, the kits that are free.

Seen red, each test by a break of its own: weekends worked, an hour more each day, an hour more in all, the running
day counted from nine, closed days worked (both in the hours and in the load); a day that is just full called too
full; open jobs counted whatever was promised; a day given after which there is none; open jobs' kits not set aside,
set aside though their parts were issued; no kit for a known damper; lots past their date counted; kits wanted by work
without any; the sheet silent.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shopapp.dampers.models import DamperModel
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call
from shopapp.stock import services as stock
from shopapp.stock.models import Lot
from shopapp.stock.queries import IssueLine
from shopapp.web.queries.promise import Wanted, hours_until, unlikely
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.conftest import NOW
from tests.web.test_new_order import URL, said

MONDAY_AT_NINE = NOW
CLOSING = dt.timedelta(hours=8)
FAR = MONDAY_AT_NINE + dt.timedelta(days=60)


@pytest.fixture
def client(client_as: Callable[[Person], Client], desk: Person) -> Client:
    return client_as(desk)


@pytest.mark.parametrize(
    ("hours_on", "closed", "worked"),
    [
        (0, (), 0), (3, (), 3), (8, (), 8), (15, (), 8), (24 + 1, (), 9), (4 * 24 + 8, (), 40), (6 * 24 + 8, (), 40),
        (7 * 24 + 2, (), 42), (4 * 24 + 8, ("2026-03-03", "2026-03-07"), 32),
    ],
)  # fmt: skip
def test_a_bay_works_from_nine_to_five_on_weekdays(
    hours_on: int, closed: tuple[str, ...], worked: int
) -> None:
    until = MONDAY_AT_NINE + dt.timedelta(hours=hours_on)
    found = hours_until(until, now=MONDAY_AT_NINE, closed=frozenset(closed))
    assert found == dt.timedelta(hours=worked)


@pytest.mark.parametrize(
    ("now_on", "until_on", "worked"), [(4, 8, 4), (7.5, 24, 0.5), (9, 24 + 1, 1), (-3, 2, 2)]
)
def test_of_the_day_that_runs_only_what_is_left_counts(now_on: float, until_on: float, worked: float) -> None:
    """Hours from Monday at nine: from one o'clock, from half past four, after closing, before opening."""
    now, until = (MONDAY_AT_NINE + dt.timedelta(hours=hours) for hours in (now_on, until_on))
    assert hours_until(until, now=now) == dt.timedelta(hours=worked)


@pytest.mark.django_db
class TestLoad:
    """One bay, eight hours a day, an hour a damper."""

    def said(self, shop: Shop, kind: WorkType, count: int, promised: dt.datetime) -> str:
        return " ".join(unlikely([Wanted(kind)] * count, promised=promised, now=MONDAY_AT_NINE, shop=shop))

    def test_as_much_as_the_day_holds_is_likely(self, shop: Shop, rebuild: WorkType) -> None:
        today = MONDAY_AT_NINE + CLOSING
        assert self.said(shop, rebuild, 8, today) == ""
        words = self.said(shop, rebuild, 9, today)
        assert "until Mon 2 Mar, 17:00 1 bay works 8 h 00 min in all" in words
        assert "these dampers 9 h 00 min. Promise Tue 3 Mar, or say that it may be later." in words

    def test_what_is_promised_by_then_goes_first(self, shop: Shop, rebuild: WorkType, receive: Any) -> None:
        today = MONDAY_AT_NINE + CLOSING
        receive("1", "2", promised=today)
        receive("3", "4", "5", promised=today + dt.timedelta(days=1))
        receive("6", "7", "8")
        assert self.said(shop, rebuild, 6, today) == ""
        words = self.said(shop, rebuild, 7, today)
        assert "Open jobs promised by then want 2 h 00 min, these dampers 7 h 00 min." in words
        assert "Promise Tue 3 Mar" in words
        assert "Promise Wed 4 Mar" in self.said(shop, rebuild, 12, today)

    def test_a_closed_day_is_not_worked(self, shop: Shop, rebuild: WorkType) -> None:
        tuesday = MONDAY_AT_NINE + dt.timedelta(days=1, hours=8)
        assert self.said(shop, rebuild, 16, tuesday) == ""
        shop.closures = ["2026-03-03"]
        assert "Promise Wed 4 Mar" in self.said(shop, rebuild, 16, tuesday)

    def test_more_than_months_hold_is_given_no_day(self, shop: Shop, rebuild: WorkType) -> None:
        rebuild.minutes = 60 * 8 * 200
        words = self.said(shop, rebuild, 1, MONDAY_AT_NINE + CLOSING)
        assert "Give no day, or take work off the bays first." in words


@pytest.mark.django_db
class TestKits:
    """Six kits' worth of parts; two open jobs want one each."""

    def said(self, bench: Bench, count: int, promised: dt.datetime = FAR) -> str:  # noqa: F811
        damper = Wanted(bench.job.work_type, model=bench.job.damper.model)
        return " ".join(unlikely([damper] * count, promised=promised, now=MONDAY_AT_NINE, shop=bench.shop))

    def test_open_jobs_have_theirs_first(self, bench: Bench) -> None:  # noqa: F811
        assert self.said(bench, 4) == ""
        words = self.said(bench, 6)
        assert (
            "of kit K25-SEAL Seal kit K25 6 are wanted here, and after the open jobs before 4 can be made"
            in words
        )
        assert "Order 2, and promise a day after they come." in words

    def test_a_job_that_has_its_parts_wants_none(self, bench: Bench) -> None:  # noqa: F811
        lot = bench.lots["wiper"]
        stock.issue(
            lines=[IssueLine(lot.item, lot, 1)],
            job=bench.job,
            by=bench.technician,
            at=bench.at,
            call=Call.fresh(),
        )
        assert self.said(bench, 4) == "" and "before 4 can be made" in self.said(bench, 5)

    def test_a_known_damper_wants_the_kit_of_its_sheet(self, bench: Bench) -> None:  # noqa: F811
        Job.objects.update(is_open=False, state=Job.State.VOID)
        known = Wanted(bench.job.work_type, damper=bench.job.damper)
        assert unlikely([known] * 6, promised=FAR, now=MONDAY_AT_NINE, shop=bench.shop) == []
        (words,) = unlikely([known] * 7, promised=FAR, now=MONDAY_AT_NINE, shop=bench.shop)
        assert "before 6 can be made" in words

    def test_lots_past_their_date_by_then_make_none(self, bench: Bench) -> None:  # noqa: F811
        Lot.objects.filter(pk=bench.lots["wiper"].pk).update(expires=FAR.date() - dt.timedelta(days=1))
        assert "before 0 can be made" in self.said(bench, 1)

    def test_work_without_a_kit_wants_none(self, bench: Bench) -> None:  # noqa: F811
        bench.job.work_type.kit_rule = "none"
        assert self.said(bench, 9) == ""


@pytest.mark.django_db
def test_the_sheet_says_it_beside_the_day_and_still_receives(
    client: Client,
    sheet: dict[str, str],
    rebuild: WorkType,
    model: DamperModel,
) -> None:
    WorkType.objects.filter(pk=rebuild.pk).update(minutes=60 * 24 * 30)
    for asked in ({"look_up": "1"}, {"look_up": "agreed"}):
        assert "This promise is unlikely" in said(client.post(URL, sheet | asked))
    assert "This promise is unlikely" not in said(
        client.post(URL, sheet | {"look_up": "1", "promised_day": ""})
    )
    assert client.post(URL, sheet).status_code == 302
    order = WorkOrder.objects.get()
    assert order.promised is not None and order.promised > timezone.now()

"""A report says after what distance and running time the next service is due, as far as the vehicle counts them.

Seen red with hard use left out, with a meter named that the vehicle has not, and with the sentence of the months alone.
"""

from __future__ import annotations

import pytest

from shopapp.bench.queries.next_service import meter_limits
from shopapp.bench.report_figures import _next_due
from shopapp.bench.report_record import read
from shopapp.calc import units
from shopapp.customers.models import Vehicle
from shopapp.orders.models import Job, WorkOrder
from shopapp.people.models import Person
from shopapp.specs.services import FigureIn
from tests.due.test_by_meter import MONTHS
from tests.money.rows import an_order, done
from tests.specs.sheets import a_model, a_released, whole

pytestmark = pytest.mark.django_db


def a_job(desk: Person, *, distance: bool, hours: bool, hard: bool = False, running: str = "60 h") -> Job:
    """Give a closed job whose sheet lasts 1500 miles or 60 hours, of a vehicle that counts one of them, or both."""
    order = an_order(desk, jobs=1)
    vehicle = Vehicle.objects.create(
        customer=order.customer,
        description="buggy",
        counts_distance=distance,
        counts_hours=hours,
        hard_use=hard,
    )
    given = FigureIn(name="interval running", high=units.parse(running, "running_time"))
    spec = a_released(a_model(), desk, [*whole(), given])
    WorkOrder.objects.filter(pk=order.pk).update(vehicle=vehicle)
    done(order, next_due=MONTHS)
    Job.objects.filter(order=order).update(spec=spec)
    return Job.objects.get(order=order)


@pytest.mark.parametrize(
    ("distance", "hours", "hard", "said"),
    [
        (True, False, False, ["1,500 mi"]),
        (True, False, True, ["1,000 mi"]),
        (False, True, True, ["40 h"]),
        (True, True, False, ["1,500 mi", "60 h"]),
        (False, False, False, []),
    ],
)
def test_a_vehicles_own_meters_are_named(
    desk: Person, distance: bool, hours: bool, hard: bool, said: list[str]
) -> None:
    assert meter_limits(a_job(desk, distance=distance, hours=hours, hard=hard)) == said


def test_the_report_says_both_and_the_day(desk: Person) -> None:
    words = _next_due(read(a_job(desk, distance=True, hours=True).pk))
    assert words == "Next service due by 2 Mar 2027 or after 1,500 mi or 60 h, and at once when it leaks."


def test_a_damper_without_a_vehicle_is_told_all_that_its_sheet_gives(desk: Person) -> None:
    job = a_job(desk, distance=False, hours=False)
    WorkOrder.objects.filter(pk=job.order_id).update(vehicle=None)
    assert meter_limits(Job.objects.get(pk=job.pk)) == ["1,500 mi", "60 h"]

"""When dampers want service next: by the months of their job, or before that by what their vehicle's meters show.

The sheet's intervals in distance and running time count from the last reading up to the closing, on the meters of the
vehicle that the order came with. Common practice: in hard use they reach two thirds as far.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import prefetch_related_objects
from django.utils import formats
from django.utils.translation import gettext as _

from shopapp.bench.queries import next_service
from shopapp.bench.queries.next_service import HARD, limit_of, shown
from shopapp.calc import units, usage
from shopapp.calc.units import Measurement
from shopapp.customers.models import MeterReading
from shopapp.money.queries import shop_day
from shopapp.orders.models import Job
from shopapp.shop.models import Shop
from shopapp.shop.queries import this_shop
from shopapp.specs.models import SpecFigure

AT_ONCE = 500
LATEST = 60
"""Readings of one meter from which the use a day is taken: the latest ones."""
MONTHS, DISTANCE, HOURS = "months", "distance", "hours"
INTERVALS = {next_service.DISTANCE: DISTANCE, next_service.RUNNING: HOURS}
ORDER = (DISTANCE, HOURS, MONTHS)

Totals = list[tuple[date, float]]
"""What a meter counted in all by which day, in SI units, replacements and rollovers carried over."""


@dataclass(frozen=True, slots=True)
class Reckoned:
    """When a damper is due and because of what; by a meter, what was used (in the sheet's unit) of how much."""

    on: date
    because: str
    used: float = 0.0
    limit: str = ""

    @property
    def words(self) -> str:
        """Say the reason: "by distance: 1,240 of 1,000 mi"."""
        if self.because == MONTHS:
            return _("by months")
        used = formats.number_format(round(self.used), decimal_pos=0, force_grouping=True)
        said = {"used": used, "limit": self.limit}
        if self.because == DISTANCE:
            return _("by distance: %(used)s of %(limit)s") % said
        return _("by running time: %(used)s of %(limit)s") % said


def reckon(jobs: Sequence[Job]) -> dict[int, Reckoned]:
    """Give by job when its damper is due next; jobs that set no date are left out."""
    found: dict[int, Reckoned] = {}
    shop = this_shop()
    for begin in range(0, len(jobs), AT_ONCE):
        rows = [job for job in jobs[begin : begin + AT_ONCE] if job.next_due is not None and _ended(job)]
        prefetch_related_objects(rows, "order__vehicle")
        limits = _limits({job.spec_id for job in rows if job.spec_id})
        meters = _meters({job.order.vehicle_id for job in rows if job.order.vehicle_id})
        for job in rows:
            found[job.pk] = _earliest(job, shop, limits, meters)
    return found


def serviced_on(job: Job, shop: Shop | None) -> date:
    """Give the day from which a job's next service counts."""
    ended = _ended(job)
    if ended is None:
        raise ValueError(f"job {job.pk} has not ended: nothing counts from it")
    return shop_day(ended, shop)


def _ended(job: Job) -> datetime | None:
    return job.closed_at or job.handed_over_at


def _earliest(
    job: Job,
    shop: Shop | None,
    limits: Mapping[tuple[int, str], Measurement],
    meters: Mapping[tuple[int, str], Totals],
) -> Reckoned:
    if job.next_due is None:
        raise ValueError(f"job {job.pk} sets no next service")
    day, found = serviced_on(job, shop), [Reckoned(job.next_due, MONTHS)]
    vehicle = job.order.vehicle
    for because in (DISTANCE, HOURS):
        limit = limits.get((job.spec_id or 0, because))
        totals = meters.get((vehicle.pk, because)) if vehicle is not None else None
        if vehicle is not None and limit is not None and totals:
            found += _by_meter(because, limit, HARD if vehicle.hard_use else 1.0, day, totals)
    return min(found, key=lambda one: (one.on, ORDER.index(one.because)))


def _by_meter(because: str, limit: Measurement, severity: float, day: date, totals: Totals) -> list[Reckoned]:
    """Reckon by one meter: nothing where it was not read up to the service, or never moves."""
    before = [total for read, total in totals if read <= day]
    if not before:
        return []
    start, (latest_on, latest) = before[-1], totals[-1]
    rate = usage.rate_per_day(totals[-LATEST:])
    interval = usage.Interval(
        distance_m=limit.si if because == DISTANCE else None,
        running_s=limit.si if because == HOURS else None,
        severity=severity,
    )
    try:
        due = usage.next_due(
            serviced_on=day, latest_on=max(day, latest_on), interval=interval,
            distance_m_at_service=start, distance_m=latest, distance_per_day=rate,
            running_s_at_service=start, running_s=latest, running_per_day=rate,
        )  # fmt: skip
    except ValueError:  # figures that no vehicle reaches: its months say when
        return []
    if due.on is None:
        return []
    used = units.convert(latest - start, units.SI_UNIT[limit.kind], limit.unit)
    return [Reckoned(due.on, because, used, shown(limit.to(limit.unit) * severity, limit.unit, limit.kind))]


def _limits(specs: Iterable[int]) -> dict[tuple[int, str], Measurement]:
    """Read by sheet and meter how far a service lasts."""
    found = {}
    for row in SpecFigure.objects.filter(spec__in=list(specs), name__in=list(INTERVALS), position=""):
        limit = limit_of(row)
        if limit is not None:
            found[row.spec_id, INTERVALS[row.name]] = limit
    return found


def _meters(vehicles: Iterable[int]) -> dict[tuple[int, str], Totals]:
    """Read by vehicle and meter what was counted in all; corrected readings are left out."""
    shown: dict[tuple[int, str], list[MeterReading]] = defaultdict(list)
    rows = MeterReading.objects.filter(vehicle__in=list(vehicles), replaced_by__isnull=True)
    for row in rows.order_by("on", "stored_at", "pk"):
        shown[row.vehicle_id or 0, HOURS if row.distance is None else DISTANCE].append(row)
    return {meter: _totals(readings) for meter, readings in shown.items()}


def _totals(readings: Sequence[MeterReading]) -> Totals:
    """Add a meter up. What a replaced one went on counting unread is not known, and counts for nothing."""
    events: list[usage.Event] = []
    last: Measurement | None = None
    for row in readings:
        now: Measurement = row.distance or row.running
        if last is not None and row.kind == MeterReading.Kind.REPLACED:
            events.append(("replace", row.on, last.si, now.si))
        elif last is not None and row.kind == MeterReading.Kind.ROLLED_OVER:
            events.append(("replace", row.on, _range(last), 0.0))
        events.append(("reading", row.on, now.si))
        last = now
    added = usage.cumulative(events)
    return [(day, value) for day, value in zip(added.dates, added.values, strict=True) if value is not None]


def _range(last: Measurement) -> float:
    """Give what a meter counts before it starts again: the next power of ten over what it showed, in its unit."""
    digits = max(1, len(str(int(last.to(last.unit)))))
    return units.convert(10.0**digits, last.unit, units.SI_UNIT[last.kind])

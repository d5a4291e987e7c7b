"""When dampers want service next: by the months of their job, or before that by what their vehicle's meters show.

The sheet's intervals in distance and running time count from the last reading up to the closing, on the meters of the
vehicle that the order came with. Common practice: in hard use they reach two thirds as far.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

from django.db.models import prefetch_related_objects
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

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
DAYS_A_MONTH = 30.4
MONTHS, DISTANCE, HOURS = "months", "distance", "hours"
INTERVALS = {next_service.DISTANCE: DISTANCE, next_service.RUNNING: HOURS}
ORDER = (DISTANCE, HOURS, MONTHS)
BECAUSE = {
    DISTANCE: gettext_lazy("by distance"), HOURS: gettext_lazy("by running time"), MONTHS: gettext_lazy("by months"),
}  # fmt: skip

Totals = list[tuple[date, float]]
"""What a meter counted in all by which day, in SI units, replacements and rollovers carried over."""


@dataclass(frozen=True, slots=True)
class Reckoned:
    """When a damper is due and because of what; by a meter, what was used of how much.

    `a_month` is the use that the date was taken from, "" where the meter was read past the limit already.
    """

    on: date
    because: str
    used: str = ""
    limit: str = ""
    a_month: str = ""

    @property
    def words(self) -> str:
        """Say the reason: "by distance: 1,240 of 1,000 mi"; while it is not used up, with the use that says when."""
        if self.because == MONTHS:
            return because_words(MONTHS)
        said = {"used": self.used, "limit": self.limit, "rate": self.a_month}
        if self.because == DISTANCE and self.a_month:
            return _("by distance: %(used)s of %(limit)s read, about %(rate)s a month") % said
        if self.because == DISTANCE:
            return _("by distance: %(used)s of %(limit)s") % said
        if self.a_month:
            return _("by running time: %(used)s of %(limit)s read, about %(rate)s a month") % said
        return _("by running time: %(used)s of %(limit)s") % said


def because_words(because: str) -> str:
    """Say by what a service is due, without its figures."""
    return str(BECAUSE[because]) if because in BECAUSE else ""


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
    known = [(day, before[-1]), *((read, total) for read, total in totals if read > day)]
    length, used = limit.si * severity, known[-1][1] - known[0][1]
    rate = usage.rate_per_day(totals[-LATEST:])
    passed = _passed(known, known[0][1] + length)
    on = passed or _reached(because, length, known, rate)
    if on is None:
        return []
    monthly = "" if passed or not rate else _in_unit(rate * DAYS_A_MONTH, limit)
    used_words = _in_unit(used, limit).rsplit(" ", 1)[0]
    return [Reckoned(on, because, used_words, _in_unit(length, limit), monthly)]


def _passed(known: Totals, target: float) -> date | None:
    """Give the day on which a total was reached between two readings, taken as even use; None where it was not."""
    for (earlier, less), (later, more) in pairwise(known):
        if more >= target > less:
            return earlier + timedelta(
                days=math.floor((later - earlier).days * (target - less) / (more - less))
            )
    return None


def _reached(because: str, length: float, known: Totals, rate: float | None) -> date | None:
    """Give the day on which a limit that is not passed will be; None where the use says nothing."""
    interval = usage.Interval(
        distance_m=length if because == DISTANCE else None, running_s=length if because == HOURS else None
    )
    (day, start), (latest_on, latest) = known[0], known[-1]
    try:
        return usage.next_due(
            serviced_on=day, latest_on=latest_on, interval=interval,
            distance_m_at_service=start, distance_m=latest, distance_per_day=rate,
            running_s_at_service=start, running_s=latest, running_per_day=rate,
        ).on  # fmt: skip
    except ValueError:  # figures that no vehicle reaches: its months say when
        return None


def _in_unit(si: float, like: Measurement) -> str:
    """Write an amount in the unit of another."""
    return shown(units.convert(si, units.SI_UNIT[like.kind], like.unit), like.unit, like.kind)


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

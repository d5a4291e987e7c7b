"""Dampers that come back: the job they come back from, and whether its warranty still holds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.utils import timezone

from shopapp.customers.models import MeterReading
from shopapp.dampers.models import Damper
from shopapp.orders.models import Job


@dataclass(frozen=True, slots=True)
class Warranty:
    """A job whose damper is still under its warranty; `until` is its last day, as the kind of work gives it."""

    job: Job
    until: date

    @property
    def order(self) -> int:
        """Give the number of the order that it comes back from."""
        return self.job.order.number


def warranty_of(damper: Damper, on: date) -> Warranty | None:
    """Give the last job of a damper where it was handed over as done less than its warranty ago; None otherwise.

    By days, and by distance where the vehicle's meter was read on both sides of the hand-over: without readings
    nothing says that the distance is used up.
    """
    done = Job.objects.filter(damper=damper, handed_over_at__isnull=False, outcome=Job.Outcome.DONE)
    job = done.select_related("order__vehicle", "work_type").order_by("-handed_over_at", "-pk").first()
    if job is None or job.handed_over_at is None or not job.work_type.warranty_days:
        return None
    until = timezone.localdate(job.handed_over_at) + timedelta(days=job.work_type.warranty_days)
    if on > until or _past_distance(job):
        return None
    return Warranty(job, until)


def _past_distance(job: Job) -> bool:
    """Say whether the vehicle has gone further since the hand-over than the warranty reaches."""
    most = job.work_type.warranty_distance
    if most is None or job.order.vehicle_id is None or job.handed_over_at is None:
        return False
    readings = MeterReading.objects.filter(vehicle=job.order.vehicle_id, kind=MeterReading.Kind.READING)
    readings = readings.filter(distance_si__isnull=False, replaced_by__isnull=True).order_by("on", "pk")
    rows = [(row.on, row.distance.si) for row in readings]
    left = timezone.localdate(job.handed_over_at)
    before = [metres for day, metres in rows if day <= left]
    return bool(before) and rows[-1][1] - before[-1] > most.si

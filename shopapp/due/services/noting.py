"""Noting when dampers want service next: at the hand-over, and again whenever their vehicle's meter is read."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import F

from shopapp.customers.models import Vehicle
from shopapp.due.models import Due
from shopapp.due.reckoning import reckon, serviced_on
from shopapp.orders.models import Job
from shopapp.shop.queries import this_shop


def note_due(job: Job) -> None:
    """Note when the damper of a job is due next; the job sets a date."""
    if job.order.vehicle_id is not None:
        _hold(job.order.vehicle_id)
    due = reckon([job])[job.pk]
    Due.objects.update_or_create(
        damper_id=job.damper_id,
        defaults={
            "on": due.on, "because": due.because, "serviced_on": serviced_on(job, this_shop()), "job": job,
        },
    )  # fmt: skip


def reckon_again(vehicle_id: int) -> None:
    """Reckon again what hangs on a vehicle's meters."""
    _hold(vehicle_id)
    update_dues(Due.objects.filter(job__order__vehicle=vehicle_id).select_related("job"))


def update_dues(dues: Iterable[Due]) -> None:
    """Bring dues up to what the meters show now."""
    rows = list(dues)
    reckoned = reckon([row.job for row in rows])
    changed = []
    for row in rows:
        due = reckoned.get(row.job_id)
        if due is not None and (row.on, row.because) != (due.on, due.because):
            row.on, row.because = due.on, due.because
            changed.append(row)
    Due.objects.bulk_update(changed, ["on", "because"], batch_size=500)


def _hold(vehicle_id: int) -> None:
    """Take a vehicle's row: of a hand-over and a reading at one moment the later one sees the other."""
    Vehicle.objects.filter(pk=vehicle_id).update(revision=F("revision"))

"""What a closing put back on the shelf, and what stays billed all the same."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.orders.models import Job


@dataclass(frozen=True, slots=True)
class WentBack:
    """What went back from one job, in words, and what its customer is billed for none the less."""

    job: int
    parts: list[str]
    billed: list[str]


def back_words(entries: Iterable[Entry]) -> list[str]:
    """Say what closings put back: the part, how much of it, its lot."""
    words = _("%(name)s, %(shown)s, lot %(batch)s")
    return [words % row for entry in entries for row in _payload(entry).get("back", [])]


def of_jobs(jobs: Sequence[Job]) -> list[WentBack]:
    """Give what went back from some jobs, in one query; jobs of which nothing did are left out."""
    rows = Entry.objects.filter(job__in=jobs, kind=Entry.Kind.CLOSE, payload__has_key="back")
    numbers = {job.pk: job.number for job in jobs}
    found = [
        WentBack(numbers[row.job_id], back_words([row]), list(_payload(row).get("billed", [])))
        for row in rows.order_by("stored_at", "pk")
    ]
    return sorted(found, key=lambda one: one.job)


def _payload(entry: Entry) -> dict[str, Any]:
    return entry.payload if isinstance(entry.payload, dict) else {}

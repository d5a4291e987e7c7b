"""How long people worked on jobs at the bench, as their entries tell it: nobody presses a clock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import reduce
from operator import or_

from django.db.models import Q, QuerySet

from shopapp.bench.models import Entry
from shopapp.orders.models import Job

PAUSE = timedelta(minutes=20)
"""More than this between two entries of one person was something else."""
LATE = timedelta(days=7)
"""So long a tablet may have been out of reach; what it brought still later is not looked at."""


@dataclass(frozen=True, slots=True)
class _Moment:
    """When somebody typed something, for which job, and whether it only ended a wait."""

    by: int
    at: datetime
    job: int
    ends_wait: bool


def minutes_of(jobs: Sequence[Job]) -> dict[int, int]:
    """Give by job the minutes from one entry of a person to their next one, counted for the job of the later entry.

    Left out is a pause longer than PAUSE, and what only ended a wait. Who goes from one damper to the other and back is
    counted for each in turn, never twice. Two queries, whatever the number of jobs and the years of the shop.
    """
    wanted = {job.pk for job in jobs}
    own: dict[int, list[_Moment]] = {}
    for one in _moments(Entry.objects.filter(job__in=wanted)):
        own.setdefault(one.job, []).append(one)
    if not own:
        return {}
    around = [_around(moments) for moments in own.values()]
    near = Entry.objects.filter(reduce(or_, around))
    spent: dict[int, timedelta] = {}
    before: dict[int, datetime] = {}
    for one in sorted(_moments(near), key=lambda one: (one.at, one.job)):
        since = one.at - before[one.by] if one.by in before else PAUSE * 2
        before[one.by] = one.at
        if one.job in wanted and since <= PAUSE and not one.ends_wait:
            spent[one.job] = spent.get(one.job, timedelta()) + since
    return {job: round(time.total_seconds() / 60) for job, time in spent.items()}


def _around(moments: Sequence[_Moment]) -> Q:
    """Give the condition for what the people of one job typed while it went on, for whatever job."""
    first, last = min(one.at for one in moments), max(one.at for one in moments)
    return Q(
        by__in={one.by for one in moments},
        stored_at__gte=first - PAUSE,
        stored_at__lte=last + LATE,
        typed_at__lte=last + PAUSE,
    )


def _moments(entries: QuerySet[Entry]) -> Iterable[_Moment]:
    """Read when entries were typed by the server's clock: the tablet's with its offset, never after it was stored."""
    rows = entries.values_list("by", "typed_at", "clock_offset_ms", "stored_at", "job", "kind")
    for by, typed, offset, stored, job, kind in rows:
        yield _Moment(
            by, min(stored, typed + timedelta(milliseconds=offset)), job, kind == Entry.Kind.WAIT_END
        )

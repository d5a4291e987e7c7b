"""Who made a stopped damper safe, and how: the owner's release, which lets it leave the shop under its tag."""

from __future__ import annotations

from collections.abc import Iterable

from shopapp.bench.models import Entry
from shopapp.orders.models import Job

DO_NOT_OPEN = "DO NOT OPEN"


def releases(jobs: Iterable[int]) -> dict[int, Entry]:
    """Give by job the release under which it was closed as unsafe; jobs that ended otherwise are left out.

    Such a job is closed after its last stop was released, never before: its last release is the one that holds.
    """
    rows = Entry.objects.filter(
        job__in=list(jobs), kind="release", job__state=Job.State.DONE, job__outcome=Job.Outcome.UNSAFE
    )
    return {row.job_id: row for row in rows.select_related("by").order_by("stored_at", "counter", "pk")}

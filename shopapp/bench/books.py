"""The book of jobs: state, stage, outcome, closing and being open, derived again from the entries and the hand-over."""

from __future__ import annotations

from collections.abc import Iterator

from shopapp.bench import projections
from shopapp.bench.models import Wait
from shopapp.bench.queries.reading import JOINED, read_sheet
from shopapp.orders.models import Job
from shopapp.shop.books import Difference

JOBS, WAITS = "jobs", "waits"
KEPT = ("state", "stage", "outcome", "closed_at", "is_open", "comeback_cause")


def job_differences() -> Iterator[Difference]:
    """Compare each job's projections with what its entries and its hand-over say."""
    for job in Job.objects.select_related(*JOINED).order_by("pk").iterator(chunk_size=100):
        derived = projections.derive(read_sheet(job))
        for name in KEPT:
            stored, wanted = getattr(job, name), getattr(derived, name)
            if stored != wanted:
                yield Difference(JOBS, f"{name} of job {job.pk} (order {job.order.number})", stored, wanted)


def wait_differences() -> Iterator[Difference]:
    """Compare each wait with the entries: a wait that an entry ended in order, or that was begun anew, is over."""
    for wait in Wait.objects.select_related("entry__job", "ended_by").order_by("pk").iterator(chunk_size=200):
        over = _over(wait)
        if (wait.ended_by_id is not None) != over:
            stored = "ended" if wait.ended_by_id else "running"
            yield Difference(WAITS, f"wait of entry {wait.entry_id}", stored, "ended" if over else "running")


def _over(wait: Wait) -> bool:
    entry = wait.entry
    begun_anew = entry.job.entries.filter(replaces=entry, out_of_order=False).exists()
    ended = entry.job.entries.filter(kind="wait end", about=entry, out_of_order=False).exists()
    return begun_anew or ended


__all__ = ["JOBS", "WAITS", "job_differences", "wait_differences"]

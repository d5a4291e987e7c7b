"""What a job's entries say of the job. Written with each entry, derived again by the books."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from shopapp.bench import locks
from shopapp.bench.queries.reading import Sheet, record_of
from shopapp.orders.models import Job


@dataclass(frozen=True, slots=True)
class Projection:
    """What is kept of a job's entries on the job itself."""

    state: str
    stage: str
    outcome: str
    closed_at: datetime | None
    is_open: bool
    comeback_cause: str = ""


def derive(sheet: Sheet) -> Projection:
    """Derive a job's projections from its entries; a job that was handed over stays as it went."""
    job = sheet.job
    is_void = job.state == Job.State.VOID
    is_open = not is_void and job.handed_over_at is None
    entries = sheet.entries
    if job.handed_over_at is not None:
        entries = [entry for entry in entries if entry.stored_at <= job.handed_over_at]
    standing = locks.judge(sheet.rules, [record_of(entry) for entry in entries])
    closings = [entry for entry in entries if entry.kind == "close"]
    if is_void:
        # A job is void before anything is begun; what arrives for it later is stored and says nothing of it.
        return Projection(Job.State.VOID, "", "", None, False)
    if standing.closed:
        last = closings[-1]
        cause = str(last.payload.get("cause") or "")
        return Projection(Job.State.DONE, standing.stage, standing.closed, last.stored_at, is_open, cause)
    if standing.stopped:
        return Projection(Job.State.STOPPED, standing.stage, Job.Outcome.UNSAFE, None, is_open)
    state = Job.State.IN_WORK if entries else Job.State.PLANNED
    return Projection(state, standing.stage, "", None, is_open)

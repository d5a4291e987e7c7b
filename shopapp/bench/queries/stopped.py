"""The stopped jobs: what stopped each, whether it is released; those too that stopped after they had left the shop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, F, OuterRef, Prefetch, Q, QuerySet

from shopapp.bench.models import Entry
from shopapp.bench.queries.closing import outcome_words
from shopapp.bench.queries.mine import JOINED, where_words
from shopapp.dampers.services.tags import show
from shopapp.orders.models import Job


@dataclass(frozen=True, slots=True)
class StoppedRow:
    """One stopped job: what stopped it, by whom, and whether it is released.

    `late`: it stopped after it had left the shop; its release takes it off the list.
    """

    job: Job
    tag: str
    where: str
    why: str
    by: str
    at: datetime | None
    released: str
    late: bool = False


def stopped_jobs() -> QuerySet[Job]:
    """List the stopped jobs, oldest order first; those that stopped after they were handed over stand among them."""
    entries = Entry.objects.select_related("step", "by").order_by("stored_at", "counter", "pk")
    return (
        Job.objects.filter(Q(state=Job.State.STOPPED) | Q(pk__in=late_stops()))
        .select_related(*JOINED, "went_on__order")
        .prefetch_related(Prefetch("entries", queryset=entries, to_attr="told"))
        .order_by("order__number", "number")
    )


def late_stops() -> list[int]:
    """Give the jobs that an entry stopped after they were handed over, and that nobody released since."""
    later = Entry.objects.filter(job=OuterRef("pk"), stored_at__gt=OuterRef("handed_over_at"))
    # From each job that left to what came after it: of all the other entries none is read.
    jobs = Job.objects.filter(Exists(later.order_by()), handed_over_at__isnull=False).order_by()
    after = Entry.objects.filter(
        job__in=list(jobs.values_list("pk", flat=True)),
        stored_at__gt=F("job__handed_over_at"),
        kind__in=["proof", "choice", "release"],
    )
    held: dict[int, bool] = {}
    for entry in after.select_related("step").order_by("stored_at", "counter", "pk"):
        if entry.kind == "release":
            held[entry.job_id] = False
        elif stop_words(entry):
            held[entry.job_id] = True
    return [job for job, holds in held.items() if holds]


def stopped_row(job: Job) -> StoppedRow:
    """Give one row of the stopped jobs (the job as `stopped_jobs` gives it)."""
    told: list[Entry] = job.told  # type: ignore[attr-defined]
    stops = [(entry, words) for entry in told if (words := stop_words(entry))]
    stop, why = stops[-1] if stops else (None, "")
    since = told[told.index(stop) :] if stop is not None else []
    releases = [entry.words for entry in since if entry.kind == "release"]
    return StoppedRow(
        job=job, tag=show(job.damper.tag), where=where_words(job), why=why, by=stop.by.name if stop else "",
        at=stop.stored_at if stop else None, released=releases[-1] if releases else "",
        late=job.handed_over_at is not None,
    )  # fmt: skip


def stop_words(entry: Entry) -> str:
    """Say how an entry stopped its job; "" where it did not."""
    payload = entry.payload if isinstance(entry.payload, dict) else {}
    if entry.kind == "close":
        return f"{outcome_words('unsafe')}: {entry.words}" if payload.get("outcome") == "unsafe" else ""
    for option in entry.step.options if entry.step else ():
        if option.get("stops") and option["value"] == payload.get("answer"):
            return f"{entry.step.name if entry.step else ''}: {option.get('words') or option['value']}"
    return ""

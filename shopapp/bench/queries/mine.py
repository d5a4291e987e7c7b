"""My bench: who works on what, and what each job waits for; and the jobs that are stopped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import F, Prefetch, Q, QuerySet
from django.utils import formats, timezone
from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.bench.queries.sheet import place_words
from shopapp.dampers.services.tags import show
from shopapp.orders.models import Job

if TYPE_CHECKING:
    from shopapp.people.models import Person

JOINED = ("order__vehicle", "damper__model", "work_type", "technician", "bay")


@dataclass(frozen=True, slots=True)
class BenchRow:
    """One job as my bench shows it: `state` is the line type, `words` what it waits for or where it stands."""

    job: Job
    tag: str
    order: int
    vehicle: str
    place: str
    promised: datetime | None
    late: bool
    state: str
    words: str
    mine: bool
    technician: str


def running_waits() -> Prefetch[str, QuerySet[Entry], str]:
    """Read a job's running waits into `running` of its entries."""
    waits = Entry.objects.filter(wait__ended_by__isnull=True, wait__isnull=False).select_related(
        "wait", "step"
    )
    return Prefetch("entries", queryset=waits.order_by("wait__ends"), to_attr="waiting")


def open_jobs(person: Person) -> QuerySet[Job]:
    """List the jobs that are not closed: one's own and those that nobody has, by promise."""
    rows = Job.objects.filter(is_open=True, state__in=["planned", "in work", "stopped"])
    if "owner" not in person.roles:
        rows = rows.filter(Q(technician=person) | Q(technician__isnull=True))
    return (
        rows.select_related(*JOINED)
        .prefetch_related(running_waits())
        .order_by(F("order__promised").asc(nulls_last=True), "order__number", "number")
    )


def bench_row(job: Job, person: Person, at: datetime) -> BenchRow:
    """Give one row of my bench (the job as `open_jobs` gives it)."""
    state, words = state_of(job, at)
    vehicle = job.order.vehicle
    promised = job.order.promised
    return BenchRow(
        job=job,
        tag=show(job.damper.tag),
        order=job.order.number,
        vehicle=vehicle.description if vehicle else "",
        place=place_words(job.get_place_display() if job.place else "", job.place_number),
        promised=promised,
        late=promised is not None and promised < at,
        state=state,
        words=words,
        mine=job.technician_id == person.pk,
        technician=job.technician.initials if job.technician else "",
    )


def state_of(job: Job, at: datetime) -> tuple[str, str]:
    """Give the line type of a job and what it waits for."""
    waiting: Sequence[Entry] = getattr(job, "waiting", ())
    if job.state == Job.State.STOPPED:
        return "stopped", _("stopped unsafe: DO NOT OPEN, waits for the owner")
    if waiting:
        first = waiting[0]
        ends = formats.time_format(timezone.localtime(first.wait.ends), "H:i")
        name = first.step.name if first.step else _("Wait")
        over = _("%(name)s, over since %(time)s") if first.wait.ends <= at else _("%(name)s, until %(time)s")
        return ("in work" if first.wait.ends <= at else "waiting"), over % {"name": name, "time": ends}
    if job.state == Job.State.PLANNED:
        return "planned", _("to be started")
    return "in work", str(job.get_stage_display()) if job.stage else _("in work")


def job_to_open(tag: str) -> Job | None:
    """Find the open job of a tag's eight digits."""
    return Job.objects.filter(damper__tag=tag, is_open=True).select_related(*JOINED).first()


def where_words(job: Job) -> str:
    """Name order, vehicle and corner of a job."""
    vehicle = job.order.vehicle
    place = place_words(job.get_place_display() if job.place else "", job.place_number)
    parts = [_("order %s") % job.order.number, vehicle.description if vehicle else "", place]
    return ", ".join(part for part in parts if part)

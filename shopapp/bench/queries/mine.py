"""My bench: who works on what, by promise, and what each job waits for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import F, Q, QuerySet
from django.utils.translation import gettext as _

from shopapp.bench.queries.sheet import place_words
from shopapp.bench.queries.waiting import WaitLine, waits_of
from shopapp.dampers.services.tags import show
from shopapp.orders.models import Job
from shopapp.orders.shelves import lies

if TYPE_CHECKING:
    from shopapp.people.models import Person

JOINED = ("order__vehicle", "damper__model", "work_type", "technician", "bay")


@dataclass(frozen=True, slots=True)
class BenchRow:
    """One job as my bench shows it: `state` is the line type, `words` where it stands, `waits` what it waits for."""

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
    bay: str = ""
    lies: str = ""
    waits: Sequence[WaitLine] = ()


def open_jobs(person: Person) -> QuerySet[Job]:
    """List the jobs that are not closed: one's own and those that nobody has, by promise."""
    rows = Job.objects.filter(is_open=True, state__in=["planned", "in work", "stopped"])
    if "owner" not in person.roles:
        rows = rows.filter(Q(technician=person) | Q(technician__isnull=True))
    return rows.select_related(*JOINED).order_by(
        F("order__promised").asc(nulls_last=True), "order__number", "number"
    )


def bench_rows(jobs: Iterable[Job], person: Person, at: datetime) -> list[BenchRow]:
    """Give the rows of my bench (the jobs as `open_jobs` gives them); as many queries for twenty as for ten."""
    jobs = list(jobs)
    waits = waits_of(jobs, at)
    return [_bench_row(job, waits[job.pk], person, at) for job in jobs]


def _bench_row(job: Job, waits: Sequence[WaitLine], person: Person, at: datetime) -> BenchRow:
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
        state=state_of(job, waits),
        words=stage_words(job),
        mine=job.technician_id == person.pk,
        technician=job.technician.initials if job.technician else "",
        bay=job.bay.name if job.bay else "",
        lies=lies(job),
        waits=waits,
    )


def state_of(job: Job, waits: Sequence[WaitLine]) -> str:
    """Give the line type of a job: it waits where something holds it up that is not over."""
    if job.state == Job.State.STOPPED:
        return "stopped"
    if any(line.holds_up and not line.over for line in waits):
        return "waiting"
    return "planned" if job.state == Job.State.PLANNED else "in work"


def stage_words(job: Job) -> str:
    """Say where a job stands."""
    if job.state == Job.State.PLANNED:
        return _("to be started")
    return str(job.get_stage_display()) if job.stage else _("in work")


def job_to_open(tag: str) -> Job | None:
    """Find the open job of a tag's eight digits."""
    return Job.objects.filter(damper__tag=tag, is_open=True).select_related(*JOINED).first()


def where_words(job: Job) -> str:
    """Name order, vehicle and corner of a job."""
    vehicle = job.order.vehicle
    place = place_words(job.get_place_display() if job.place else "", job.place_number)
    parts = [_("order %s") % job.order.number, vehicle.description if vehicle else "", place]
    return ", ".join(part for part in parts if part)

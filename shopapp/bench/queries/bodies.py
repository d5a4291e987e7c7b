"""What lies open at closing: each body in the shop that work was begun on, where it is, whether it holds gas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.bench.queries.mine import JOINED, stage_words, state_of, where_words
from shopapp.bench.queries.reading import Sheet, read_sheets
from shopapp.bench.queries.shift import untaken_of
from shopapp.bench.queries.waiting import WaitLine, waits_of
from shopapp.dampers.services.tags import show
from shopapp.orders.models import Job
from shopapp.specs.models import Step


@dataclass(frozen=True, slots=True)
class OpenBody:
    """One open body: `bay` and the shelves of its parts, `gas` in words, `heavy` where it may be under gas."""

    job: Job
    tag: str
    where: str
    bay: str
    shelves: str
    technician: str
    state: str
    stage: str
    waits: Sequence[WaitLine]
    gas: str
    heavy: bool
    notes: Sequence[Entry]


def open_bodies(at: datetime) -> list[OpenBody]:
    """List every body that work was begun on and that is not closed, by bay and tag; stopped ones are among them."""
    rows = Job.objects.filter(is_open=True, state__in=[Job.State.IN_WORK, Job.State.STOPPED])
    jobs = list(
        rows.select_related(*JOINED, "spec__model", "procedure").order_by("bay__order", "bay", "damper__tag")
    )
    waits = waits_of(jobs, at)
    return [_body(sheet, waits[sheet.job.pk]) for sheet in read_sheets(jobs)]


def _body(sheet: Sheet, waits: Sequence[WaitLine]) -> OpenBody:
    job = sheet.job
    words, heavy = gas_words(sheet)
    return OpenBody(
        job=job, tag=show(job.damper.tag), where=where_words(job), bay=job.bay.name if job.bay else "",
        shelves=_shelves(job), technician=job.technician.name if job.technician else "", state=state_of(job, waits),
        stage=stage_words(job), waits=waits, gas=words, heavy=heavy, notes=_notes(sheet),
    )  # fmt: skip


def _shelves(job: Job) -> str:
    shelves = (
        (_("body %s"), job.shelf_body), (_("springs %s"), job.shelf_springs), (_("tray %s"), job.shelf_tray),
    )  # fmt: skip
    return ", ".join(words % place for words, place in shelves if place)


def _notes(sheet: Sheet) -> list[Entry]:
    """Give the job's own notes: those to the next shift that nobody took, and the newest of the others."""
    notes = [e for e in sheet.entries if e.kind == Entry.Kind.NOTE and str(e.pk) not in sheet.replaced]
    waiting = untaken_of(sheet.entries)
    return [*waiting, *[note for note in notes[-1:] if note not in waiting]]


def gas_words(sheet: Sheet) -> tuple[str, bool]:
    """Say whether a body holds gas, and whether it is to be treated as if it did: so until zero is proved."""
    if sheet.standing.stopped:
        return _("DO NOT OPEN: it may be under pressure"), True
    places = {record.id: at for at, record in enumerate(sheet.records)}
    needs = {key for row in sheet.steps for key in row.needs}
    charges = {
        row.key
        for row in sheet.steps
        if row.step.stage == "charge" and row.step.kind == Step.Kind.READING and row.key not in needs
    }
    let_in = [at for at, r in enumerate(sheet.records) if r.kind == Entry.Kind.READING and r.key in charges]
    proofs = [
        row.key for row in sheet.steps if row.step.kind == Step.Kind.PROOF and row.step.locks == "strip"
    ]
    zero = [places[sheet.standing.satisfied[key]] for key in proofs if key in sheet.standing.satisfied]
    if let_in and (not zero or let_in[-1] > max(zero)):
        return _("under gas: charged"), True
    if zero and all(sheet.standing.satisfied.get(key) in sheet.unsigned for key in proofs):
        return _("zero is not countersigned: treat it as under gas"), True
    if zero:
        return _("no gas: zero is proved"), False
    return _("zero is not proved: treat it as under gas"), True

"""What jobs wait for. *Waiting* is never stored: it follows from running waits, stock, signatures still to come.

Each source looks at many jobs at once, so that a list asks as often for twenty as for ten. A higher subject adds its
own (a customer's yes) through `register`, from its handlers.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef
from django.utils import formats, timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shopapp.bench.lock_people import BEFORE_GAS
from shopapp.bench.models import Entry
from shopapp.bench.queries.parts import PartNeed, needs_of
from shopapp.orders.models import Job
from shopapp.specs.models import Step
from shopapp.stock import queries as stock


@dataclass(frozen=True, slots=True)
class WaitLine:
    """One thing that a job waits for. `ends`: when a clock that runs is over; `over`: it is over already.

    `holds_up`: the work cannot go on before (a signature may come while it does).
    """

    words: str
    ends: datetime | None = None
    over: bool = False
    holds_up: bool = True


Source = Callable[[Sequence[Job], datetime], Mapping[int, Sequence[WaitLine]]]
SOURCES: list[Source] = []


def register(source: Source) -> None:
    """Add a source: for some jobs at a moment it gives, by job, what each waits for; a few queries for all."""
    if source not in SOURCES:
        SOURCES.append(source)


def waits_of(jobs: Iterable[Job], at: datetime) -> dict[int, list[WaitLine]]:
    """Give for each job what it waits for: the clocks first, the one that is over soonest in front."""
    rows = [job for job in jobs if job.is_open]
    found: dict[int, list[WaitLine]] = {job.pk: [] for job in rows}
    for source in SOURCES:
        for pk, lines in source(rows, at).items():
            found[pk].extend(lines)
    return found


def clock(moment: datetime) -> str:
    """Write a moment as hours and minutes of the shop's day."""
    return formats.time_format(timezone.localtime(moment), "H:i")


def clocks(jobs: Sequence[Job], at: datetime) -> dict[int, list[WaitLine]]:
    """Running waits: draining, a leak check."""
    rows = Entry.objects.filter(job__in=jobs, wait__isnull=False, wait__ended_by__isnull=True)
    found: dict[int, list[WaitLine]] = {}
    rows = rows.select_related("wait", "step").only("job", "wait__ends", "step__name")
    for entry in rows.order_by("wait__ends", "pk"):
        ends = entry.wait.ends
        over = ends <= at
        words = _("%(name)s, over since %(time)s") if over else _("%(name)s, until %(time)s")
        given = {"name": entry.step.name if entry.step else _("Wait"), "time": clock(ends)}
        found.setdefault(entry.job_id, []).append(WaitLine(words % given, ends, over))
    return found


def owner(jobs: Sequence[Job], _at: datetime) -> dict[int, list[WaitLine]]:
    """Jobs that are stopped as unsafe wait for the owner, and for nothing else."""
    words = _("stopped unsafe: DO NOT OPEN, waits for the owner")
    return {job.pk: [WaitLine(words)] for job in jobs if job.state == Job.State.STOPPED}


def signatures(jobs: Sequence[Job], _at: datetime) -> dict[int, list[WaitLine]]:
    """Entries of a trainee that nobody countersigned yet; they hold the work up where they prove what opens a stage."""
    signed = Entry.objects.filter(about=OuterRef("pk"), kind=Entry.Kind.COUNTERSIGN)
    rows = Entry.objects.filter(~Exists(signed), job__in=jobs, to_countersign=True, replaced_by__isnull=True)
    waiting: dict[int, dict[str, list[Entry]]] = {}
    rows = rows.select_related("by", "step").only("job", "by__initials", "step__locks", "step__stage")
    for entry in rows.order_by("stored_at", "pk"):
        waiting.setdefault(entry.job_id, {}).setdefault(entry.by.initials, []).append(entry)
    return {pk: [_signature(who, some) for who, some in of_job.items()] for pk, of_job in waiting.items()}


def _signature(who: str, entries: Sequence[Entry]) -> WaitLine:
    words = ngettext(
        "%(n)s entry of %(who)s to be countersigned",
        "%(n)s entries of %(who)s to be countersigned",
        len(entries),
    )
    shuts = any(
        e.step is not None and (e.step.locks in BEFORE_GAS or e.step.stage == "charge") for e in entries
    )
    return WaitLine(words % {"n": len(entries), "who": who}, holds_up=shuts)


def parts(jobs: Sequence[Job], at: datetime) -> dict[int, list[WaitLine]]:
    """Parts that the sheet still asks for and that no good lot holds enough of."""
    going = [job for job in jobs if job.state in (Job.State.PLANNED, Job.State.IN_WORK) and job.procedure_id]
    asked: dict[int, set[str]] = {}
    steps = Step.objects.filter(procedure__in={job.procedure_id for job in going}, kind="part", required=True)
    for procedure, purpose in steps.values_list("procedure", "purpose"):
        asked.setdefault(procedure, set()).add(purpose)
    fitted = set(
        Entry.objects.filter(job__in=going, kind="part", out_of_order=False, replaced_by__isnull=True)
        .values_list("job", "step__purpose")
    )  # fmt: skip
    open_needs = {
        job.pk: [
            need
            for purpose, need in needs.items()
            if purpose in asked.get(job.procedure_id or 0, ()) and (job.pk, purpose) not in fitted
        ]
        for job, needs in needs_of(going)
    }
    items = {
        pk for needs in open_needs.values() for need in needs for line in need.lines for pk in line.item_ids
    }
    stocked = stock.good_by_item(items, timezone.localdate(at)) if items else {}
    lacking = {
        pk: [name for need in needs for name in _lacking(need, stocked)] for pk, needs in open_needs.items()
    }
    return {
        pk: [WaitLine(_("no good lot of %s") % ", ".join(dict.fromkeys(names)))]
        for pk, names in lacking.items()
        if names
    }


def _lacking(need: PartNeed, stocked: Mapping[int, int]) -> list[str]:
    return [
        line.item.name
        for line in need.lines
        if sum(stocked.get(pk, 0) for pk in line.item_ids) < line.quantity
    ]


for _source in (owner, clocks, parts, signatures):
    register(_source)

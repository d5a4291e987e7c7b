"""Who waits for a tool that somebody else has, seen before the job is started; and what one has out oneself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import Q
from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.bench.queries.mine import where_words
from shopapp.bench.queries.waiting import WaitLine
from shopapp.orders.models import Job
from shopapp.specs.models import SpecTool, Step
from shopapp.tools import checkouts
from shopapp.tools.models import Checkout, Tool

if TYPE_CHECKING:
    from shopapp.people.models import Person


OUT = ("tool__tag", "tool__kind__name", "person__initials", "bay__name", "job__order", "out_at")
OUT_FOR = ("job__place", "job__place_number", "job__order__number", "job__order__vehicle__description")
"""What is read of a tool that is out: who has it, and for which job."""


@dataclass(frozen=True, slots=True)
class ToolOut:
    """One tool that is out: what it is, where it belongs now, and with whom where that is somebody else."""

    id: int
    tag: str
    kind: str
    where: str
    since: datetime
    with_other: str


def out_with(person: Person) -> list[ToolOut]:
    """List the tools that a person took out, and those that are out for the person's jobs; one query."""
    rows = checkouts.out_now().filter(Q(person=person) | Q(job__technician=person))
    return [
        ToolOut(
            id=row.pk,
            tag=row.tool.tag,
            kind=row.tool.kind.name,
            where=where_words(row.job),
            since=row.out_at,
            with_other="" if row.person_id == person.pk else row.person.initials,
        )
        for row in rows.select_related("job__order__vehicle").only(*OUT, *OUT_FOR)
    ]


def wanted_tools(jobs: Sequence[Job], _at: datetime) -> dict[int, list[WaitLine]]:
    """Give by job which tool of a step still to come is out elsewhere; a free one that fits as well is no wait.

    It holds the work up where the job stands at the stage of that step.
    """
    going = [job for job in jobs if job.state in (Job.State.PLANNED, Job.State.IN_WORK) and job.procedure_id]
    out = {row.tool_id: row for row in checkouts.out_now().only(*OUT)} if going else {}
    if not out:
        return {}
    steps = list(
        Step.objects.filter(procedure__in={job.procedure_id for job in going}, kind=Step.Kind.TOOL)
        .only("procedure", "tool_kind", "stage")
    )  # fmt: skip
    done = _recorded(going)
    fitting = _fitting(going, {step.tool_kind for step in steps})
    found: dict[int, list[WaitLine]] = {}
    for job in going:
        for step in steps:
            if step.procedure_id != job.procedure_id or (job.pk, step.pk) in done:
                continue
            line = _line(job, step, fitting(job, step.tool_kind), out)
            if line is not None and line not in found.get(job.pk, []):
                found.setdefault(job.pk, []).append(line)
    return found


def _recorded(jobs: Sequence[Job]) -> set[tuple[int, int | None]]:
    rows = Entry.objects.filter(job__in=jobs, kind="tool", out_of_order=False, replaced_by__isnull=True)
    return set(rows.values_list("job", "step"))


class _Fitting:
    """The tools of each kind in good order, and what each sheet narrows a kind to."""

    def __init__(self, tools: Sequence[Tool], narrow: Mapping[tuple[int, str], set[str]]) -> None:
        self.tools, self.narrow = tools, narrow

    def __call__(self, job: Job, kind: str) -> list[Tool]:
        asked = self.narrow.get((job.spec_id or 0, kind), set())
        return [t for t in self.tools if t.kind.code == kind and (len(asked) != 1 or t.narrowing in asked)]


def _fitting(jobs: Sequence[Job], kinds: set[str]) -> _Fitting:
    rows = SpecTool.objects.filter(spec__in={job.spec_id for job in jobs if job.spec_id}).exclude(
        narrowing=""
    )
    narrow: dict[tuple[int, str], set[str]] = {}
    for spec, kind, words in rows.values_list("spec", "kind__code", "narrowing"):
        narrow.setdefault((spec, kind), set()).add(words)
    tools = Tool.objects.filter(kind__code__in=kinds, state=Tool.State.GOOD).select_related("kind")
    tools = tools.only("tag", "narrowing", "kind__code")
    return _Fitting(list(tools.order_by("tag")), narrow)


def _line(job: Job, step: Step, tools: Sequence[Tool], out: Mapping[int, Checkout]) -> WaitLine | None:
    if not tools or any(tool.pk not in out or out[tool.pk].job_id == job.pk for tool in tools):
        return None
    first = min((out[tool.pk] for tool in tools), key=lambda row: row.out_at)
    words = _("%(tool)s %(tag)s: %(who)s") % {
        "tool": first.tool.kind.name, "tag": first.tool.tag, "who": checkouts.who_words(first),
    }  # fmt: skip
    return WaitLine(words, holds_up=step.stage == job.stage)

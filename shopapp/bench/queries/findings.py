"""What is found at dampers: as the sheet, the judge of locks, the desk and the hand-over read it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from shopapp.bench import finding_words as names
from shopapp.bench.models import Finding
from shopapp.bench.queries.steps import SheetStep
from shopapp.bench.queries.waiting import WaitLine
from shopapp.orders.models import Job, WorkConsent, WorkOrder

JOINED = ("entry__by", "job__damper", "job__order", "put_right__by", "entry__replaced_by")


def finding_of(pk: int) -> Finding | None:
    """Give one finding with its entry, job and order; None where there is none."""
    if not 0 < pk < 2**63:
        return None
    return Finding.objects.select_related(*JOINED).filter(pk=pk).first()


def current() -> QuerySet[Finding]:
    """List the findings that no later entry corrects, by job and number."""
    return Finding.objects.filter(entry__replaced_by__isnull=True).order_by("job", "number", "pk")


def keeps_gas_out(finding: Finding) -> bool:
    """Say whether a finding refuses the charge: unsafe to use, and not both agreed and put right."""
    return names.holds(finding.grade, finding.answer, put_right=finding.put_right_id is not None)


def held(jobs: Iterable[Job | int]) -> dict[int, list[Finding]]:
    """Give by job the findings that make its damper unsafe to use; jobs without one are left out."""
    keys = [job if isinstance(job, int) else job.pk for job in jobs]
    found: dict[int, list[Finding]] = {}
    rows = current().filter(job__in=keys, grade=names.UNSAFE)
    for row in rows.select_related("entry", "job__damper", "job__order"):
        if keeps_gas_out(row):
            found.setdefault(row.job_id, []).append(row)
    return found


def part_of(finding: Finding) -> str:
    """Name the part of a finding."""
    return names.part_words(finding.part, finding.part_words)


def short_words(finding: Finding) -> str:
    """Say a finding in a few words: "2 rod: pitted"."""
    return f"{finding.number} {part_of(finding)}: {finding.entry.words}"


def document_rows(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    """Give the findings of a sheet document: what the customer said, but no name and no price."""
    return [
        {
            "id": str(row.entry_id), "number": row.number, "part": row.part, "part_words": row.part_words,
            "condition": row.entry.words, "value": row.entry.value_text, "advice": row.advice, "grade": row.grade,
            "answer": row.answer, "put_right": row.put_right_id is not None,
            "asks": names.asks(row.grade, row.advice),
        }
        for row in findings
    ]  # fmt: skip


def choices(steps: Iterable[SheetStep]) -> dict[str, Any]:
    """Give what the page offers for a finding, in the shop's words; `part_of` names the part that a step looks at."""
    return {
        "parts": [[code, str(words)] for code, words in names.PARTS.items()],
        "conditions": [str(words) for words in names.CONDITIONS],
        "advice": [[code, str(words)] for code, words in names.ADVICE.items()],
        "grades": [[code, str(words)] for code, words in names.GRADES.items()],
        "part_of": {
            str(row.step.pk): names.PART_OF_STEP[row.step.code]
            for row in steps
            if row.step.code in names.PART_OF_STEP
        },
    }


def standing_consents(orders: Iterable[WorkOrder | int]) -> dict[str, WorkConsent]:
    """Give the answers to findings that nobody took back, by the finding's entry."""
    rows = WorkConsent.objects.filter(order__in=orders, about="finding", act__taken_back_by__isnull=True)
    return {row.about_id: row for row in rows.select_related("taken_by", "act").order_by("pk")}


def standing_consent(finding: Finding) -> WorkConsent | None:
    """Give the answer to one finding that nobody took back."""
    rows = WorkConsent.objects.filter(
        about="finding", about_id=str(finding.entry_id), act__taken_back_by=None
    )
    return rows.select_related("act").order_by("-pk").first()


@dataclass(frozen=True, slots=True)
class DeskRow:
    """A finding as the desk sees it. `before`: the answer to what the technician corrected since."""

    finding: Finding
    part: str
    condition: str
    value: str
    asks: bool
    consent: WorkConsent | None
    before: WorkConsent | None
    keeps_gas_out: bool

    @property
    def may_answer(self) -> bool:
        """Say whether the desk may still price it or record an answer."""
        job = self.finding.job
        return job.is_open and job.state not in (Job.State.DONE, Job.State.VOID)


def desk_rows(order: WorkOrder) -> list[DeskRow]:
    """List the findings of an order for its page, job by job; as many queries for six jobs as for one."""
    rows = list(
        Finding.objects.filter(job__order=order)
        .select_related(*JOINED)
        .order_by("job__number", "number", "pk")
    )
    consents = standing_consents([order])
    earlier: dict[tuple[int, int], WorkConsent] = {}
    found = []
    for row in rows:
        consent = consents.get(str(row.entry_id))
        place = (row.job_id, row.number)
        if getattr(row.entry, "replaced_by", None) is not None:
            if consent is not None:
                earlier[place] = consent
            continue
        found.append(_desk_row(row, consent, earlier.get(place)))
    return found


def _desk_row(row: Finding, consent: WorkConsent | None, before: WorkConsent | None) -> DeskRow:
    return DeskRow(
        finding=row, part=part_of(row), condition=row.entry.words, value=row.entry.value_text,
        asks=names.asks(row.grade, row.advice), consent=consent, before=before if consent is None else None,
        keeps_gas_out=keeps_gas_out(row),
    )  # fmt: skip


ASKED = ("job", "number", "part", "part_words", "grade", "advice", "price", "entry__words")
"""What is read of a finding that waits for an answer."""


def unanswered(jobs: Sequence[Job]) -> dict[int, list[Finding]]:
    """Give by job the findings that ask for the customer's answer and have none yet."""
    rows = current().filter(job__in=jobs, answer="", grade__in=[names.SHOULD, names.UNSAFE])
    found: dict[int, list[Finding]] = {}
    for row in rows.select_related("entry").only(*ASKED):
        if names.asks(row.grade, row.advice):
            found.setdefault(row.job_id, []).append(row)
    return found


def yes_wanted(jobs: Sequence[Job], _at: datetime) -> Mapping[int, Sequence[WaitLine]]:
    """What jobs wait for on account of findings: a price, or the customer's answer. Derived, never stored."""
    going = [job for job in jobs if job.state in (Job.State.PLANNED, Job.State.IN_WORK)]
    return {
        pk: [WaitLine(_wanted(row), holds_up=row.grade == names.UNSAFE) for row in rows]
        for pk, rows in unanswered(going).items()
    }


def _wanted(row: Finding) -> str:
    words = _("a price for finding %s") if row.price is None else _("a yes to finding %s")
    return words % short_words(row)

"""Read one job's sheet whole: steps, entries, how it stands, and the limits that hold now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from django.db.models import prefetch_related_objects

from shopapp.bench import figures, lock_findings, lock_people, lock_restoring, lock_stacks, locks
from shopapp.bench.limits import Limits, at_temperature
from shopapp.bench.lock_findings import Found
from shopapp.bench.models import Entry, Finding
from shopapp.bench.queries import restoring, springs, stacks
from shopapp.bench.queries.steps import (
    CHARGE,
    DEPTH,
    TEMPERATURE,
    Figures,
    SheetStep,
    sheet_steps,
    spec_figures,
)
from shopapp.orders.models import Job
from shopapp.shop.models import Shop
from shopapp.shop.queries import this_shop

JOINED = (
    "order__vehicle", "damper__model", "work_type", "spec__model", "procedure", "bay", "technician",
    "comeback_of__order",
)  # fmt: skip


def job_of(pk: int) -> Job | None:
    """Give one job with what its sheet shows; None where there is none."""
    if not 0 < pk < 2**63:
        return None
    return Job.objects.select_related(*JOINED).filter(pk=pk).first()


def entries_of(job: Job) -> list[Entry]:
    """List a job's entries in the order in which they were stored."""
    rows = Entry.objects.filter(job=job).select_related("by", "tool", "lot", "replaced_by")
    rows = rows.prefetch_related("pictures")
    return list(rows.order_by("stored_at", "counter", "pk"))


def record_of(entry: Entry) -> locks.Record:
    """Give what the judge of locks needs of an entry."""
    payload = entry.payload if isinstance(entry.payload, dict) else {}
    return locks.Record(
        id=str(entry.pk),
        kind=entry.kind,
        key=key_of(entry),
        answer=str(payload.get("outcome") or payload.get("answer") or ""),
        outside=entry.outside,
        out_of_order=entry.out_of_order,
        replaces=str(entry.replaces_id) if entry.replaces_id else "",
    )


def hand_of(entry: Entry) -> lock_people.Hand:
    """Give what the judge of hands needs of an entry."""
    signs = entry.about_id if entry.kind == Entry.Kind.COUNTERSIGN else None
    return lock_people.Hand(
        id=str(entry.pk), who=entry.by.initials, to_countersign=entry.to_countersign, signs=str(signs or ""),
    )  # fmt: skip


def key_of(entry: Entry) -> str:
    """Give the key of the step an entry is for; "" for one about the whole job."""
    return f"{entry.step_id}:{entry.position}" if entry.step_id else ""


@dataclass
class Sheet:
    """One job's sheet as it stands in the database."""

    job: Job
    shop: Shop | None
    figures: Figures
    steps: list[SheetStep]
    entries: list[Entry]

    @cached_property
    def by_key(self) -> dict[str, SheetStep]:
        """Give the steps by key."""
        return {step.key: step for step in self.steps}

    @cached_property
    def rules(self) -> list[locks.StepRule]:
        """Give what the judge needs of the steps."""
        return [step.rule for step in self.steps]

    @cached_property
    def records(self) -> list[locks.Record]:
        """Give what the judge needs of the entries."""
        return [record_of(entry) for entry in self.entries]

    @cached_property
    def standing(self) -> locks.Standing:
        """Judge the sheet."""
        judged = lock_findings.hold_back(locks.judge(self.rules, self.records), self.rules, self.found)
        judged = lock_stacks.hold_stacks(judged, stacks.asked_of(self.steps), stacks.laid_of(self.entries))
        judged = lock_restoring.hold_restored(
            judged, restoring.settings_of(self.steps), restoring.noted_of(self.entries)
        )
        return lock_people.hold_hands(judged, self.rules, self.hands, second=self.job.second_person)

    @cached_property
    def hands(self) -> list[lock_people.Hand]:
        """Give whose hand each entry is, and which ones countersign."""
        return [hand_of(entry) for entry in self.entries]

    @cached_property
    def unsigned(self) -> frozenset[str]:
        """Give the ids of the entries that wait to be countersigned and that no later one corrects."""
        return lock_people.unsigned(self.hands) - self.replaced

    @cached_property
    def findings(self) -> list[Finding]:
        """List what is found at this damper and no later entry corrects, each with its entry, by number."""
        by_pk = {entry.pk: entry for entry in self.entries}
        rows = [row for row in self.job.findings.all() if str(row.entry_id) not in self.replaced]
        for row in rows:
            if row.entry_id in by_pk:
                row.entry = by_pk[row.entry_id]
        return sorted(rows, key=lambda row: (row.number, row.pk))

    @cached_property
    def found(self) -> list[Found]:
        """Give what the judge needs of the findings."""
        return [
            Found(str(row.entry_id), row.grade, row.answer, row.put_right_id is not None)
            for row in self.findings
        ]

    @cached_property
    def replaced(self) -> frozenset[str]:
        """Give the ids of entries that a later one corrects."""
        return frozenset(record.replaces for record in self.records if record.replaces)

    def current(self, key: str) -> list[Entry]:
        """List the entries of a step that nothing corrects, oldest first."""
        return [e for e in self.entries if key_of(e) == key and str(e.pk) not in self.replaced]

    def satisfying(self, key: str) -> Entry | None:
        """Give the entry by which a step stands."""
        pk = self.standing.satisfied.get(key)
        return next((entry for entry in self.entries if str(entry.pk) == pk), None)

    def reading(self, figure: str, phase: str, position: str = "") -> Entry | None:
        """Give the entry by which a reading of this figure and phase stands; None where it is not read."""
        for step in self.steps:
            if step.step.figure == figure and step.step.phase == phase and step.position == position:
                entry = self.satisfying(step.key)
                if entry is not None and entry.value_si is not None:
                    return entry
        return None

    def value(self, figure: str, phase: str, position: str = "") -> float | None:
        """Give the SI value by which a reading of this figure and phase stands; None where it is not read."""
        entry = self.reading(figure, phase, position)
        return entry.value_si if entry is not None else None

    def body_k(self, step: SheetStep) -> float | None:
        """Give the body's temperature that a charge of this phase is judged at."""
        values = [entry.value_si for key in step.needs if (entry := self.satisfying(key)) is not None]
        return next((value for value in values if value is not None), None)

    def limits_now(self, step: SheetStep) -> Limits | None:
        """Give the limits that hold now: a charge's moved to the body's temperature, an IFP depth's with cap and floor.

        `ValueError` with a sentence where the gas model does not reach the temperature that was read.
        """
        if step.step.figure == CHARGE and step.limits is not None:
            body = self.body_k(step)
            if body is not None:
                return at_temperature(step.limits, body, ambient_pa=figures.ambient(self.shop))
        if step.step.figure in springs.BOUND:
            return springs.off_coil_bind(self, step)
        if step.step.figure == DEPTH and step.step.phase not in locks.AS_FOUND:
            return self._with_cap_and_floor(step.limits)
        return step.limits

    def _with_cap_and_floor(self, limits: Limits | None) -> Limits | None:
        try:
            bounds = figures.depth_bounds(self.job.spec, self.shop)
        except ValueError:
            bounds = None
        if bounds is None:
            return limits
        show = figures.Units(self.shop)
        unit = limits.unit if limits is not None else ""
        return replace(
            limits or Limits(),
            least=bounds[0],
            least_text=show.show(bounds[0], DEPTH, unit=unit),
            most=bounds[1],
            most_text=show.show(bounds[1], DEPTH, unit=unit),
        )


def read_sheet(job: Job) -> Sheet:
    """Read a job's sheet (the job as `job_of` gives it)."""
    shop = this_shop()
    if job.spec is not None:
        # The IFP's bounds ask for the figures a hundred times over: they are read once.
        prefetch_related_objects([job.spec], "figures")
    found = spec_figures(job)
    return Sheet(
        job=job, shop=shop, figures=found, steps=sheet_steps(job, found, shop), entries=entries_of(job)
    )


def read_sheets(jobs: Sequence[Job]) -> list[Sheet]:
    """Read the sheets of several jobs (each as `job_of` gives it) in a number of queries that does not grow."""
    shop = this_shop()
    prefetch_related_objects(
        jobs, "spec__figures", "procedure__steps", "damper__model__adjusters", "findings"
    )
    rows = Entry.objects.filter(job__in=jobs).select_related("by", "tool", "lot", "replaced_by")
    by_job: dict[int, list[Entry]] = {job.pk: [] for job in jobs}
    for entry in rows.order_by("stored_at", "counter", "pk"):
        by_job[entry.job_id].append(entry)
    sheets = []
    for job in jobs:
        found = spec_figures(job)
        steps = sheet_steps(job, found, shop)
        sheets.append(Sheet(job=job, shop=shop, figures=found, steps=steps, entries=by_job[job.pk]))
    return sheets


__all__ = [
    "TEMPERATURE", "Sheet", "entries_of", "job_of", "key_of", "read_sheet", "read_sheets", "record_of",
]  # fmt: skip

"""What the owner's pages of procedures read: a sheet stage by stage with what is wrong at it, and who works by it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext as _

from shopapp.dampers.models import DamperModel
from shopapp.orders.models import Job, WorkType
from shopapp.shop.models import Act
from shopapp.specs import cautions, figures
from shopapp.specs.models import STAGES, Procedure, Step
from shopapp.specs.procedure_changes import STAGE_NAMES, Change, changes
from shopapp.specs.services.procedure_docs import document_of, seen
from shopapp.specs.services.procedure_rules import Fault


@dataclass(frozen=True)
class StepLine:
    """One step as the sheet's list shows it."""

    step: Step
    number: int
    caution: str
    locks: str
    said: str
    was: str
    faults: tuple[str, ...] = ()
    first: bool = False
    last: bool = False


@dataclass(frozen=True)
class StageLines:
    """One sheet of a procedure with its steps and what is wrong with it as a whole."""

    code: str
    name: str
    number: int
    steps: Sequence[StepLine]
    faults: tuple[str, ...] = ()


@dataclass(frozen=True)
class Workers:
    """Who works by a procedure: kinds of work, models, running jobs by version, others that do the same."""

    work_types: Sequence[WorkType]
    models: int
    running: Sequence[tuple[int, int]]
    others: Sequence[Procedure] = field(default_factory=list)

    @property
    def jobs(self) -> int:
        """Give how many jobs run by any version."""
        return sum(count for _version, count in self.running)


def stage_lines(procedure: Procedure, faults: Sequence[Fault] = ()) -> list[StageLines]:
    """Give a procedure stage by stage; a stage without a step stands there only where something is wrong with it."""
    by_stage = {
        stage: list(found)
        for stage, found in groupby(procedure.steps.order_by("order"), key=lambda step: step.stage)
    }
    known = {step.code for steps in by_stage.values() for step in steps}
    lines: list[StageLines] = []
    for code, name in STAGES:
        steps = by_stage.get(code, [])
        whole = tuple(fault.sentence for fault in faults if fault.stage == code and fault.code not in known)
        if steps or whole:
            lines.append(StageLines(code, str(name), len(lines) + 1, _lines(steps, faults), whole))
    return lines


def _lines(steps: Sequence[Step], faults: Sequence[Fault]) -> list[StepLine]:
    return [
        StepLine(
            step=step, number=number, caution=cautions.said_at(step.caution, step.own_caution),
            locks=str(STAGE_NAMES.get(step.locks, "")), said=kind_words(step), was=seen(step),
            faults=tuple(fault.sentence for fault in faults if fault.code == step.code),
            first=number == 1, last=number == len(steps),
        )
        for number, step in enumerate(steps, 1)
    ]  # fmt: skip


def kind_words(step: Step) -> str:
    """Say what kind of step it is: a reading with its figure and phase, a wait with its minutes."""
    parts = [str(step.get_kind_display())]
    if step.figure in figures.NAMES:
        parts.append(str(figures.NAMES[step.figure].label))
    if step.phase:
        parts.append(str(step.get_phase_display()))
    if step.repeat:
        parts.append(str(step.get_repeat_display()))
    if step.minutes:
        parts.append(_("%d minutes") % step.minutes)
    if not step.required:
        parts.append(_("where needed"))
    return ", ".join(parts)


def whole_faults(faults: Sequence[Fault]) -> list[str]:
    """Give what is wrong with the procedure as a whole, at no stage and no step."""
    return [fault.sentence for fault in faults if not fault.stage and not fault.code]


def version_before(procedure: Procedure) -> Procedure | None:
    """Give the released version before this one."""
    rows = Procedure.objects.filter(
        name=procedure.name, released_at__isnull=False, version__lt=procedure.version
    )
    return rows.order_by("-version").first()


def changes_since(procedure: Procedure, before: Procedure | None) -> list[Change]:
    """List how a procedure differs from the version before it; nothing where it is the first."""
    return changes(document_of(before), document_of(procedure)) if before is not None else []


def workers(procedure: Procedure) -> Workers:
    """Say who works by a procedure."""
    models = DamperModel.objects.filter(retired_at__isnull=True)
    if procedure.construction:
        models = models.filter(construction=procedure.construction)
    in_use = Procedure.objects.filter(released_at__isnull=False, retired_at__isnull=True)
    same = in_use.filter(work=procedure.work, construction=procedure.construction).exclude(
        name=procedure.name
    )
    return Workers(
        work_types=list(
            WorkType.objects.filter(
                Q(procedure_name=procedure.name) | Q(procedure_name=procedure.work), retired_at__isnull=True
            ).order_by("name")
        ),
        models=models.count(),
        running=running(procedure.name),
        others=list({row.name: row for row in same.order_by("version")}.values()),
    )


def running(name: str) -> list[tuple[int, int]]:
    """Count the open jobs of each version of a procedure, oldest version first."""
    rows = Job.objects.filter(procedure__name=name, is_open=True).values("procedure__version")
    found = rows.annotate(jobs=Count("pk")).order_by("procedure__version")
    return [(row["procedure__version"], row["jobs"]) for row in found]


def versions(procedure: Procedure) -> list[Procedure]:
    """List all versions of a procedure, newest first, each with how many jobs ever began with it."""
    rows = Procedure.objects.filter(name=procedure.name).annotate(begun=Count("jobs"))
    return list(rows.order_by("-version"))


def history(found: Sequence[Procedure]) -> QuerySet[Act]:
    """List what was done to the versions of one procedure, newest first."""
    keys = [str(row.pk) for row in found]
    rows = Act.objects.filter(subject_kind="procedure", subject_id__in=keys)
    return rows.select_related("by").order_by("-at", "-id")

"""The steps of one job's sheet: the procedure's steps, repeated over what the damper has, with their limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shopapp.bench.limits import Limits
from shopapp.bench.locks import AS_FOUND, StepRule
from shopapp.calc import units
from shopapp.dampers.models import Adjuster
from shopapp.orders.models import Job
from shopapp.shop.models import Shop
from shopapp.specs import figures
from shopapp.specs.models import SpecFigure, Step

COUNT_UNITS = {"clicks": "click", "turns": "turn"}
CHARGE, TEMPERATURE, DEPTH, PRELOAD = "charge", "body temperature", "ifp depth", "preload"


@dataclass(frozen=True, slots=True)
class SheetStep:
    """One step at one position. `limits` are as the sheet gives them, not moved to a temperature."""

    step: Step
    position: str
    name: str
    unit_kind: str = ""
    default_unit: str = ""
    signed: bool = False
    limits: Limits | None = None
    needs: tuple[str, ...] = ()
    needed: bool = False

    @property
    def key(self) -> str:
        """Give the key under which entries, locks and the page know this step."""
        return f"{self.step.pk}:{self.position}"

    @property
    def must_read(self) -> bool:
        """Say whether "not readable" does not do: an absolute limit or a second tap, in what is built.

        Nor does it for what another reading needs: a pressure says nothing without the body's temperature.
        """
        if self.needed:
            return True
        as_built = self.step.kind == Step.Kind.READING and self.step.phase not in AS_FOUND
        return as_built and (self.step.second_tap or bool(self.limits and self.limits.absolute))

    @property
    def rule(self) -> StepRule:
        """Give what the judge of locks needs."""
        options = [option for option in self.step.options if isinstance(option, dict)]
        return StepRule(
            key=self.key,
            stage=self.step.stage,
            kind=self.step.kind,
            phase=self.step.phase,
            locks=self.step.locks,
            required=self.step.required,
            must_read=self.must_read,
            needs=self.needs,
            passes=frozenset(o["value"] for o in options if o.get("passes")),
            stops=frozenset(o["value"] for o in options if o.get("stops")),
        )


Figures = dict[tuple[str, str], SpecFigure]


def spec_figures(job: Job) -> Figures:
    """Read the figures of a job's sheet by name and position."""
    if job.spec is None:
        return {}
    return {(row.name, row.position): row for row in job.spec.figures.all()}


def sheet_steps(job: Job, found: Figures, shop: Shop | None) -> list[SheetStep]:
    """List the steps of a job's sheet in order; none where the job has no procedure."""
    if job.procedure is None:
        return []
    adjusters = list(job.damper.model.adjusters.all()) if job.damper.model is not None else []
    rows = [
        sheet_step
        for step in job.procedure.steps.all()
        for sheet_step in _repeated(step, adjusters, found, shop)
    ]
    return _with_needs(rows)


def _repeated(
    step: Step, adjusters: Sequence[Adjuster], found: Figures, shop: Shop | None
) -> list[SheetStep]:
    if step.repeat == Step.Repeat.ADJUSTERS:
        return [_adjuster_step(step, adjuster, found) for adjuster in adjusters]
    positions = {
        Step.Repeat.FASTENERS: lambda: _listed(step.figure, found),
        Step.Repeat.SPRINGS: lambda: _springs(found),
        Step.Repeat.SIDES: lambda: list(figures.SIDES),
    }.get(Step.Repeat(step.repeat))
    if positions is None:
        return [_plain_step(step, step.position, found, shop, step.name)]
    return [_plain_step(step, pos, found, shop, _named(step, pos)) for pos in positions()]


def _listed(name: str, found: Figures) -> list[str]:
    """List the positions that a sheet gives a figure for; "" alone where it gives one for all of them, else none."""
    places = [position for figure, position in found if figure == name]
    return [position for position in places if position] or places


def _springs(found: Figures) -> list[str]:
    """List the springs that a sheet knows by rate or length, each once; one without a name where it knows none."""
    known = ("spring rate", "spring free length", "spring solid height")
    return list(dict.fromkeys(place for name, place in found if name in known and place)) or [""]


def _named(step: Step, position: str) -> str:
    words = str(figures.SIDES.get(position, position)) if step.repeat == Step.Repeat.SIDES else position
    return f"{step.name}, {words}" if words else step.name


def _plain_step(step: Step, position: str, found: Figures, shop: Shop | None, name: str) -> SheetStep:
    row = SheetStep(step=step, position=position, name=name)
    if not step.figure:
        return row
    figure = figures.NAMES[step.figure]
    return replace(
        row,
        unit_kind=figure.kind,
        default_unit=figures.unit_for(step.figure, shop.default_units if shop else {}),
        signed=figure.signed,
        limits=_limits_of(step.figure, position, found),
    )


def _adjuster_step(step: Step, adjuster: Adjuster, found: Figures) -> SheetStep:
    limits = _limits_of(step.figure, adjuster.name, found) or Limits(
        low=adjuster.lowest, high=adjuster.highest, low_text=f"{adjuster.lowest:g}",
        high_text=f"{adjuster.highest:g}", unit=COUNT_UNITS[adjuster.unit],
    )  # fmt: skip
    return SheetStep(
        step=step,
        position=adjuster.name,
        name=f"{adjuster.name}, {adjuster.get_unit_display()} from {adjuster.get_counted_from_display()}",
        unit_kind="count",
        default_unit=COUNT_UNITS[adjuster.unit],
        limits=limits,
    )


def _limits_of(name: str, position: str, found: Figures) -> Limits | None:
    row = found.get((name, position)) or found.get((name, ""))
    most = found.get(("charge most", "")) if name == CHARGE else None
    if row is None and most is None:
        return None
    limits = _from_figure(row) if row is not None else Limits()
    if most is not None:
        ends = _from_figure(most)
        si, text = (ends.high, ends.high_text) if ends.high is not None else (ends.target, ends.target_text)
        limits = replace(limits, most=si, most_text=text, unit=limits.unit or ends.unit)
    return limits


def _from_figure(row: SpecFigure) -> Limits:
    return Limits(
        low=row.low_si, target=row.target_si, high=row.high_si,
        low_text=with_unit(row.low_text, row.low_unit, row.kind),
        target_text=with_unit(row.target_text, row.target_unit, row.kind),
        high_text=with_unit(row.high_text, row.high_unit, row.kind),
        unit=row.target_unit or row.low_unit or row.high_unit, absolute=row.absolute, words=row.words,
    )  # fmt: skip


def with_unit(text: str, unit: str, kind: str) -> str:
    """Write a figure as typed with its unit, where it was typed without one ("130" in a field of psi)."""
    label = units.UNITS_BY_KIND.get(kind, {}).get(unit, "")
    has_unit = any(mark.isalpha() or mark in '"″”°' for mark in text)
    return text if not text or not label or has_unit else f"{text} {label}"


def _with_needs(rows: list[SheetStep]) -> list[SheetStep]:
    """Tie each charge to the body's temperature of the same phase."""
    by_phase: dict[str, tuple[str, ...]] = {}
    for row in rows:
        if row.step.figure == TEMPERATURE:
            by_phase[row.step.phase] = (*by_phase.get(row.step.phase, ()), row.key)
    tied = [
        replace(row, needs=by_phase.get(row.step.phase, ())) if row.step.figure == CHARGE else row
        for row in rows
    ]
    needed = {key for row in tied for key in row.needs}
    return [replace(row, needed=True) if row.key in needed else row for row in tied]

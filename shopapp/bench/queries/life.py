"""Everything ever done to one damper, over owners and vehicles: its jobs, its readings over time, what was found."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Prefetch
from django.utils import formats, timezone
from django.utils.translation import gettext as _

from shopapp.bench.models import Entry, Finding
from shopapp.bench.queries.drawn import Section, section_of
from shopapp.bench.queries.findings import short_words
from shopapp.bench.queries.reading import job_of, read_sheet
from shopapp.bench.queries.stacks import SIDE_OF, is_stack
from shopapp.bench.queries.steps import CHARGE, TEMPERATURE, with_unit
from shopapp.bench.report_readings import label
from shopapp.dampers.models import Damper
from shopapp.drawings.curve import CurvePoint, curve
from shopapp.drawings.svg import Svg
from shopapp.orders.models import Job
from shopapp.orders.queries import ShownJob, jobs, shown_job

FOUND, BUILT = ("received", "removed"), ("built",)
LEFT_OUT = ("body temperature",)
DAY = 86_400.0


@dataclass(frozen=True, slots=True)
class LifeJob:
    """One job of the damper: how it stands, and what was found in it."""

    shown: ShownJob
    findings: Sequence[str] = ()


@dataclass(slots=True)
class Reading:
    """One figure in one job: as it was found, as it was built; the temperature of the body beside a charge."""

    job: Job
    at: datetime
    found: str = ""
    built: str = ""
    found_si: float | None = None
    built_si: float | None = None


@dataclass(slots=True)
class Strand:
    """One figure over time, the newest job first, with its curve where there are two readings to join."""

    name: str
    rows: list[Reading] = field(default_factory=list)
    drawn: Svg | None = None
    of_built: bool = True


@dataclass(frozen=True, slots=True)
class Life:
    """What a damper's page shows of its past."""

    jobs: Sequence[LifeJob]
    strands: Sequence[Strand]
    section: Section | None = None


def life_of(damper: Damper) -> Life:
    """Read a damper's life in a number of queries that does not grow with its jobs."""
    findings = Finding.objects.filter(entry__replaced_by__isnull=True).select_related("entry")
    rows = jobs().filter(damper=damper).order_by("-order__received_at", "-pk")
    told = list(
        rows.prefetch_related(Prefetch("findings", queryset=findings.order_by("number"), to_attr="told"))
    )
    return Life(
        jobs=[LifeJob(shown_job(job), [_finding(row) for row in job.told]) for job in told],  # type: ignore[attr-defined]
        strands=_strands(told),
        section=_section(told),
    )


def _section(told: Sequence[Job]) -> Section | None:
    """Draw the damper as it was last measured: by the newest job that has a sheet of steps."""
    newest = next((job for job in told if job.procedure_id is not None), None)
    job = job_of(newest.pk) if newest is not None else None
    return section_of(read_sheet(job)) if job is not None else None


def _finding(row: Finding) -> str:
    answer = {"yes": _("agreed"), "no": _("declined")}.get(row.answer, "")
    right = _("put right") if row.put_right_id is not None else ""
    return ", ".join(part for part in (short_words(row), str(row.get_grade_display()), answer, right) if part)


def _strands(told: Sequence[Job]) -> list[Strand]:
    by_job = {job.pk: job for job in told}
    found: dict[tuple[str, str], dict[int, Reading]] = {}
    warmth: dict[tuple[int, str], str] = {}
    entries = list(_readings(by_job))
    for entry in entries:
        if entry.name == TEMPERATURE:
            warmth[entry.job_id, entry.phase] = entry.value_text
    for entry in entries:
        if entry.name not in LEFT_OUT:
            of_figure = found.setdefault((entry.name, entry.position), {})
            reading = of_figure.setdefault(entry.job_id, Reading(by_job[entry.job_id], entry.stored_at))
            _take(reading, entry, warmth.get((entry.job_id, entry.phase), ""))
    return [_strand(name, position, list(rows.values())) for (name, position), rows in found.items()]


def _readings(by_job: Iterable[int]) -> Iterable[Entry]:
    """List the readings that count, in the order of the work: neither corrected, out of order nor a mere attempt."""
    rows = Entry.objects.filter(job__in=list(by_job), kind=Entry.Kind.READING, out_of_order=False)
    rows = rows.filter(replaced_by__isnull=True).exclude(phase="built", outside="absolute").exclude(name="")
    return rows.select_related("step").order_by("step__order", "stored_at", "counter", "pk")


def _take(reading: Reading, entry: Entry, warmth: str) -> None:
    text = with_unit(entry.value_text, entry.value_unit, entry.value_kind)
    if is_stack(entry):
        text = entry.words or text
    if entry.name == CHARGE and warmth:
        text = f"{text} · {warmth}"
    if entry.phase in BUILT:
        reading.built, reading.built_si = text, entry.value_si
    else:
        reading.found, reading.found_si = text, entry.value_si


def _strand(name: str, position: str, rows: list[Reading]) -> Strand:
    rows.sort(key=lambda row: row.at, reverse=True)
    strand = Strand(label(name, position).removesuffix(" *"), rows)
    strand.of_built = any(row.built_si is not None for row in rows)
    points = [point for row in rows if (point := _point(row, built=strand.of_built)) is not None]
    # A stack is told shim by shim in the table; of its height no curve is drawn.
    if len(points) > 1 and name not in SIDE_OF:
        strand.drawn = curve(points, label=strand.name)
    return strand


def _point(row: Reading, *, built: bool) -> CurvePoint | None:
    si, text = (row.built_si, row.built) if built else (row.found_si, row.found)
    if si is None:
        return None
    day = formats.date_format(timezone.localdate(row.at), "M Y")
    return CurvePoint(when=row.at.timestamp() / DAY, value=si, text=text.split(" · ")[0], shown=day)

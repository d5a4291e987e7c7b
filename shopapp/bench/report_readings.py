"""The readings of a job beside each other: as received, as built, each against its limits."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.utils.translation import gettext as _

from shopapp.bench.limits import Limits, judge
from shopapp.bench.models import Entry
from shopapp.bench.queries.steps import CHARGE, SheetStep
from shopapp.bench.report_record import FOUND, Record, typed, with_unit
from shopapp.dampers.models import Adjuster
from shopapp.specs import figures as registry
from shopapp.specs.models import Step

BUILT = (Step.Phase.BUILT,)
EMPTY: dict[str, Any] = {
    "text": "", "si": None, "kind": "", "low": None, "high": None, "limits": "", "moved_to": "", "reason": "",
}  # fmt: skip


def rows(record: Record) -> list[dict[str, Any]]:
    """Give one row for each figure and position that a step asks for, in the order of the work."""
    asked = dict.fromkeys(
        (row.step.figure, row.position)
        for row in record.sheet.steps
        if row.step.kind == Step.Kind.READING and row.unit_kind != registry.STACK
    )
    return [_row(record, name, position) for name, position in asked]


def _row(record: Record, name: str, position: str) -> dict[str, Any]:
    steps = record.steps_of(name, position, (*FOUND, *BUILT))
    limits = next((with_units(row.limits, row) for row in steps if row.limits is not None), None)
    return {
        "figure": name,
        "position": position,
        "name": label(name, position),
        "limits": sheet_words(limits, name),
        "absolute": bool(limits and limits.absolute),
        "found": _side(record, name, position, FOUND),
        "built": _side(record, name, position, BUILT),
    }


def with_units(limits: Limits, row: SheetStep) -> Limits:
    """Write the unit at limits that came without one (an adjuster's clicks)."""
    low, high = (with_unit(text, limits.unit, row.unit_kind) for text in (limits.low_text, limits.high_text))
    return replace(limits, low_text=low, high_text=high)


def label(name: str, position: str) -> str:
    """Name a figure as the report does; an adjuster goes by its own name."""
    known = registry.NAMES.get(name)
    if name == "adjuster" and position:
        return f"{position[:1].upper()}{position[1:]} *"
    words = str(known.label) if known else name
    return f"{words}, {position}" if position else words


def sheet_words(limits: Limits | None, name: str) -> str:
    """Write the sheet's limits; those of the charge are given at 20 °C."""
    words = limits_words(limits)
    return _("%s at 20 °C") % words if words and name == CHARGE and limits and limits.gives_figures else words


def limits_words(limits: Limits | None) -> str:
    """Write limits with their unit once: "130 to 150 psi", "at most 0.06 in", or the sheet's own words."""
    if limits is None:
        return ""
    if limits.low_text and limits.high_text:
        figure, _blank, unit = limits.high_text.rpartition(" ")
        alike = figure and unit and not unit[0].isdigit() and limits.low_text.endswith(f" {unit}")
        low = limits.low_text.removesuffix(f" {unit}") if alike else limits.low_text
        return _("%(low)s to %(high)s") % {"low": low, "high": limits.high_text}
    if limits.high_text:
        return _("at most %s") % limits.high_text
    if limits.low_text:
        return _("at least %s") % limits.low_text
    return limits.words or limits.target_text


def _side(record: Record, name: str, position: str, phases: tuple[str, ...]) -> dict[str, Any]:
    """Give what stands on one side: the reading that counts, else the last one made, else that there is none."""
    steps = record.steps_of(name, position, phases)
    for row in steps:
        entry = record.stands(row)
        if entry is not None:
            return _stands(record, row, entry)
    for row in steps:
        entry = record.last(row)
        if entry is not None and entry.kind == Entry.Kind.READING:
            return {**_reading(record, row, entry), "counts": False}
    words = _("not measured") if steps else ""
    return {**EMPTY, "words": words, "verdict": "none" if steps else "", "counts": True}


def _stands(record: Record, row: SheetStep, entry: Entry) -> dict[str, Any]:
    if entry.kind == Entry.Kind.READING:
        return {**_reading(record, row, entry), "counts": True}
    return {**EMPTY, "words": entry.words or _("not readable"), "verdict": "unreadable", "counts": True}


def limits_now(record: Record, row: SheetStep) -> Limits | None:
    """Give the limits that held for a reading; those of the sheet where the gas model does not reach."""
    try:
        return record.sheet.limits_now(row)
    except ValueError:
        return row.limits


def _reading(record: Record, row: SheetStep, entry: Entry) -> dict[str, Any]:
    limits = limits_now(record, row)
    verdict = judge(limits, entry.value_si)
    bare = limits is None or all(edge is None for edge in _edges(limits))
    low, high = (
        (None, None)
        if limits is None
        else (_first(limits.low, limits.least), _first(limits.high, limits.most))
    )
    moved = bool(limits and limits.moved_from)
    return {
        "text": typed(entry),
        "si": entry.value_si,
        "kind": entry.value_kind,
        "low": low,
        "high": high,
        "limits": limits_words(limits) if moved else "",
        "moved_to": warmth(record, row) if moved else "",
        "verdict": "" if bare else verdict.side,
        "words": "" if bare else side_words(verdict.side),
        "reason": entry.reason,
    }


def _edges(limits: Limits) -> tuple[float | None, ...]:
    return limits.low, limits.high, limits.least, limits.most


def _first(one: float | None, other: float | None) -> float | None:
    return one if one is not None else other


def side_words(side: str) -> str:
    """Word where a reading lies."""
    return {"inside": _("inside"), "below": _("below"), "above": _("above")}.get(side, "")


def warmth(record: Record, row: SheetStep) -> str:
    """Give the body's temperature, as typed, that a charge was judged at."""
    for key in row.needs:
        entry = record.sheet.satisfying(key)
        if entry is not None and entry.value_si is not None:
            return typed(entry)
    return ""


def moved_sentences(record: Record) -> list[str]:
    """Say which limits were moved to which temperature."""
    found = []
    for row in record.sheet.steps:
        limits = limits_now(record, row) if row.step.figure == CHARGE else None
        if limits is not None and limits.moved_from and limits.gives_figures:
            phase = _("as built") if row.step.phase in BUILT else _("as found")
            words = _("Charge %(phase)s: limits moved from %(from)s to the body's %(warmth)s: %(limits)s.")
            said = {"phase": phase, "from": limits.moved_from, "warmth": warmth(record, row)}
            found.append(words % {**said, "limits": limits_words(limits)})
    return found


def counted_sentence(record: Record) -> str:
    """Say from which stop each adjuster is counted."""
    model = record.job.damper.model
    stops: dict[str, list[str]] = {}
    for adjuster in Adjuster.objects.filter(model=model).order_by("order", "pk") if model else ():
        stops.setdefault(str(adjuster.get_counted_from_display()), []).append(adjuster.name)
    said = [
        _("%(names)s from %(stop)s") % {"names": ", ".join(names), "stop": stop}
        for stop, names in stops.items()
    ]
    return _("* counted in gently from the stop: %s") % "; ".join(said) if said else ""

"""Left and right alike: what was built on the two sides of a vehicle, held to the shop's tolerances for pairs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _

from shopapp.bench.figures import ambient
from shopapp.bench.limits import SHEET_K
from shopapp.bench.models import Entry
from shopapp.bench.queries.sheet import place_words
from shopapp.bench.queries.steps import CHARGE, DEPTH, PRELOAD, SheetStep
from shopapp.bench.report_readings import label
from shopapp.bench.report_record import Record, typed
from shopapp.calc import gas, units
from shopapp.orders.models import Job
from shopapp.specs.models import Step

ADJUSTER = "adjuster"
COMPARED = (CHARGE, DEPTH, PRELOAD, ADJUSTER)
LEFT, RIGHT = "left", "right"
SLACK = 1e-9
"""Of a tolerance: two readings that lie exactly it apart are alike, whatever their units make of the last bit."""


def pairs(records: Sequence[Record], tolerances: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Compare each left damper that is done with the right one of the same place."""
    done = {_place(record.job): record for record in records if record.job.outcome == Job.Outcome.DONE}
    found = []
    for (place, number), left in done.items():
        right = done.get((place.replace(LEFT, RIGHT), number)) if LEFT in place else None
        if right is not None:
            found.append(_pair(left, right, tolerances))
    return found


def _place(job: Job) -> tuple[str, int]:
    return job.place, job.place_number


def _pair(left: Record, right: Record, tolerances: Mapping[str, Any]) -> dict[str, Any]:
    names = {"left": _name(left.job), "right": _name(right.job)}
    models = {left.job.damper.model_id, right.job.damper.model_id}
    if None in models:
        words = _("The model of a damper is not known: they are not held against each other.")
        return names | {"rows": [], "words": words}
    if len(models) > 1:
        return names | {"rows": [], "words": _("Two models: they are not held against each other.")}
    ours, theirs = _built(left), _built(right)
    keys = list(dict.fromkeys([*ours, *theirs]))
    rows = [_row(key, ours.get(key), theirs.get(key), left, right, tolerances) for key in keys]
    unlike = [row["name"] for row in rows if row["unlike"]]
    words = _("Unlike: %s.") % ", ".join(unlike) if unlike else ""
    return names | {"rows": rows, "words": words}


def _name(job: Job) -> str:
    return place_words(str(job.get_place_display()), job.place_number)


def _built(record: Record) -> dict[tuple[str, str], tuple[SheetStep, Entry]]:
    """Give by figure and position the readings as built that count."""
    found = {}
    for row in record.sheet.steps:
        entry = (
            record.stands(row) if row.step.figure in COMPARED and row.step.phase == Step.Phase.BUILT else None
        )
        if entry is not None and entry.kind == Entry.Kind.READING and entry.value_si is not None:
            found[row.step.figure, row.position] = (row, entry)
    return found


def _row(
    key: tuple[str, str],
    left: tuple[SheetStep, Entry] | None,
    right: tuple[SheetStep, Entry] | None,
    ours: Record,
    theirs: Record,
    tolerances: Mapping[str, Any],
) -> dict[str, Any]:
    name, position = key
    row = {
        "name": label(name, position).removesuffix(" *"), "left": _said(ours, left), "right": _said(theirs, right),
        "unlike": False, "words": _("not read on both sides"),
    }  # fmt: skip
    if left is None or right is None:
        return row
    first, second = _comparable(ours, *left), _comparable(theirs, *right)
    if first is None or second is None:
        return row | {"words": _("not to be compared: the body's temperature is missing")}
    return row | _judged(abs(first - second), left[1], tolerances.get(name))


def _judged(apart: float, entry: Entry, tolerance: Mapping[str, Any] | None) -> dict[str, Any]:
    """Say how far two readings lie apart and whether the shop allows it; without a tolerance nothing is judged."""
    shown = units.fmt(apart, entry.value_unit, entry.value_kind, difference=True)
    if not tolerance:
        return {"words": _("%s apart; the shop gives no tolerance") % shown}
    allowed = tolerance["text"]
    if apart <= tolerance["si"] * (1 + SLACK):
        return {
            "words": _("alike: %(apart)s apart, %(allowed)s allowed") % {"apart": shown, "allowed": allowed}
        }
    words = _("unlike: %(apart)s apart, %(allowed)s allowed") % {"apart": shown, "allowed": allowed}
    return {"words": words, "unlike": True}


def _comparable(record: Record, row: SheetStep, entry: Entry) -> float | None:
    """Give what may be compared: a charge moved to 20 °C by its body's temperature; None where that is missing."""
    si = entry.value_si
    if row.step.figure != CHARGE or si is None:
        return si
    body = record.sheet.body_k(row)
    if body is None:
        return None
    try:
        return gas.gauge_at_temperature(si, body, SHEET_K, ambient_pa=ambient(record.shop))
    except ValueError:
        return None


def _said(record: Record, found: tuple[SheetStep, Entry] | None) -> str:
    """Write a reading as typed; beside a charge what it is at 20 °C."""
    if found is None:
        return _("not read")
    row, entry = found
    if row.step.figure != CHARGE:
        return typed(entry)
    moved = _comparable(record, row, entry)
    if moved is None:
        return typed(entry)
    at_sheet = units.fmt(moved, entry.value_unit, entry.value_kind)
    return _("%(typed)s, at 20 °C %(moved)s") % {"typed": typed(entry), "moved": at_sheet}

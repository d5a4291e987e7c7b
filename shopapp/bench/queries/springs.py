"""The springs of one sheet: what is known of each, and the absolute limits that coil bind sets."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from shopapp.bench import coil_bind, figures
from shopapp.bench.coil_bind import FITTED, FREE, GAP, SOLID
from shopapp.bench.limits import Limits
from shopapp.bench.queries.steps import SheetStep
from shopapp.specs.queries import middle

if TYPE_CHECKING:
    from shopapp.bench.queries.reading import Sheet

BOUND = (GAP, FITTED)
BUILT = "built"


def bind_row(sheet: Sheet, row: SheetStep) -> dict[str, Any] | None:
    """Give what bounds a reading of springs as built: figures of the sheet, and the keys of what is read instead."""
    if row.step.figure not in BOUND or row.step.phase != BUILT:
        return None
    keys = {(one.step.figure, one.position): one.key for one in sheet.steps if one.step.phase == BUILT}
    places = {place for name, place in keys if name in (FREE, SOLID)}
    places = places or {place for name, place in sheet.figures if name in (FREE, SOLID)}
    return {
        "figure": row.step.figure,
        "stroke": _given(sheet, "stroke", ""),
        "springs": [
            {
                "free": _given(sheet, FREE, place), "free_key": keys.get((FREE, place), ""),
                "solid": _given(sheet, SOLID, place), "solid_key": keys.get((SOLID, place), ""),
            }
            for place in sorted(places)
        ],
    }  # fmt: skip


def _given(sheet: Sheet, name: str, place: str) -> float | None:
    row = sheet.figures.get((name, place))
    return middle(row.low_si, row.target_si, row.high_si) if row is not None else None


def _read(sheet: Sheet) -> dict[str, float]:
    """Give what was read of springs as they go on, by the step's key."""
    found = {}
    for step in sheet.steps:
        entry = sheet.satisfying(step.key) if step.step.figure in (FREE, SOLID) else None
        if entry is not None and entry.value_si is not None:
            found[step.key] = entry.value_si
    return found


def off_coil_bind(sheet: Sheet, row: SheetStep) -> Limits | None:
    """Give a reading's limits with what coil bind allows: absolute, nobody lifts it."""
    bind = bind_row(sheet, row)
    least, most = coil_bind.bounds(bind, _read(sheet)) if bind is not None else (None, None)
    if least is None and most is None:
        return row.limits
    show, unit = figures.Units(sheet.shop), row.limits.unit if row.limits is not None else ""

    def text(si: float | None) -> str:
        return show.show(si, row.step.figure, unit=unit) if si is not None else ""

    held = row.limits or Limits()
    return replace(held, least=least, least_text=text(least), most=most, most_text=text(most))


def coil_bind_of(sheet: Sheet) -> figures.Computed:
    """Say how far the springs are from coil bind as they are fitted."""
    show = figures.Units(sheet.shop)
    for step in sheet.steps:
        bind = bind_row(sheet, step) if step.step.figure == FITTED else None
        if bind is not None:
            found = coil_bind.coils(bind, _read(sheet))
            return coil_bind.computed(found, sheet.value(FITTED, BUILT), show)
    return coil_bind.computed(coil_bind.Coils(None, None, None), None, show)

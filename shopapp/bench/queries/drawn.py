"""The damper of a sheet, drawn from its own numbers: readings as they arrive, the sheet's figures for the rest."""

from __future__ import annotations

from shopapp.bench.queries.findings import part_of
from shopapp.bench.queries.reading import Sheet
from shopapp.bench.queries.steps import CHARGE, DEPTH, PRELOAD, SheetStep, with_unit
from shopapp.bench.section_words import section_words
from shopapp.dampers.models import Construction
from shopapp.drawings.damper import Balloon, DamperNumbers, Dimension, damper_section
from shopapp.drawings.svg import Svg

MM = 1000
PHASES = ("built", "received", "removed")


def drawing(sheet: Sheet) -> Svg | str:
    """Draw the half-section of a damper with a reservoir; "" for a construction that has no drawing yet.

    What was read as built goes before what was read on arrival; a length that is not measured is dashed with "?".
    """
    model = sheet.job.damper.model
    if model is None or model.construction != Construction.RESERVOIR:
        return ""
    try:
        return damper_section(numbers(sheet), words=section_words(), balloons=balloons(sheet))
    except ValueError:
        return ""


def balloons(sheet: Sheet) -> list[Balloon]:
    """Give the findings as the drawing numbers them."""
    return [Balloon(row.number, row.part, f"{part_of(row)}: {row.entry.words}") for row in sheet.findings]


def numbers(sheet: Sheet) -> DamperNumbers:
    """Give the numbers that the drawing is made from."""
    return DamperNumbers(
        eye_centres=_read(sheet, "eye centres"),
        stroke=_given(sheet, "stroke"),
        body_bore=_given(sheet, "body bore"),
        rod_diameter=_given(sheet, "rod diameter"),
        preload=_read(sheet, PRELOAD),
        reservoir_bore=_given(sheet, "reservoir bore"),
        reservoir_length=_given(sheet, "reservoir length"),
        ifp_depth=_read(sheet, DEPTH),
        gas=_words(sheet, CHARGE),
    )


def _steps(sheet: Sheet, figure: str) -> list[SheetStep]:
    found = [step for step in sheet.steps if step.step.figure == figure and not step.position]
    return sorted(found, key=lambda step: PHASES.index(step.step.phase) if step.step.phase in PHASES else 9)


def _read(sheet: Sheet, figure: str) -> Dimension:
    for step in _steps(sheet, figure):
        entry = sheet.satisfying(step.key)
        if entry is not None and entry.value_si is not None and entry.value_si >= 0:
            text = with_unit(entry.value_text, entry.value_unit, entry.value_kind)
            return Dimension(entry.value_si * MM, text)
    return Dimension()


def _given(sheet: Sheet, figure: str) -> Dimension:
    row = sheet.figures.get((figure, ""))
    if row is None or row.target_si is None:
        return Dimension()
    return Dimension(row.target_si * MM, with_unit(row.target_text, row.target_unit, row.kind))


def _words(sheet: Sheet, figure: str) -> str:
    for step in _steps(sheet, figure):
        entry = sheet.satisfying(step.key)
        if entry is not None:
            return with_unit(entry.value_text, entry.value_unit, entry.value_kind)
    return ""

"""The damper of a sheet, drawn from its own numbers: readings as they arrive, the sheet's figures for the rest."""

from __future__ import annotations

from dataclasses import dataclass

from shopapp.bench.queries.findings import part_of
from shopapp.bench.queries.reading import Sheet
from shopapp.bench.queries.steps import CHARGE, DEPTH, PRELOAD, SheetStep, with_unit
from shopapp.bench.section_words import build_of, section_words
from shopapp.drawings.damper import Balloon, Build, DamperNumbers, Dimension, damper_section
from shopapp.drawings.svg import Svg
from shopapp.specs.queries import middle

MM = 1000
PHASES = ("built", "received", "removed")
READ = {"eye_centres": "eye centres", "preload": PRELOAD, "ifp_depth": DEPTH, "gas": CHARGE}
"""What the drawing shows of the readings: its dimension, and the figure that a tap on it opens."""
SHOWN = frozenset({*READ, "stroke", "rod_diameter"})
"""What is written out at the bench: few enough words for sixteen pixels and more at arm's length."""
WIDTH, TEXT_SIZE, MOST_HALF = 580, 16, 22
"""Pixels of the drawing as the page shows it, or larger: its words are never made smaller."""


def drawing(sheet: Sheet, *, links: bool = True) -> Svg | str:
    """Draw the half-section of a sheet's damper; "" for a construction of the shop's own, which has no drawing.

    What was read as built goes before what was read on arrival; a length that is not measured is dashed with "?".
    With `links` a tap on a reading's dimension opens its entry.
    """
    build = _build(sheet)
    if build is None:
        return ""
    try:
        return damper_section(
            numbers(sheet, build),
            words=section_words(build),
            width=WIDTH,
            text_size=TEXT_SIZE,
            links=_links(sheet) if links else {},
            balloons=balloons(sheet),
            shown=SHOWN,
            most_half=MOST_HALF,
        )
    except ValueError:
        return ""


@dataclass(frozen=True, slots=True)
class Section:
    """The half-section of a page that is no bench sheet: the drawing, and its numbers for the table beside it."""

    svg: Svg
    numbers: DamperNumbers


def section_of(sheet: Sheet) -> Section | None:
    """Give the drawing of a sheet without links, with its numbers; None where it cannot be drawn."""
    build, svg = _build(sheet), drawing(sheet, links=False)
    return Section(Svg(svg), numbers(sheet, build)) if build is not None and svg else None


def _build(sheet: Sheet) -> Build | None:
    model = sheet.job.damper.model
    return build_of(model.construction) if model is not None else None


def balloons(sheet: Sheet) -> list[Balloon]:
    """Give the findings as the drawing numbers them."""
    return [Balloon(row.number, row.part, f"{part_of(row)}: {row.entry.words}") for row in sheet.findings]


def numbers(sheet: Sheet, build: Build) -> DamperNumbers:
    """Give the numbers that the drawing is made from."""
    return DamperNumbers(
        build=build,
        eye_centres=_read(sheet, "eye centres"),
        stroke=_given(sheet, "stroke"),
        body_bore=_given(sheet, "body bore"),
        rod_diameter=_given(sheet, "rod diameter"),
        preload=_read(sheet, PRELOAD),
        reservoir_bore=_given(sheet, "reservoir bore"),
        reservoir_length=_given(sheet, "reservoir length"),
        ifp_depth=_ifp_depth(sheet),
        gas=_words(sheet, CHARGE),
    )


def _links(sheet: Sheet) -> dict[str, str]:
    """Lead each dimension that is read to its step: to the first that is open, else to the last that was read."""
    found = {}
    for name, figure in READ.items():
        steps = [one for one in sheet.steps if one.step.figure == figure and not one.position]
        wanted = [one for one in steps if sheet.satisfying(one.key) is None] or steps[-1:]
        if wanted:
            found[name] = f"#{wanted[0].key}"
    return found


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


def _ifp_depth(sheet: Sheet) -> Dimension:
    """Give the IFP's place to its gas face, with the depth as typed to the face that the sheet names."""
    found, spec = _read(sheet, DEPTH), sheet.job.spec
    row = sheet.figures.get(("ifp thickness", ""))
    if found.mm is None or row is None or spec is None or spec.depth_to != "oil_face":
        return found
    thickness = middle(row.low_si, row.target_si, row.high_si) or 0.0
    return Dimension(max(found.mm - thickness * MM, 0.0), found.text)


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

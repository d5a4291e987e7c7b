"""The damper's half-section on the report: its numbers at issue, its drawing and the limits strips at rendering."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from shopapp import drawings
from shopapp.bench import report_findings
from shopapp.bench.report_record import Record, typed, with_unit
from shopapp.bench.section_words import build_of, section_words
from shopapp.drawings.damper import Balloon, Build, DamperNumbers, Dimension, Spring, damper_section
from shopapp.specs.models import SpecFigure, Step
from shopapp.specs.queries import middle

MM = 1000.0
FROM_SHEET = {
    "stroke": "stroke",
    "body_bore": "body bore",
    "rod_diameter": "rod diameter",
    "reservoir_bore": "reservoir bore",
    "reservoir_length": "reservoir length",
}
NEEDED = ("stroke", "body_bore")
PHASES = (Step.Phase.BUILT, Step.Phase.RECEIVED, Step.Phase.REMOVED)
BUILT = Step.Phase.BUILT


def numbers(record: Record) -> dict[str, Any] | None:
    """Give the numbers of the drawing; None for a construction that has none, or where the sheet lacks them."""
    model = record.job.damper.model
    build = build_of(model.construction) if model is not None else None
    if build is None or record.job.spec is None:
        return None
    found: dict[str, Any] = {key: _from_sheet(record, name) for key, name in FROM_SHEET.items()}
    if any(found[key] is None for key in NEEDED):
        return None
    found["construction"] = build.value
    found["eye_centres"] = _measured(record, "eye centres")
    found["preload"] = _measured(record, "preload")
    found["ifp_depth"] = _ifp_depth(record)
    found["gas"] = _gas(record)
    found["oil"] = _oil(record)
    found["springs"] = _springs(record)
    return found


def _from_sheet(record: Record, name: str) -> dict[str, Any] | None:
    figure = record.figure(name)
    si = middle(figure.low_si, figure.target_si, figure.high_si) if figure else None
    return {"mm": si * MM, "text": _text(figure)} if figure is not None and si is not None else None


def _text(figure: SpecFigure) -> str:
    """Write a sheet's figure as it was typed: its target, else both limits."""
    if figure.target_text:
        return with_unit(figure.target_text, figure.target_unit, figure.kind)
    both = [
        with_unit(figure.low_text, figure.low_unit, figure.kind),
        with_unit(figure.high_text, figure.high_unit, figure.kind),
    ]
    return " … ".join(part for part in both if part)


def _measured(record: Record, name: str) -> dict[str, Any]:
    entry = record.reading(name, *PHASES)
    if entry is None or entry.value_si is None or entry.value_si < 0:
        return {"mm": None, "text": ""}
    return {"mm": entry.value_si * MM, "text": typed(entry)}


def _ifp_depth(record: Record) -> dict[str, Any]:
    """Give the IFP's place to its gas face, with the depth as typed to the face that the sheet names."""
    found = _measured(record, "ifp depth")
    thickness = record.figure("ifp thickness")
    if (
        found["mm"] is not None
        and record.job.spec is not None
        and record.job.spec.depth_to == "oil_face"
        and thickness
    ):
        less = middle(thickness.low_si, thickness.target_si, thickness.high_si) or 0.0
        found["mm"] = max(found["mm"] - less * MM, 0.0)
    return found


def _gas(record: Record) -> str:
    gas = record.reading("charge", BUILT)
    warmth = record.reading("body temperature", BUILT)
    if gas is None:
        return ""
    return _("%(gas)s at %(warmth)s") % {"gas": typed(gas), "warmth": typed(warmth)} if warmth else typed(gas)


def _oil(record: Record) -> str:
    figure = record.figure("oil volume")
    entry = record.reading("oil volume", BUILT)
    return typed(entry) if entry else (_text(figure) if figure else "")


def _springs(record: Record) -> list[dict[str, Any]]:
    """Give the springs that the sheet knows, in its order: rate and free length."""
    found = []
    for (name, position), figure in record.sheet.figures.items():
        if name != "spring free length":
            continue
        si = middle(figure.low_si, figure.target_si, figure.high_si)
        rate = record.sheet.figures.get(("spring rate", position))
        words = " × ".join(part for part in ((_text(rate) if rate else ""), _text(figure)) if part)
        found.append({"mm": si * MM if si else None, "text": f"{position} {words}".strip()})
    return found


def draw(figures: dict[str, Any]) -> dict[str, Any]:
    """Draw what the template places: the section, and for each row of readings its two strips."""
    section = figures.get("section")
    strips = [
        {"found": _strip(row["found"]), "built": _strip(row["built"])} for row in figures.get("readings", [])
    ]
    rows = [
        {"row": row, "drawn": drawn} for row, drawn in zip(figures.get("readings", []), strips, strict=True)
    ]
    found = report_findings.balloons(figures.get("findings", []))
    return {"section": _section(section, found) if section else "", "readings": rows}


def _strip(side: dict[str, Any]) -> SafeString | str:
    """Draw a limits strip with its words as the alternative text; none where there is nothing to hold against."""
    if side["verdict"] not in ("inside", "below", "above"):
        return ""
    svg = drawings.limits_strip(side["si"], side["low"], side["high"], verdict=side["verdict"], width=96)
    return titled(svg, side["words"])


def titled(svg: str, words: str) -> SafeString:
    """Give a drawing its alternative text where the PDF engine looks for it; our drawings escape their own texts."""
    head, _mark, rest = svg.partition(">")
    return mark_safe(f"{head}><title>{escape(words)}</title>{rest}")


def _section(section: dict[str, Any], balloons: Sequence[Balloon]) -> SafeString:
    def dimension(key: str) -> Dimension | None:
        found = section.get(key)
        return Dimension(found["mm"], found["text"]) if found else None

    build = Build(section.get("construction", Build.RESERVOIR))
    found = DamperNumbers(
        build=build,
        eye_centres=dimension("eye_centres"),
        stroke=dimension("stroke"),
        body_bore=dimension("body_bore"),
        rod_diameter=dimension("rod_diameter"),
        preload=dimension("preload"),
        reservoir_bore=dimension("reservoir_bore"),
        reservoir_length=dimension("reservoir_length"),
        ifp_depth=dimension("ifp_depth"),
        gas=section.get("gas", ""),
        oil=section.get("oil", ""),
        springs=tuple(Spring(one["mm"], one["text"]) for one in section.get("springs", [])),
    )
    said = section_words(build)
    svg = damper_section(found, words=said, width=640, text_size=13, balloons=balloons)
    named = [f"{said.finding} {one.number}: {one.words}" for one in balloons]
    return titled(svg, ". ".join([said.title, *named]))

"""The shim stacks on the report: both sides, what was taken out beside what was built, drawn and as tables.

The owner may keep them off the customer's copy (a setting of the shop): then the paper says so, and the record of the
bench holds them as before.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.bench.queries.stacks import Side, is_stack, sides, stack_of, stack_words
from shopapp.bench.report_record import Record
from shopapp.bench.report_section import titled
from shopapp.calc import stacks
from shopapp.calc.stacks import Place, Shim
from shopapp.drawings.stack import Disc, Fit, Row, stack_comparison, stack_drawing
from shopapp.specs.queries import middle

MM = 1e3
WIDTH, TEXT_SIZE = 330, 13


def keep_back(record: Record) -> Record:
    """Where the shop keeps its stacks to itself, blank them in what the paper is written from; no row is changed."""
    if record.shop is None or not record.shop.keep_stacks_back:
        return record
    kept = _("kept by the shop")
    read = {entry.pk for entry in record.entries if is_stack(entry)}
    for entry in [*record.entries, *record.sheet.entries]:
        if entry.pk in read:
            entry.value_text, entry.words, entry.payload = kept, "", {"kept": True}
            entry.reason = kept if entry.reason else ""
        elif entry.about_id in read:
            entry.words = kept
    return record


def said(entry: Entry) -> str:
    """Write a stack whole: "3 x 44x0.20, 36x0.10"; "" for whatever is none."""
    return stacks.write(stack_of(entry)) if is_stack(entry) else ""


def odd(entry: Entry) -> str:
    """Say what did not make sense in the order of a stack."""
    payload = entry.payload if isinstance(entry.payload, dict) else {}
    return " ".join(payload.get("problems", ())) if is_stack(entry) else ""


def found(record: Record) -> dict[str, Any] | None:
    """Gather what the report shows of the stacks; None where none was read."""
    read = [side for side in sides(record.sheet) if _read(side.out) or _read(side.back)]
    if not read:
        return None
    if any(
        entry is not None and entry.payload.get("kept") for side in read for entry in (side.out, side.back)
    ):
        return {
            "kept": _("The shim stacks were measured. The shop keeps them in its own record."),
            "sides": [],
        }
    return {"kept": "", "sides": [_side(side) | {"fit": _fit(record, side.side)} for side in read]}


def _fit(record: Record, side: str) -> dict[str, float | None]:
    """Give what holds the shims as the sheet gives it: the piston as wide as its bore, and the clamp; None unknown."""
    return {"piston_mm": _given(record, "body bore"), "clamp_mm": _given(record, f"{side} clamp")}


def _given(record: Record, name: str) -> float | None:
    figure = record.figure(name)
    si = middle(figure.low_si, figure.target_si, figure.high_si) if figure is not None else None
    return si * MM if si else None


def _read(entry: Entry | None) -> bool:
    return entry is not None and is_stack(entry)


def _side(side: Side) -> dict[str, Any]:
    words = stack_words()
    shown = side.places or _alone(side)
    name = words.compression if side.side == "compression" else words.rebound
    return {
        "side": side.side,
        "name": name,
        "compared": bool(side.places),
        "rows": [_row(place) for place in shown],
        "heading": _heading(side, name),
        "differences": [place.sentence() for place in side.differences],
        "why": side.why,
        "odd": odd(side.back) if side.back is not None else "",
    }


def _heading(side: Side, name: str) -> str:
    if not side.places:
        phase = _("as built") if _read(side.back) else _("as removed")
        return _("%(side)s, %(phase)s") % {"side": name, "phase": phase}
    if not side.differences:
        return _("%(side)s: every shim as taken out") % {"side": name}
    return _("%(side)s: %(count)d unlike what was taken out") % {"side": name, "count": len(side.differences)}


def _alone(side: Side) -> Sequence[Place]:
    """Give the one stack that was read: nothing stands beside it."""
    entry = side.back if side.back is not None and _read(side.back) else side.out
    shims = stack_of(entry) if entry is not None else ()
    return stacks.compare(shims, shims)


def _row(place: Place) -> dict[str, Any]:
    return {
        "kind": place.kind, "out_place": place.out_place, "back_place": place.back_place,
        "out": _shim(place.removed), "back": _shim(place.built), "words": _kind_words(place.kind),
    }  # fmt: skip


def _kind_words(kind: str) -> str:
    words = stack_words()
    return {"same": words.alike, "changed": _("changed"), "missing": words.left_out}.get(kind, words.added)


def _shim(shim: Shim | None) -> dict[str, Any] | None:
    if shim is None:
        return None
    return {
        "mm": [shim.diameter.si * MM, shim.thickness.si * MM], "text": stacks.label(shim),
        "crossover": shim.crossover,
    }  # fmt: skip


def draw(figures: dict[str, Any]) -> dict[str, Any]:
    """Draw each side for the template, both at one scale."""
    given = (figures.get("stacks") or {}).get("sides", [])
    rows = [[_drawn(row) for row in side["rows"]] for side in given]
    return {
        "stacks": [
            {"side": side, "svg": _svg(side, own, [row for one in rows if one is not own for row in one])}
            for side, own in zip(given, rows, strict=True)
        ]
    }


def _drawn(row: dict[str, Any]) -> Row:
    out, back = (_disc(row[name]) for name in ("out", "back"))
    return Row(row["kind"], out, back, row["out_place"], row["back_place"])


def _disc(shim: dict[str, Any] | None) -> Disc | None:
    if shim is None:
        return None
    diameter, thickness = shim["mm"]
    return Disc(diameter, thickness, shim["text"], shim["crossover"])


def _svg(side: dict[str, Any], rows: Sequence[Row], like: Sequence[Row]) -> SafeString:
    words, fit = stack_words(), Fit(**side.get("fit", {}))
    if side["compared"]:
        svg = stack_comparison(
            rows, name=side["name"], fit=fit, words=words, width=WIDTH, text_size=TEXT_SIZE, like=like
        )
    else:
        discs = [row.back for row in rows if row.back is not None]
        both = (discs, None) if side["side"] == "compression" else (None, discs)
        svg = stack_drawing(*both, fit=fit, words=words, width=WIDTH, text_size=TEXT_SIZE)
    return titled(svg, side["heading"])


__all__ = ["draw", "found", "keep_back", "odd", "said"]

"""The figures that the program worked out for a job: charge to set, IFP check, turns of the preload adjuster."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from shopapp.bench import figures
from shopapp.bench.figures import Computed
from shopapp.bench.queries.steps import CHARGE, DEPTH, PRELOAD
from shopapp.bench.report_record import Record
from shopapp.specs.models import Step
from shopapp.specs.queries import middle

BUILT, RECEIVED = Step.Phase.BUILT, Step.Phase.RECEIVED


def computed(record: Record) -> list[dict[str, Any]]:
    """Give what could be worked out from what was read, each with a caption, sentences and whether it means trouble."""
    found = (_charge(record), _ifp(record), _turns(record))
    return [one for one in found if one is not None]


def _said(caption: str, one: Computed) -> dict[str, Any]:
    return {
        "caption": caption,
        "words": one.words,
        "lines": list(one.lines),
        "trouble": one.trouble,
        "si": one.si,
        "unit": one.unit,
    }


def _charge(record: Record) -> dict[str, Any] | None:
    """Say what the gauge was to show at the body's temperature of charging."""
    for row in record.steps_of(CHARGE, "", (BUILT,)):
        body_k = record.sheet.body_k(row)
        if row.limits is not None and row.limits.aim is not None and body_k is not None:
            return _said(_("Charge to set"), figures.charge(row.limits, body_k, record.shop))
    return None


def _ifp(record: Record) -> dict[str, Any] | None:
    """Say what the IFP depth as built leads to at full bump, cold and hot."""
    depth = record.reading(DEPTH, BUILT)
    if depth is None or record.job.spec is None:
        return None
    return _said(_("IFP at the depth as built"), figures.ifp(record.job.spec, depth.value_si, record.shop))


def _turns(record: Record) -> dict[str, Any] | None:
    """Say by how many turns the preload adjuster stands elsewhere than on arrival."""
    before, after = record.reading(PRELOAD, RECEIVED), record.reading(PRELOAD, BUILT)
    pitch = record.figure("collar pitch")
    step = middle(pitch.low_si, pitch.target_si, pitch.high_si) if pitch else None
    if before is None or after is None or not step:
        return None
    turned = figures.preload_turns(before.value_si, after.value_si, step, record.shop, unit=after.value_unit)
    return _said(_("Preload adjuster, from arrival to now"), turned)

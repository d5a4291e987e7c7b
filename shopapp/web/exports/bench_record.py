"""What was recorded at the bench for one job: every entry, also those that a later one corrects, and the findings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from shopapp.bench.queries.pictures import RECEIVING
from shopapp.web.exports.values import measured, moment, money, person

if TYPE_CHECKING:
    from shopapp.bench.models import Entry, Finding
    from shopapp.orders.models import Job
    from shopapp.specs.models import Step

ENTRIES = (
    "entries__by", "entries__step", "entries__tool", "entries__lot", "entries__wait__ended_by",
    "entries__pictures__picture", "findings", "pictures__act", "pictures__by",
)  # fmt: skip
"""What `prefetch_related` of jobs has to bring along."""


def entries_of(job: Job) -> list[dict[str, Any]]:
    """List the entries in the order in which they were stored; `replaced_by` names the one that corrects it."""
    rows = sorted(job.entries.all(), key=lambda row: (row.stored_at, row.counter, str(row.pk)))
    corrected = {row.replaces_id: row.pk for row in rows if row.replaces_id}
    return [_entry(row, corrected.get(row.pk)) for row in rows]


def _entry(row: Entry, replaced_by: Any) -> dict[str, Any]:
    return {
        "id": str(row.pk),
        "kind": row.kind,
        "step": _step(row.step, row.position) if row.step else None,
        "about": str(row.about_id) if row.about_id else None,
        "phase": row.phase,
        "figure": row.name,
        "position": row.position,
        "value": measured(row, "value", row.value_kind),
        "words": row.words,
        "details": row.payload,
        "outside": row.outside,
        "reason": row.reason,
        "out_of_order": row.out_of_order,
        "to_countersign": row.to_countersign,
        "tool": row.tool.tag if row.tool else None,
        "lot": row.lot.batch if row.lot else None,
        "wait": _wait(row),
        "pictures": [_picture(shown) for shown in row.pictures.all()],
        "replaces": str(row.replaces_id) if row.replaces_id else None,
        "replaced_by": str(replaced_by) if replaced_by else None,
        "by": person(row.by),
        "typed_at": moment(row.typed_at),
        "clock_offset_ms": row.clock_offset_ms,
        "stored_at": moment(row.stored_at),
        "counter": row.counter,
    }


def _step(step: Step, position: str) -> dict[str, str]:
    return {"stage": step.stage, "code": step.code, "name": step.name, "position": position}


def _wait(row: Entry) -> dict[str, Any] | None:
    wait = getattr(row, "wait", None)
    if wait is None:
        return None
    return {"ends": moment(wait.ends), "ended_by": str(wait.ended_by_id) if wait.ended_by_id else None}


def _picture(shown: Any) -> dict[str, Any]:
    picture = shown.picture
    return {
        "sha256": picture.sha256, "caption": shown.caption, "width": picture.width, "height": picture.height,
    }  # fmt: skip


def as_received_of(job: Job) -> list[dict[str, Any]]:
    """List the pictures that were taken when the damper was received."""
    rows = [row for row in job.pictures.all() if row.act.verb == RECEIVING]
    return [
        {"sha256": row.sha256, "width": row.width, "height": row.height, "by": person(row.by),
         "at": moment(row.stored_at)}
        for row in sorted(rows, key=lambda row: (row.stored_at, str(row.pk)))
    ]  # fmt: skip


def findings_of(job: Job) -> list[dict[str, Any]]:
    """List the findings by number; a corrected one stands under the same number with an entry of its own."""
    return [_finding(row) for row in sorted(job.findings.all(), key=lambda row: (row.number, row.pk))]


def _finding(row: Finding) -> dict[str, Any]:
    return {
        "number": row.number,
        "entry": str(row.entry_id),
        "part": row.part,
        "part_words": row.part_words,
        "advice": row.advice,
        "grade": row.grade,
        "what": row.what,
        "price": money(row.price),
        "tax_category": row.tax_category,
        "answer": row.answer,
        "put_right": str(row.put_right_id) if row.put_right_id else None,
    }

"""One job: its damper, the sheet of figures and the procedure it was worked by, how it stands, the bench's record."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from shopapp.web.exports.bench_record import ENTRIES, as_received_of, entries_of, findings_of
from shopapp.web.exports.values import day, measured, moment, person

if TYPE_CHECKING:
    from shopapp.dampers.models import Damper
    from shopapp.orders.models import Job, Placing, Stay
    from shopapp.specs.models import ServiceSpec, SpecFigure
    from shopapp.stock.models import StockMove

JOBS = (
    "damper__model__adjusters", "work_type", "spec__model", "spec__figures", "spec__entered_by", "procedure",
    "technician", "bay", "comeback_of__order", "went_on__order", "parcel", "placings__by", "placings__shelf",
    "stays__by", "stock_moves__item", "stock_moves__lot", "stock_moves__by", *ENTRIES,
)  # fmt: skip


def job_document(job: Job) -> dict[str, Any]:
    """Write one job whole."""
    return {
        "number": job.number,
        "damper": damper_of(job.damper),
        "place": job.place,
        "place_number": job.place_number,
        "work_type": {"code": job.work_type.code, "name": job.work_type.name},
        "spec": _spec(job.spec) if job.spec else None,
        "procedure": _procedure(job),
        "rebuild": job.rebuild,
        "second_person": job.second_person,
        "condition": job.condition,
        "wish": job.wish,
        "pictures_as_received": as_received_of(job),
        "shelf": {"body": job.shelf_body, "springs": job.shelf_springs, "tray": job.shelf_tray},
        "placings": [_placing(row) for row in sorted(job.placings.all(), key=lambda row: row.pk)],
        "technician": person(job.technician),
        "bay": job.bay.name if job.bay else None,
        "state": job.state,
        "stage": job.stage,
        "outcome": job.outcome,
        "closed_at": moment(job.closed_at),
        "handed_over_at": moment(job.handed_over_at),
        "handed_over_to": job.handed_over_to,
        "parcel": job.parcel.number if job.parcel else None,
        "stays": [_stay(row) for row in sorted(job.stays.all(), key=lambda row: row.pk)],
        "went_on": _named(job.went_on),
        "comeback_of": _named(job.comeback_of),
        "under_warranty": job.under_warranty,
        "comeback_cause": job.comeback_cause,
        "next_due": day(job.next_due),
        "entries": entries_of(job),
        "findings": findings_of(job),
        "stock": [_move(row) for row in sorted(job.stock_moves.all(), key=lambda row: row.pk)],
    }


def damper_of(damper: Damper) -> dict[str, Any]:
    """Write what is known of a damper whoever owns it."""
    return {
        "tag": damper.tag,
        "maker": damper.maker,
        "serial": damper.serial,
        "model": _model(damper),
        "note": damper.note,
        "retired_at": moment(damper.retired_at),
    }


def _model(damper: Damper) -> dict[str, Any] | None:
    model = damper.model
    if model is None:
        return None
    return {
        "maker": model.maker,
        "name": model.name,
        "construction": model.construction,
        "adjusters": [
            {"name": row.name, "unit": row.unit, "counted_from": row.counted_from, "lowest": row.lowest,
             "highest": row.highest}
            for row in model.adjusters.all()
        ],
    }  # fmt: skip


def _spec(spec: ServiceSpec) -> dict[str, Any]:
    return {
        "model": str(spec.model),
        "variant": spec.variant,
        "issue": spec.issue,
        "basis": spec.basis,
        "source": spec.source,
        "sheet_date": day(spec.sheet_date),
        "entered_by": person(spec.entered_by),
        "depth_to": spec.depth_to,
        "figures": [_figure(row) for row in spec.figures.all()],
    }


def _figure(row: SpecFigure) -> dict[str, Any]:
    return {
        "name": row.name,
        "position": row.position,
        **{side: measured(row, side, row.kind) for side in ("low", "target", "high")},
        "absolute": row.absolute,
        "words": row.words,
    }


def _procedure(job: Job) -> dict[str, Any] | None:
    return {"name": job.procedure.name, "version": job.procedure.version} if job.procedure else None


def _named(other: Job | None) -> dict[str, int] | None:
    return {"order": other.order.number, "job": other.number} if other is not None else None


def _placing(row: Placing) -> dict[str, Any]:
    return {
        "part": row.part, "was": row.was, "place": row.place, "shelf": row.shelf.code if row.shelf else None,
        "by": person(row.by), "at": moment(row.at),
    }  # fmt: skip


def _stay(row: Stay) -> dict[str, Any]:
    return {
        "why": row.why, "until": day(row.until), "who": row.who, "how": row.how, "words": row.words,
        "by": person(row.by), "at": moment(row.at), "ended_at": moment(row.ended_at),
    }  # fmt: skip


def _move(row: StockMove) -> dict[str, Any]:
    return {
        "item": row.item.name, "lot": row.lot.batch, "kind": row.kind, "quantity": row.quantity,
        "unit": row.item.unit, "position": row.position, "reason": row.reason, "by": person(row.by),
        "at": moment(row.at),
    }  # fmt: skip

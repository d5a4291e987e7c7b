"""Why dampers came back: what may be named as the cause, what was named, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.orders.models import Job
from shopapp.specs.models import STAGES
from shopapp.stock.models import Lot, StockMove


def lots_of(job: Job) -> list[Lot]:
    """List the lots that went into a damper in the job that it came back from."""
    fitted = StockMove.objects.filter(job=job.comeback_of_id, kind="issue").values("lot")
    rows = Lot.objects.filter(pk__in=fitted) if job.comeback_of_id else Lot.objects.none()
    return list(rows.select_related("item").order_by("item__name", "pk"))


def lot_words(lot: Lot) -> str:
    """Name a lot by its part and batch."""
    return f"{lot.item.name}, {lot.batch}"


def cause_row(job: Job) -> dict[str, Any] | None:
    """Give what is asked when a comeback is closed: the first order, causes, stages, lots; None for another job."""
    if job.comeback_of is None:
        return None
    return {
        "order": str(job.comeback_of.order.number),
        "causes": [{"value": value, "words": str(words)} for value, words in Job.Cause.choices],
        "stages": [{"value": value, "words": str(words)} for value, words in STAGES],
        "lots": [{"value": lot.pk, "words": lot_words(lot)} for lot in lots_of(job)],
    }


@dataclass(frozen=True, slots=True)
class Cause:
    """Why one damper came back, in words: the cause, and the stage or lot; "" where nothing was said yet."""

    words: str
    said: str = ""


def causes_of(jobs: Iterable[Job]) -> dict[int, Cause]:
    """Give by job why its damper came back, as the last closing says; in two queries for all."""
    closings = Entry.objects.filter(job__in=list(jobs), kind=Entry.Kind.CLOSE, payload__has_key="cause")
    closings = closings.only("job", "words", "payload")
    last = {row.job_id: row for row in closings.order_by("stored_at", "counter", "pk")}
    wanted = [row.payload["lot"] for row in last.values() if row.payload.get("lot")]
    lots = {lot.pk: lot for lot in _named(wanted)} if wanted else {}
    return {pk: Cause(_words(row.payload, lots), row.words) for pk, row in last.items()}


def _named(wanted: Sequence[int]) -> QuerySet[Lot]:
    return Lot.objects.filter(pk__in=wanted).select_related("item")


def _words(payload: Mapping[str, Any], lots: Mapping[int, Lot]) -> str:
    cause = str(dict(Job.Cause.choices).get(payload["cause"], payload["cause"]))
    lot = lots.get(payload.get("lot") or 0)
    if lot is not None:
        return _("%(cause)s: %(which)s") % {"cause": cause, "which": lot_words(lot)}
    if payload.get("stage"):
        return _("%(cause)s: %(which)s") % {"cause": cause, "which": dict(STAGES).get(payload["stage"], "")}
    return cause

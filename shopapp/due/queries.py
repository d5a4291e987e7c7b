"""What pages read of what is due."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from shopapp.bench.models import Finding
from shopapp.bench.queries.findings import held
from shopapp.drawings.signature import signature
from shopapp.drawings.svg import Svg
from shopapp.due.models import Due, Signature
from shopapp.orders.models import Job, WorkOrder
from shopapp.specs.models import Step


def due_dampers(*, until: date | None = None) -> QuerySet[Due]:
    """List the dampers with a next service, in no order; `until` leaves out what is due later, as is a retired one."""
    rows = Due.objects.filter(on__isnull=False, damper__retired_at__isnull=True)
    return rows if until is None else rows.filter(on__lte=until)


def unsafe_to_use(jobs: Iterable[int]) -> dict[int, list[Finding]]:
    """Give by job the findings that make the dampers of some jobs unsafe to use.

    Those too of an earlier job that went on into one of them, unless it was opened and done there since: a damper that
    only stayed here is as unsafe as it was.
    """
    asked = list(jobs)
    opens = Step.objects.filter(stage="strip").values("procedure")
    keys = asked
    while keys:
        untouched = Job.objects.filter(pk__in=keys).exclude(outcome=Job.Outcome.DONE, procedure__in=opens)
        keys = list(Job.objects.filter(went_on__in=untouched).values_list("pk", flat=True))
        asked = [*asked, *keys]
    return held(asked)


def late_days(due: date, on: date) -> int:
    """Give by how many days a service that was due on a day is late on another; nought where it is not."""
    return max((on - due).days, 0)


@dataclass(frozen=True, slots=True)
class ShownSignature:
    """A signature of a hand-over with its drawing."""

    row: Signature
    drawn: Svg


def signatures_of(order: WorkOrder) -> list[ShownSignature]:
    """List who signed at the hand-overs of an order, the newest first."""
    rows = order.signatures.select_related("by").order_by("-at", "-pk")
    return [
        ShownSignature(row, signature(row.strokes, label=f"{row.get_what_display()}: {row.name}"))
        for row in rows
    ]

"""To whom a paper may be sent and was sent: its order, the customer's addresses, how each letter ended."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet

from shopapp.customers.models import Contact
from shopapp.customers.queries import whole
from shopapp.money.services.sending import KIND
from shopapp.orders.models import WorkOrder
from shopapp.papers.models import Paper
from shopapp.shop.models import Act, Outbox

MOST = 50


@dataclass(frozen=True, slots=True)
class Letter:
    """One letter with a paper: where it goes and how far it has come."""

    to: str
    row: Outbox
    paper_id: str = ""


def order_of_paper(paper: Paper) -> WorkOrder | None:
    """Give the order that a paper is of; None for one of something else."""
    rows = WorkOrder.objects.select_related("customer")
    if not paper.subject_id.isdecimal():
        return None
    fields = {"order": "pk", "job": "jobs__pk", "invoice": "invoices__pk", "parcel": "parcels__pk"}
    field = fields.get(paper.subject_kind)
    return rows.filter(**{field: int(paper.subject_id)}).first() if field else None


def addresses_of(order: WorkOrder) -> list[Contact]:
    """List the e-mail addresses of an order's customer that still count."""
    rows = Contact.objects.filter(customer__in=whole(order.customer), kind=Contact.Kind.EMAIL)
    return list(rows.filter(stopped_at__isnull=True).order_by("pk"))


def letters_of(paper: Paper) -> list[Letter]:
    """List the letters that carried a paper, the newest first; an address that was erased is not known any more."""
    return _letters(Outbox.objects.filter(kind=KIND, ids__paper=str(paper.pk)))


def letters_by(acts: Iterable[Act]) -> list[Letter]:
    """List the letters that these acts asked for, the newest first: their keys name the act, so no table is walked."""
    keys = [f"{KIND}:{act.pk}" for act in acts if act.verb == "send_paper"]
    return _letters(Outbox.objects.filter(key__in=keys)) if keys else []


def _letters(found: QuerySet[Outbox]) -> list[Letter]:
    rows = list(found.order_by("-made_at", "-pk")[:MOST])
    names = dict(
        Contact.objects.filter(pk__in=[row.ids["contact"] for row in rows]).values_list("pk", "value")
    )
    return [Letter(names.get(row.ids["contact"], ""), row, row.ids["paper"]) for row in rows]

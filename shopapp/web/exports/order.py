"""One order whole: who and what it is for, its jobs, lines, answers, money, papers, signatures and history."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from django.db.models import Q, QuerySet

from shopapp.orders.models import WorkOrder
from shopapp.papers.models import Paper
from shopapp.shop.models import Act
from shopapp.web.exports.jobs import JOBS, job_document
from shopapp.web.exports.people_and_vehicles import VEHICLES, customer_head, vehicle_document
from shopapp.web.exports.values import day, head, moment, money, person

if TYPE_CHECKING:
    from datetime import datetime

    from shopapp.money.models import Invoice, InvoiceLine, Payment
    from shopapp.orders.models import OrderLine
    from shopapp.shop.models import Shop

WITH = (
    "customer__contacts", "received_by", "terms", "lines__job", "consents__taken_by",
    "consents__act__taken_back_by", "remarks__act", "invoices__lines__job", "invoices__corrects", "payments__by",
    "payments__invoice", "payments__reverses", "signatures__by", "parcels__by",
    *(f"vehicle__{name}" for name in VEHICLES), *(f"jobs__{name}" for name in JOBS),
)  # fmt: skip


def orders_whole(rows: QuerySet[WorkOrder]) -> list[WorkOrder]:
    """Read orders with all that a document tells, in a number of queries that does not grow with them."""
    return list(rows.prefetch_related(*WITH).order_by("number"))


def order_document(order: WorkOrder, *, shop: Shop | None, at: datetime) -> dict[str, Any]:
    """Write one order as a document of its own."""
    (whole,) = orders_whole(WorkOrder.objects.filter(pk=order.pk))
    return {**head("order", shop, at), "order": order_bodies([whole])[0]}


def order_bodies(orders: list[WorkOrder]) -> list[dict[str, Any]]:
    """Write orders (as `orders_whole` reads them) with their papers and acts."""
    papers, acts = _papers(orders), _acts(orders)
    return [{**_body(order), "papers": papers[order.pk], "history": acts[order.pk]} for order in orders]


def _body(order: WorkOrder) -> dict[str, Any]:
    return {
        "number": order.number,
        "customer": customer_head(order.customer),
        "vehicle": vehicle_document(order.vehicle) if order.vehicle else None,
        "received_at": moment(order.received_at),
        "received_by": person(order.received_by),
        "comes": {"by": order.comes_by, "carrier": order.comes_carrier},
        "leaves": {"by": order.leaves_by, "carrier": order.leaves_carrier},
        "complaint": order.complaint,
        "accepted_at": moment(order.accepted_at),
        "promised": moment(order.promised),
        "limit": money(order.limit_gross),
        "expected": {"net": money(order.expected_net), "gross": money(order.expected_gross)},
        "terms": _terms(order),
        "jobs": [job_document(job) for job in sorted(order.jobs.all(), key=lambda job: job.number)],
        "lines": [_line(row) for row in sorted(order.lines.all(), key=lambda row: row.pk)],
        "answers": [_answer(row) for row in sorted(order.consents.all(), key=lambda row: (row.at, row.pk))],
        "remarks": [_remark(row) for row in sorted(order.remarks.all(), key=lambda row: row.pk)],
        "invoices": [_invoice(row) for row in sorted(order.invoices.all(), key=lambda row: row.pk)],
        "payments": [_payment(row) for row in sorted(order.payments.all(), key=lambda row: row.pk)],
        "signatures": [_signature(row) for row in sorted(order.signatures.all(), key=lambda row: row.pk)],
        "parcels": [_parcel(row) for row in sorted(order.parcels.all(), key=lambda row: row.number)],
    }


def _terms(order: WorkOrder) -> dict[str, Any] | None:
    if order.terms is None:
        return None
    how = order.terms_accepted_how
    return {"version": order.terms.version, "text": order.terms.text, "accepted_how": how}


def _line(row: OrderLine) -> dict[str, Any]:
    return {
        "job": row.job.number if row.job else None, "what": row.what, "quantity": money(row.quantity),
        "unit": row.unit, "price": money(row.price), "tax_category": row.tax_category,
        "comes_from": row.comes_from, "entry": str(row.entry_id) if row.entry_id else None,
        "invoiced": row.invoiced,
    }  # fmt: skip


def _answer(row: Any) -> dict[str, Any]:
    back = getattr(row.act, "taken_back_by", None)
    return {
        "about": row.about, "about_id": row.about_id, "yes": row.yes, "who": row.who, "how": row.how,
        "at": moment(row.at), "amount": money(row.amount), "taken_by": person(row.taken_by),
        "taken_back_at": moment(back.at) if back else None,
    }  # fmt: skip


def _remark(row: Any) -> dict[str, Any]:
    return {"words": row.words, "about": row.act.verb, "at": moment(row.act.at)}


def _invoice(row: Invoice) -> dict[str, Any]:
    return {
        "number": str(row),
        "kind": row.kind,
        "corrects": str(row.corrects) if row.corrects else None,
        "issued_on": day(row.issued_on),
        "due_on": day(row.due_on),
        "currency": row.currency,
        "buyer": row.buyer,
        "seller": row.seller,
        "net": money(row.net),
        "tax": money(row.tax),
        "gross": money(row.gross),
        "tax_by_rate": row.tax_by_rate,
        "lines": [_invoice_line(line) for line in sorted(row.lines.all(), key=lambda line: line.number)],
    }


def _invoice_line(row: InvoiceLine) -> dict[str, Any]:
    return {
        "number": row.number, "job": row.job.number if row.job else None, "what": row.what,
        "quantity": money(row.quantity), "unit": row.unit, "price": money(row.price),
        "allowance": money(row.allowance), "tax_category": row.tax_category, "rate": money(row.rate),
        "net": money(row.net),
    }  # fmt: skip


def _payment(row: Payment) -> dict[str, Any]:
    return {
        "id": row.pk, "invoice": str(row.invoice) if row.invoice else None, "amount": money(row.amount),
        "how": row.how, "reference": row.reference, "reverses": row.reverses_id, "at": moment(row.at),
        "by": person(row.by),
    }  # fmt: skip


def _signature(row: Any) -> dict[str, Any]:
    return {
        "what": row.what, "name": row.name, "strokes": row.strokes, "at": moment(row.at), "by": person(row.by),
    }  # fmt: skip


def _parcel(row: Any) -> dict[str, Any]:
    return {
        "number": row.number, "carrier": row.carrier, "consignment": row.consignment, "packed": row.packed,
        "gas": row.gas, "rule": row.rule, "confirmed": row.confirmed, "by": person(row.by), "at": moment(row.at),
    }  # fmt: skip


def _subjects(order: WorkOrder) -> Iterable[tuple[str, str]]:
    yield "order", str(order.pk)
    yield from (("job", str(job.pk)) for job in order.jobs.all())
    yield from (("invoice", str(invoice.pk)) for invoice in order.invoices.all())
    yield from (("parcel", str(parcel.pk)) for parcel in order.parcels.all())


def _by_subject(orders: list[WorkOrder]) -> tuple[dict[tuple[str, str], int], Q]:
    """Give which order a subject of a paper or an act belongs to, and the condition that finds them."""
    owner = {subject: order.pk for order in orders for subject in _subjects(order)}
    asked = Q(pk__in=[])
    for kind in ("order", "job", "invoice", "parcel"):
        asked |= Q(subject_kind=kind, subject_id__in=[pk for of, pk in owner if of == kind])
    return owner, asked


def _papers(orders: list[WorkOrder]) -> dict[int, list[dict[str, Any]]]:
    owner, asked = _by_subject(orders)
    found: dict[int, list[dict[str, Any]]] = {order.pk: [] for order in orders}
    for row in Paper.objects.filter(asked).select_related("file").order_by("issued_at", "pk"):
        file = getattr(row, "file", None)
        found[owner[row.subject_kind, row.subject_id]].append(
            {
                "kind": row.kind,
                "number": row.number,
                "language": row.language,
                "issued_at": moment(row.issued_at),
                "figures_sha256": row.figures_hash,
                "file": {"sha256": file.sha256, "size": file.size} if file else None,
            }
        )
    return found


def _acts(orders: list[WorkOrder]) -> dict[int, list[dict[str, Any]]]:
    owner, asked = _by_subject(orders)
    found: dict[int, list[dict[str, Any]]] = {order.pk: [] for order in orders}
    for row in Act.objects.filter(asked).select_related("by").order_by("at", "pk"):
        found[owner[row.subject_kind, row.subject_id]].append(act_document(row))
    return found


def act_document(row: Act) -> dict[str, Any]:
    """Write what was done once: who, when, what it changed."""
    return {
        "id": str(row.pk), "verb": row.verb, "at": moment(row.at), "by": person(row.by),
        "about": row.subject_kind, "changed": row.changed,
        "takes_back": str(row.takes_back_id) if row.takes_back_id else None,
    }  # fmt: skip

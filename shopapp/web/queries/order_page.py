"""Everything an order's page shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import QuerySet

from shopapp.money.amounts import places_of
from shopapp.money.models import Invoice, Payment
from shopapp.money.queries import OrderMoney, line_amount, order_money
from shopapp.orders.models import Job, OrderLine, WorkConsent, WorkOrder
from shopapp.orders.queries import ShownJob, late_by, order_jobs, order_lines, shown_job
from shopapp.papers.models import Paper
from shopapp.papers.queries import papers_about
from shopapp.shop.models import Act, Shop
from shopapp.shop.queries import history


@dataclass(frozen=True, slots=True)
class ShownLine:
    """A line of the order with its net amount."""

    line: OrderLine
    net: Decimal


@dataclass(frozen=True)
class OrderPage:
    """An order with its jobs, lines, sums, papers, payments, consents and history."""

    order: WorkOrder
    jobs: list[ShownJob]
    lines: list[ShownLine]
    sums: OrderMoney
    invoices: list[Invoice]
    payments: list[Payment]
    consents: QuerySet[WorkConsent]
    papers: list[Paper]
    history: QuerySet[Act]
    late: int

    @property
    def is_open(self) -> bool:
        """Say whether any damper of the order is still here."""
        return any(shown.job.is_open for shown in self.jobs)

    @property
    def has_done(self) -> bool:
        """Say whether a job is done, so that it can be billed or handed over."""
        return any(shown.job.state == Job.State.DONE for shown in self.jobs)


def order_page(order: WorkOrder, *, at: datetime, shop: Shop | None) -> OrderPage:
    """Read one order's page: the same number of queries for one damper and for six."""
    jobs = order_jobs(order)
    places = places_of(shop.currency if shop else "USD")
    invoices = list(Invoice.objects.filter(order=order).order_by("number"))
    papers = [
        *papers_about("job", *[job.pk for job in jobs]),
        *papers_about("invoice", *[invoice.pk for invoice in invoices]),
        *papers_about("order", order.pk),
    ]
    is_open = any(job.is_open for job in jobs)
    return OrderPage(
        order=order,
        jobs=[shown_job(job) for job in jobs],
        lines=[ShownLine(line, line_amount(line, places)) for line in order_lines(order)],
        sums=order_money(order),
        invoices=invoices,
        payments=list(
            Payment.objects.filter(order=order).select_related("by", "invoice").order_by("at", "pk")
        ),
        consents=order.consents.select_related("taken_by").order_by("-at", "-pk"),
        papers=papers,
        history=history("order", order.pk),
        late=late_by(order.promised, at) if is_open else 0,
    )

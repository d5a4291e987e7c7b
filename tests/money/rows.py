"""An order with done jobs and lines, a rate, a shop: what an invoice is made of."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from shopapp.customers import services as customers
from shopapp.dampers import services as dampers
from shopapp.dampers.models import DamperModel
from shopapp.money import services as money
from shopapp.orders import services as orders
from shopapp.orders.models import Job, OrderLine, WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call

NOW = dt.datetime(2026, 3, 2, 9, 0, tzinfo=dt.UTC)


def rate(
    by: Person, category: str = "S", percent: str = "8.25", since: dt.date = dt.date(2026, 1, 1)
) -> None:
    """Add a tax rate."""
    money.add_tax_rate(
        category=category,
        name="Sales tax",
        rate=Decimal(percent),
        since=since,
        by=by,
        at=NOW,
        call=Call.fresh(),
    )


def an_order(
    by: Person, *, jobs: int = 2, limit: str | None = None, name: str = "Wyn Dallimore"
) -> WorkOrder:
    """Receive an order of some dampers, each with one line at 186.00; no job is done yet."""
    std: dict[str, Any] = {"by": by, "at": NOW}
    customer = customers.add_customer(name=name, bill_to="4 Mill Lane", call=Call.fresh(), **std)
    model = DamperModel.objects.get_or_create(maker="Keldmark", name="K25")[0]
    work = WorkType.objects.filter(code="rebuild").first() or orders.add_work_type(
        code="rebuild", name="Rebuild", price=Decimal("186.00"), call=Call.fresh(), **std
    )
    rows = [
        orders.DamperIn(
            damper=dampers.add_damper(model=model, customer=customer, call=Call.fresh(), **std),
            work_type=work,
        )
        for _number in range(jobs)
    ]
    return orders.receive_order(
        customer=customer,
        dampers=rows,
        limit_gross=Decimal(limit) if limit else None,
        call=Call.fresh(),
        **std,
    )


def done(
    order: WorkOrder, *numbers: int, outcome: str = "done", next_due: dt.date | None = None
) -> list[Job]:
    """Close jobs of an order (all without `numbers`) as the bench would."""
    jobs = Job.objects.filter(order=order)
    rows = jobs.filter(number__in=numbers) if numbers else jobs
    rows.update(state="done", outcome=outcome, closed_at=NOW, next_due=next_due)
    return list(rows.order_by("number"))


def add_line(order: WorkOrder, job: Job | None, quantity: str, price: str, category: str = "S") -> OrderLine:
    """Put a line on an order."""
    return OrderLine.objects.create(
        order=order, job=job, what="Oil", quantity=Decimal(quantity), unit="L", price=Decimal(price),
        tax_category=category, comes_from="hand",
    )  # fmt: skip

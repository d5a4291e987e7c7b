"""Dampers that came back: on the pages of both orders, and all of them for the owner."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db.models import Q, QuerySet
from django.utils import formats, timezone
from django.utils.translation import ngettext

from shopapp.bench.queries.bench_time import minutes_of
from shopapp.bench.queries.causes import Cause, causes_of
from shopapp.bench.queries.issued import issued_to
from shopapp.bench.services.parts import billed
from shopapp.orders.models import Job, OrderLine

JOINED = (
    "order",
    "damper__model",
    "work_type",
    "comeback_of__order",
    "comeback_of__technician",
)
READ = (
    "number", "under_warranty", "order__number", "order__received_at", "damper__tag", "damper__serial",
    "damper__maker", "damper__model__maker", "damper__model__name", "work_type__name",
    "comeback_of__number", "comeback_of__handed_over_at", "comeback_of__order__number",
    "comeback_of__technician__name",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cost:
    """What a comeback took of the shop: the parts that stayed in the damper, and minutes at the bench.

    `parts` at the shop's own prices without tax: a lot has no cost price here. `unpriced` have no price at all.
    `minutes`: see `bench_time.minutes_of`. `price` is what the customer pays for it, without tax.
    """

    parts: Decimal
    unpriced: int
    minutes: int
    price: Decimal


@dataclass(frozen=True, slots=True)
class ShownComeback:
    """One damper that came back: `job` is the later one, `days` how long it was away."""

    job: Job
    cause: Cause | None
    days: int | None
    cost: Cost | None = None

    @property
    def away(self) -> str:
        """Say when it left, and for how many days."""
        left = self.first.handed_over_at
        if left is None or self.days is None:
            return ""
        words = ngettext("%(on)s, away %(n)s day", "%(on)s, away %(n)s days", self.days)
        return words % {"on": formats.date_format(timezone.localtime(left), "j M Y"), "n": self.days}

    @property
    def first(self) -> Job:
        """Give the job that it comes back from."""
        assert self.job.comeback_of is not None
        return self.job.comeback_of


def of_jobs(jobs: Sequence[Job]) -> list[ShownComeback]:
    """Give the comebacks that some jobs are, and those that came of them."""
    return shown(comebacks().filter(Q(pk__in=[job.pk for job in jobs]) | Q(comeback_of__in=jobs)))


def comebacks() -> QuerySet[Job]:
    """List the jobs that are comebacks, the newest first; a void one is none."""
    rows = Job.objects.filter(comeback_of__isnull=False).exclude(state=Job.State.VOID)
    return rows.select_related(*JOINED).only(*READ).order_by("-order__received_at", "-pk")


def shown(jobs: Iterable[Job]) -> list[ShownComeback]:
    """Give comebacks with their causes, in two queries whatever their number."""
    rows = list(jobs)
    causes = causes_of(rows) if rows else {}
    return [ShownComeback(row, causes.get(row.pk), _days(row)) for row in rows]


def with_costs(rows: Sequence[ShownComeback]) -> list[ShownComeback]:
    """Add to comebacks what each took of the shop, and what is paid for it; five queries whatever their number."""
    jobs = [row.job for row in rows]
    minutes, prices = minutes_of(jobs), _prices(jobs)
    parts: dict[int, Decimal] = {}
    unpriced: dict[int, int] = {}
    for one in issued_to(jobs):
        pk, item = one.entry.job_id, one.move.item
        quantity, _unit, price = billed(item, one.left)
        parts[pk] = parts.get(pk, Decimal(0)) + quantity * price
        unpriced[pk] = unpriced.get(pk, 0) + (not price)
    none = Decimal(0)
    return [
        replace(
            row,
            cost=Cost(
                parts.get(pk, none), unpriced.get(pk, 0), minutes.get(pk, 0), prices.get(pk, none),
            ),
        )
        for row, pk in ((row, row.job.pk) for row in rows)
    ]  # fmt: skip


def _prices(jobs: Sequence[Job]) -> dict[int, Decimal]:
    prices: dict[int, Decimal] = {}
    lines = OrderLine.objects.filter(job__in=jobs).order_by()
    for job, quantity, price in lines.values_list("job", "quantity", "price"):
        prices[job] = prices.get(job, Decimal(0)) + quantity * price
    return prices


def _days(job: Job) -> int | None:
    left = job.comeback_of.handed_over_at if job.comeback_of is not None else None
    return (job.order.received_at - left).days if left is not None else None

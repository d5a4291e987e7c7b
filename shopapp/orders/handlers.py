"""What the orders subject registers: the books of order numbers and of the terms by which orders are found."""

from __future__ import annotations

from collections.abc import Iterator

from shopapp.customers import held
from shopapp.orders import erasing
from shopapp.orders.models import Job, Placing, WorkOrder
from shopapp.orders.services.receiving import FIRST_NUMBER, terms_of
from shopapp.shop import books
from shopapp.shop.books import Difference
from shopapp.shop.finding import term_differences
from shopapp.shop.models import Counter

TERMS = "search terms of orders"
NUMBERS = "order numbers"
PLACES = "places of parts"


def order_terms() -> Iterator[Difference]:
    """Derive from its number by what each order is found."""
    rows = ((row.pk, terms_of(row)) for row in WorkOrder.objects.order_by("pk"))
    yield from term_differences(TERMS, "order", rows)


def number_differences() -> Iterator[Difference]:
    """Hold that numbers run without a gap up to the counter's last."""
    counted = (
        Counter.objects.filter(series="order").values_list("last", flat=True).first() or FIRST_NUMBER - 1
    )
    numbers = set(WorkOrder.objects.values_list("number", flat=True))
    for number in sorted(numbers ^ set(range(FIRST_NUMBER, counted + 1))):
        yield Difference(NUMBERS, str(number), number in numbers, number <= counted)


def place_differences() -> Iterator[Difference]:
    """Hold each part's place against its last placing, and each placing against the one before it."""
    last: dict[tuple[int, str], str] = {}
    for row in Placing.objects.select_related("shelf").order_by("pk").iterator(chunk_size=500):
        before = last.get((row.job_id, row.part), row.was)
        if row.was != before:
            yield Difference(PLACES, f"placing {row.pk} from", row.was, before)
        if row.shelf is not None and row.place != row.shelf.code:
            yield Difference(PLACES, f"placing {row.pk} on", row.place, row.shelf.code)
        last[row.job_id, row.part] = row.place
    jobs = Job.objects.in_bulk({job for job, _part in last})
    for (job, part), place in last.items():
        stored = getattr(jobs[job], f"shelf_{part}")
        if stored != place:
            yield Difference(PLACES, f"{part} of job {job}", stored, place)


books.register(TERMS, order_terms)
books.register(NUMBERS, number_differences)
books.register(PLACES, place_differences)
held.register(hinder=erasing.open_orders, eraser=erasing.erase_words)

"""What the due subject registers: its book."""

from __future__ import annotations

from collections.abc import Iterator

from shopapp.due.models import Due
from shopapp.money.queries import shop_day
from shopapp.orders.models import Job
from shopapp.shop import books
from shopapp.shop.books import Difference
from shopapp.shop.queries import this_shop


def due_book() -> Iterator[Difference]:
    """Derive every damper's next due again from the last of its handed over jobs that set one."""
    shop = this_shop()
    last: dict[int, Job] = {}
    done = Job.objects.filter(outcome=Job.Outcome.DONE, handed_over_at__isnull=False, next_due__isnull=False)
    for job in done.order_by("handed_over_at", "pk"):
        last[job.damper_id] = job
    rows = {due.damper_id: due for due in Due.objects.all()}
    for damper_id in sorted(last.keys() | rows.keys()):
        stored = rows.get(damper_id)
        newest = last.get(damper_id)
        found = None if stored is None else (stored.job_id, stored.on, stored.because, stored.serviced_on)
        derived = None
        if newest is not None:
            day = shop_day(newest.closed_at or newest.handed_over_at, shop)  # type: ignore[arg-type]
            derived = (newest.pk, newest.next_due, "months", day)
        if found != derived:
            yield Difference("due", f"damper {damper_id}", found, derived)


books.register("due", due_book)

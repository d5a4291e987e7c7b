"""The book of parts billed: no order line from a stock move bills what came back from the job."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID

from shopapp.bench.queries.issued import Issued, issued_to
from shopapp.bench.queries.parts import needs_of
from shopapp.bench.services.parts import billed
from shopapp.orders.models import Job, OrderLine
from shopapp.shop.books import Difference

PARTS = "parts billed"


def part_differences() -> Iterator[Difference]:
    """Compare each line that is not invoiced with what is still out by its entry; one taken off by hand is none."""
    lines = OrderLine.objects.filter(comes_from=OrderLine.From.MOVE, invoiced=False, entry_id__isnull=False)
    rows = list(lines.select_related("move__item", "order").order_by("pk"))
    jobs = list(Job.objects.filter(pk__in={line.job_id for line in rows}).select_related("work_type", "spec"))
    kits = {
        need.kit.name for _job, needs in needs_of(jobs) for need in needs.values() if need.kit is not None
    }
    out: dict[UUID, list[Issued]] = {}
    for row in issued_to(jobs):
        out.setdefault(row.entry.pk, []).append(row)
    for line in rows:
        yield from _of_line(line, out.get(line.entry_id, []) if line.entry_id else [], kits)


def _of_line(line: OrderLine, out: list[Issued], kits: set[str]) -> Iterator[Difference]:
    name = f"line {line.pk} of order {line.order.number}"
    if not out:
        yield Difference(PARTS, name, line.what, "nothing is out")
        return
    # A kit's line bills the kit, whatever is left of it; a line of an item bills what is out of that item.
    of_item = [row for row in out if row.move.item.name == line.what]
    if line.what in kits or not of_item:
        return
    derived = billed(of_item[0].move.item, sum(row.left for row in of_item))[0]
    if line.quantity != derived:
        yield Difference(PARTS, name, f"{line.quantity.normalize():f}", f"{derived.normalize():f}")

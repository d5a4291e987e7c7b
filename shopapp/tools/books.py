"""How tools stand, derived again from their checks, against what is stored with them."""

from __future__ import annotations

from collections.abc import Iterator

from shopapp.shop.books import Difference
from shopapp.tools.models import Checkout, Tool
from shopapp.tools.queries import NOT_IN_USE, from_checks

BOOK = "tools"
OUT = "tools out"
OVER = ("done", "void")


def differences() -> Iterator[Difference]:
    """Yield where a tool's date or state is not what its checks say; repair and retired are the owner's word."""
    for tool in Tool.objects.order_by("pk"):
        follows = from_checks(tool.pk)
        if tool.checked_until != follows.until:
            yield Difference(BOOK, f"{tool.tag} checked until", tool.checked_until, follows.until)
        derived = Tool.State.FAILED if follows.failed else Tool.State.GOOD
        if tool.state not in NOT_IN_USE and tool.state != derived:
            yield Difference(BOOK, f"{tool.tag} state", tool.state, derived.value)


def out_differences() -> Iterator[Difference]:
    """Yield where a tool is out for a job that is over: its closing brings back what was out for it."""
    rows = Checkout.objects.filter(in_at__isnull=True, job__state__in=OVER).select_related(
        "tool", "job__order"
    )
    for row in rows.order_by("pk"):
        yield Difference(
            OUT, f"{row.tool.tag} for order {row.job.order.number}", "out", "back: the job is over"
        )

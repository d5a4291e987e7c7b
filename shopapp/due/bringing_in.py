"""What is brought is taken in whole: the order with what it was said to come to, pictures, and who signed for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from shopapp.bench.services.pictures import Developed, keep_as_received
from shopapp.due.models import Signature
from shopapp.money.queries import order_money, shop_day
from shopapp.orders import services as orders
from shopapp.orders.models import WorkOrder
from shopapp.shop.queries import this_shop
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing

if TYPE_CHECKING:
    from shopapp.people.models import Person


@dataclass(frozen=True, slots=True)
class Signed:
    """Who signed under what was brought and the terms; without strokes the typed name does alone."""

    name: str
    strokes: Sequence[object] = ()


def bring_in(
    *,
    pictures: Sequence[Sequence[Developed]] = (),
    signed: Signed | None = None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
    **sheet: Any,
) -> WorkOrder:
    """Take in everything of one sheet (`orders.take_in`) in one act.

    The order keeps what it was said to come to, at the rates of the day. `pictures` are those of each row, in the
    order of the rows, whose bytes lie on the disk already. The act names how many they are and nobody's name.
    """
    with acts.doing("take_in", call=call, by=by, at=at, within=within) as act:
        order = orders.take_in(**sheet, by=by, at=at, call=call, within=act)
        _keep_expected(order, at)
        jobs = order.jobs.order_by("number")
        kept = [
            keep_as_received(job=job, developed=one, by=by, call=call, within=act)
            for job, of_job in zip(jobs, pictures, strict=False)
            for one in of_job
        ]
        if signed is not None and signed.name.strip():
            Signature.objects.create(
                order=order, what=Signature.What.BROUGHT, name=signed.name.strip(), strokes=list(signed.strokes),
                by=by, at=at, act_id=act.id,
            )  # fmt: skip
        act.result |= {"expected": str(order.expected_gross), "pictures": len(kept)}
        return order


def _keep_expected(order: WorkOrder, at: datetime) -> None:
    """Keep what the order comes to as it was received: later lines change the sums, never this."""
    sums = order_money(order, on=shop_day(at, this_shop()))
    order.expected_net, order.expected_gross = sums.net, sums.gross
    order.save(update_fields=["expected_net", "expected_gross"])

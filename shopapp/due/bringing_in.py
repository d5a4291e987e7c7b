"""What is brought is taken in whole: the order with what it was said to come to, pictures, and who signed for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from shopapp.bench.services.pictures import Developed, keep_as_received
from shopapp.due.models import Signature
from shopapp.money.amounts import shown
from shopapp.money.queries import order_money, shop_day
from shopapp.orders import services as orders
from shopapp.orders.models import WorkOrder
from shopapp.shop.queries import this_shop
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

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
    sum_shown: Decimal | None = None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
    **sheet: Any,
) -> WorkOrder:
    """Take in everything of one sheet (`orders.take_in`) in one act.

    The order keeps what it was said to come to, at the rates of the day. `pictures` are those of each row, in the
    order of the rows, whose bytes lie on the disk already. The act names how many they are and nobody's name.
    `sum_shown` is what the desk saw that it comes to, with tax: where a price or a rate was changed since, nothing is
    stored, and both sums are said.
    """
    with acts.doing("take_in", call=call, by=by, at=at, within=within) as act:
        order = orders.take_in(**sheet, by=by, at=at, call=call, within=act)
        _keep_expected(order, at)
        _refuse_another_sum(order, sum_shown)
        jobs = order.jobs.order_by("number")
        chosen = [(job, one) for job, of_job in zip(jobs, pictures, strict=False) for one in of_job]
        kept = [
            keep_as_received(job=job, developed=one, number=number, by=by, call=call, within=act)
            for number, (job, one) in enumerate(chosen)
        ]
        if signed is not None and signed.name.strip():
            Signature.objects.create(
                order=order, what=Signature.What.BROUGHT, name=signed.name.strip(), strokes=list(signed.strokes),
                by=by, at=at, act_id=act.id,
            )  # fmt: skip
        act.result |= {"expected": str(order.expected_gross), "pictures": len(kept)}
        return order


def _refuse_another_sum(order: WorkOrder, seen: Decimal | None) -> None:
    if seen is None or order.expected_gross is None or seen == order.expected_gross:
        return
    shop = this_shop()
    before, now = (
        shown(sum_, shop.currency if shop else "USD", get_language() or "en")
        for sum_ in (seen, order.expected_gross)
    )
    words = _(
        "The sum you saw was %(before)s; by the prices of now it is %(now)s, with tax. Look at it, tell the customer, "
        "and receive the order once more."
    )
    raise Refused(words % {"before": before, "now": now})


def _keep_expected(order: WorkOrder, at: datetime) -> None:
    """Keep what the order comes to as it was received: later lines change the sums, never this."""
    sums = order_money(order, on=shop_day(at, this_shop()))
    order.expected_net, order.expected_gross = sums.net, sums.gross
    order.save(update_fields=["expected_net", "expected_gross"])

"""What the pages over several subjects register: a job whose order is past what was agreed waits for a yes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.utils.translation import gettext as _

from shopapp.bench.queries import waiting
from shopapp.bench.queries.waiting import WaitLine
from shopapp.money.queries import shop_day
from shopapp.orders.models import Job, WorkOrder
from shopapp.shop.queries import this_shop
from shopapp.web.queries.sums import sums_of

GOING = (Job.State.PLANNED, Job.State.IN_WORK)


def past_limit(jobs: Sequence[Job], at: datetime) -> Mapping[int, Sequence[WaitLine]]:
    """Say of which jobs the order comes to more than was agreed; no amount is named, the bench shows no price."""
    going = [job for job in jobs if job.state in GOING]
    limited = WorkOrder.objects.filter(
        pk__in={job.order_id for job in going}, limit_gross__isnull=False
    ).select_related("customer")
    orders = list(limited)
    if not orders:
        return {}
    shop = this_shop()
    sums = sums_of(orders, on=shop_day(at, shop), shop=shop)
    past = {pk for pk, of_order in sums.items() if of_order.past_limit}
    words = _("a yes: the order comes to more than was agreed")
    return {job.pk: [WaitLine(words)] for job in going if job.order_id in past}


waiting.register(past_limit)

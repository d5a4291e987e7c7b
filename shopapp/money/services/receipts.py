"""The receipt of what was taken in: issued when asked for, and anew only where what it says has changed."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.money import receipt_figures
from shopapp.money.queries import shop_day
from shopapp.orders.models import Job, WorkOrder
from shopapp.orders.queries import order_jobs
from shopapp.orders.services.locking import lock_order
from shopapp.papers import canonical
from shopapp.papers import services as papers
from shopapp.papers.models import Paper
from shopapp.shop.queries import this_shop
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


def issue_receipt(
    *, order: WorkOrder, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Paper:
    """Freeze the receipt of an order's intake, in the customer's language; while nothing changed, give the last one.

    A further one says that it takes the place of the one before.
    """
    with acts.doing("issue_receipt", call=call, by=by, at=at, within=within) as act:
        lock_order(order)
        # Read behind the lock: of two at once the second finds the first one's paper.
        order = WorkOrder.objects.select_related("customer", "vehicle", "terms", "received_by").get(
            pk=order.pk
        )
        shop = this_shop()
        if shop is None:
            raise Refused(_("The shop's details are not entered yet. The owner enters them first."))
        jobs = [job for job in order_jobs(order) if job.state != Job.State.VOID]
        if not jobs:
            raise Refused(_("Every job of this order is void: there is nothing to give a receipt for."))
        language = order.customer.language or "en"
        found = receipt_figures.figures(order, jobs, shop, on=shop_day(at, shop), language=language)
        same = Paper.objects.filter(kind=receipt_figures.KIND, subject_kind="order", subject_id=str(order.pk))
        paper = same.order_by("-number").first()
        if paper is None or (paper.language, paper.figures_hash) != (language, canonical.figures_hash(found)):
            paper = papers.issue_paper(
                kind=receipt_figures.KIND, subject_kind="order", subject_id=order.pk, figures=found, act=act,
                at=at, language=language,
            )  # fmt: skip
        act.about("order", order.pk)
        act.result = {"order": order.pk, "number": order.number, "paper": str(paper.pk)}
        return paper

"""Taking back what was never begun: a job, or a whole order, is void. What is begun is closed at the bench instead."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.orders.models import Job, OrderLine, WorkOrder
from shopapp.orders.services.changing import keep_remark, order_name
from shopapp.orders.services.locking import lock_order
from shopapp.orders.services.staying import back_from
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


def void_job(*, job: Job, why: str, by: Person, at: datetime, call: Call, within: Doing | None = None) -> Job:
    """Void a job that nobody has begun, saying why; its lines that are not invoiced go with it."""
    with acts.doing("void_job", call=call, by=by, at=at, within=within) as act:
        order = lock_order(job.order, changes=True)
        _need_why(why)
        act.changed.append({"field": "job", "old": str(job.number), "new": Job.State.VOID.value})
        gone = _void(order, job.pk, act)
        act.changed.append({"field": "why"})
        keep_remark(order, act, why)
        if within is None:
            act.about("order", order.pk)
            act.result = {"order": order.pk, "number": order.number, "job": job.pk}
        return gone


def void_order(
    *, order: WorkOrder, why: str, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> WorkOrder:
    """Void an order of which nothing is begun, issued, invoiced or paid, saying why: all its jobs and lines."""
    with acts.doing("void_order", call=call, by=by, at=at, within=within) as act:
        order = lock_order(order, changes=True)
        _need_why(why)
        _refuse_money(order)
        left = list(order.jobs.exclude(state=Job.State.VOID).order_by("number").values_list("pk", flat=True))
        if not left:
            raise Refused(_("%s is void already.") % order_name(order))
        for pk in left:
            _void(order, pk, act)
        OrderLine.objects.filter(order=order, invoiced=False).delete()
        act.changed.append({"field": "order", "new": Job.State.VOID.value})
        act.changed.append({"field": "why"})
        keep_remark(order, act, why)
        if within is None:
            act.about("order", order.pk)
            act.result = {"order": order.pk, "number": order.number, "jobs": left}
        return order


def _need_why(why: str) -> None:
    if not why.strip():
        raise Refused(_("Say why this is void: it stands in the order's history."), field="why")


def _refuse_money(order: WorkOrder) -> None:
    if order.invoices.exists():
        raise Refused(_("%s has an invoice: it cannot be void.") % order_name(order))
    held = sum(order.payments.values_list("amount", flat=True), Decimal(0))
    if held:
        raise Refused(_("A deposit is held for %s. Pay it back first.") % order_name(order))


def _void(order: WorkOrder, pk: int, act: Doing) -> Job:
    """Void one job by a conditional UPDATE; under its row lock look once more for what was begun."""
    planned = Job.objects.filter(pk=pk, order=order, state=Job.State.PLANNED, is_open=True)
    hit = planned.update(state=Job.State.VOID, is_open=False, revision=F("revision") + 1)
    job = Job.objects.select_related("damper").get(pk=pk)
    refused = _why_not(job, bool(hit))
    if refused:
        raise Refused(refused % {"job": f"{order.number}/{job.number}", "damper": str(job.damper)})
    job.lines.filter(invoiced=False).delete()
    back_from(job, act)
    return job


def _why_not(job: Job, hit: bool) -> str:
    if not hit and job.state == Job.State.VOID:
        return _("Job %(job)s (%(damper)s) is void already.")
    if job.lines.filter(invoiced=True).exists():
        return _("Job %(job)s (%(damper)s) is invoiced: it cannot be void.")
    if job.stock_moves.exists():
        return _(
            "Stock is issued to job %(job)s (%(damper)s): it is closed at the bench, saying how it ends."
        )
    if not hit or job.entries.exists():
        return _(
            "Work on job %(job)s (%(damper)s) is begun: it is closed at the bench, for example as returned unrepaired."
        )
    return ""

"""Changing one job, or taking one more damper into an order, while the order runs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from django.db.models import F, Max
from django.utils.translation import gettext as _

from shopapp.dampers import services as dampers
from shopapp.orders.models import Job, OrderLine, WorkOrder, WorkType
from shopapp.orders.second_person import asks_for_second_person
from shopapp.orders.services.changing import keep_reason, need_reason
from shopapp.orders.services.locking import lock_order
from shopapp.orders.services.receiving import DamperIn, add_job, line_words, procedure_for
from shopapp.orders.services.taking_in import DamperRow, Taking, damper_in
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


@dataclass(frozen=True, slots=True)
class JobAsked:
    """What is asked of one damper: the work, where it sits, how it came, what is wished."""

    work_type: WorkType
    place: str = ""
    place_number: int = 1
    condition: str = ""
    wish: str = ""


def change_job(
    *,
    job: Job,
    revision: int,
    asked: JobAsked,
    who: str = "",
    why: str = "",
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Job:
    """Change what is asked of one damper; once work on the order has started with who asked for it and why.

    Another kind of work is another procedure and another price: it is refused once work on this damper has started.
    """
    with acts.doing("change_job", call=call, by=by, at=at, within=within) as act:
        order = WorkOrder.objects.get(pk=job.order_id)
        need_reason(order, who, why)
        acts.raise_revision(job, revision, what=_("Job %s") % f"{order.number}/{job.number}")
        if not job.is_open:
            raise Refused(_("This damper is not here any more: nothing of its job can be changed."))
        if asked.work_type.pk != job.work_type_id:
            _change_work(job, order, act, asked.work_type)
        moved = (asked.place, asked.place_number) != (job.place, job.place_number)
        act.change(
            "place", _said_place(job.place, job.place_number), _said_place(asked.place, asked.place_number)
        )
        act.change("condition", job.condition, asked.condition.strip(), personal=True)
        act.change("wish", job.wish, asked.wish.strip(), personal=True)
        job.place, job.place_number = asked.place, asked.place_number
        job.condition, job.wish = asked.condition.strip(), asked.wish.strip()
        job.save(update_fields=["place", "place_number", "condition", "wish"])
        if moved and asked.place and order.vehicle is not None:
            dampers.fit_damper(
                damper=job.damper, vehicle=order.vehicle, place=asked.place, number=asked.place_number,
                by=by, at=at, call=call, within=act,
            )  # fmt: skip
        keep_reason(order, act, who, why)
        act.about("order", order.pk)
        act.result = {"order": order.pk, "number": order.number, "job": job.pk}
        return job


def _said_place(place: str, number: int) -> str:
    """Write a place with its number, where it is not the first there."""
    return f"{place} {number}" if place and number > 1 else place


def _change_work(job: Job, order: WorkOrder, act: Doing, work_type: WorkType) -> None:
    """Give a job another kind of work, as if it had been received for it; a conditional UPDATE finds what is begun."""
    row = DamperIn(
        damper=job.damper, work_type=work_type, comeback_of=job.comeback_of, under_warranty=job.under_warranty
    )
    second = asks_for_second_person(order=order.number, job=job.number, every=work_type.second_person_every)
    planned = Job.objects.filter(pk=job.pk, state=Job.State.PLANNED, is_open=True)
    hit = planned.update(work_type=work_type, procedure=procedure_for(row), second_person=second)
    if hit != 1 or job.entries.exists() or job.stock_moves.exists():
        raise Refused(
            _(
                "Work on this damper has started. Close the job at the bench, saying how it ends, and take the damper "
                "in again for the other work."
            ),
            field="work_type",
        )
    act.change("work_type", job.work_type.name, work_type.name)
    job.work_type = work_type
    job.refresh_from_db(fields=["procedure", "second_person"])
    price = Decimal(0) if job.under_warranty else work_type.price
    lines = OrderLine.objects.filter(job=job, comes_from=OrderLine.From.WORK_TYPE)
    if lines.filter(invoiced=True).exists():
        raise Refused(_("This work is invoiced already: it stays as it is."), field="work_type")
    lines.update(
        what=line_words(row), price=price, tax_category=work_type.tax_category, revision=F("revision") + 1
    )


def take_in_damper(
    *,
    order: WorkOrder,
    row: DamperRow,
    changed_hands: bool = False,
    who: str = "",
    why: str = "",
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Job:
    """Take one more damper into an order of which something is still here; once work has started with who and why."""
    with acts.doing("take_in_damper", call=call, by=by, at=at, within=within) as act:
        need_reason(order, who, why)
        order = lock_order(order, changes=True)
        if not order.jobs.filter(is_open=True).exists():
            raise Refused(_("Nothing of this order is here any more. Make a new order for the damper."))
        taking = Taking(by=by, at=at, call=call, within=act)
        there = order.jobs.filter(place=row.place).exclude(state=Job.State.VOID).count()
        row = replace(row, place_number=there + 1) if row.place else row
        received = damper_in(row, order.customer, order.vehicle, changed_hands, taking)
        last = order.jobs.aggregate(last=Max("number"))["last"] or 0
        job = add_job(order, last + 1, received, act)
        act.changed.append({"field": "job", "new": str(job.number)})
        keep_reason(order, act, who, why)
        act.about("order", order.pk)
        act.result = {"order": order.pk, "number": order.number, "job": job.pk}
        return job

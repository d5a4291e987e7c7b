"""Changing an order while it runs: the agreement, who does a job, its lines, the customer's yes or no."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING
from uuid import UUID

from django.utils.translation import gettext as _

from shopapp.customers.services import hold_unerased
from shopapp.orders.models import Bay, Job, OrderLine, Remark, WorkConsent, WorkOrder
from shopapp.orders.queries import ASSIGNABLE, begun
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person
    from shopapp.stock.models import StockMove

LONGEST_REMARK = 300


def order_name(order: WorkOrder) -> str:
    """Name an order in a sentence."""
    return _("Order %s") % order.number


@dataclass(frozen=True, slots=True)
class Way:
    """How an order came and how it leaves; `comes_carrier` and `leaves_carrier` in words, with a number."""

    comes_by: str
    comes_carrier: str
    leaves_by: str
    leaves_carrier: str


def change_order(
    *,
    order: WorkOrder,
    revision: int,
    promised: datetime | None,
    limit_gross: Decimal | None,
    complaint: str,
    way: Way | None = None,
    why: str = "",
    who: str = "",
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> WorkOrder:
    """Change what was agreed: the promise, the limit, the complaint, the way it comes and leaves (None: as it was).

    Once work has started it says `who` asked for it and `why`. A limit only goes down here: a higher one, or none, is
    the customer's word, which `record_work_consent` keeps.
    """
    with acts.doing("change_order", call=call, by=by, at=at, within=within) as act:
        need_reason(order, who, why)
        hold_unerased(
            order.customer_id, _("Who this order was for is erased: what was agreed stays as it is.")
        )
        acts.raise_revision(order, revision, what=order_name(order), about="order")
        _refuse_higher(order.limit_gross, limit_gross)
        act.change("promised", order.promised, promised)
        act.change("limit_gross", order.limit_gross, limit_gross)
        act.change("complaint", order.complaint, complaint.strip(), personal=True)
        order.promised, order.limit_gross, order.complaint = promised, limit_gross, complaint.strip()
        if way is not None:
            _change_way(order, act, way)
        order.save(
            update_fields=[
                "promised", "limit_gross", "complaint", "comes_by", "comes_carrier", "leaves_by", "leaves_carrier",
            ]
        )  # fmt: skip
        keep_reason(order, act, who, why)
        _name(act, order)
        return order


def _change_way(order: WorkOrder, act: Doing, way: Way) -> None:
    """Carriers are free words that may name people: the act keeps that they changed, not what they say."""
    came, leaves = way.comes_carrier.strip(), way.leaves_carrier.strip()
    act.change("comes_by", order.comes_by, way.comes_by)
    act.change("comes_carrier", order.comes_carrier, came, personal=True)
    act.change("leaves_by", order.leaves_by, way.leaves_by)
    act.change("leaves_carrier", order.leaves_carrier, leaves, personal=True)
    order.comes_by, order.comes_carrier = way.comes_by, came
    order.leaves_by, order.leaves_carrier = way.leaves_by, leaves


def need_reason(order: WorkOrder, who: str, why: str) -> None:
    """Refuse a change without who asked for it and why, once work has started."""
    if who.strip() and why.strip():
        return
    if begun(order):
        field = "why" if who.strip() else "who"
        raise Refused(
            _("Work on this order has started: say who asked for the change, and why."), field=field
        )


def keep_reason(order: WorkOrder, act: Doing, who: str, why: str) -> None:
    """Keep who asked for a change and why, where it was said."""
    who, why = who.strip(), why.strip()
    if who or why:
        act.changed.append({"field": "why"})
        both = _("%(why)s (asked for by %(who)s)") % {"why": why, "who": who} if who and why else who or why
        keep_remark(order, act, both)


def keep_remark(order: WorkOrder, act: Doing, words: str) -> Remark:
    """Keep what was said with an act apart from it: free words may name people, and an act stays for ever."""
    return Remark.objects.create(order=order, act_id=act.id, words=words.strip()[:LONGEST_REMARK])


def _refuse_higher(now: Decimal | None, asked: Decimal | None) -> None:
    if now is None or (asked is not None and asked <= now):
        return
    raise Refused(
        _(
            "Only the customer raises or lifts the limit. Ask, and record it on the order's page under "
            "“The customer’s answer to a new limit”."
        ),
        field="limit_gross",
    )


def _name(act: Doing, order: WorkOrder) -> None:
    act.about("order", order.pk)
    act.result = {"order": order.pk, "number": order.number}


def record_work_consent(
    *,
    order: WorkOrder,
    about: str = "limit",
    about_id: str = "",
    yes: bool,
    who: str,
    how: str,
    amount: Decimal | None = None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> WorkConsent:
    """Record a customer's yes or no: who said it, how, to what amount. A yes to a limit sets the order's limit."""
    with acts.doing("record_work_consent", call=call, by=by, at=at, within=within) as act:
        if not who.strip() or not how.strip():
            field = "how" if who.strip() else "who"
            raise Refused(_("Say who answered and how, for example: N. Castellan, by phone."), field=field)
        new_limit = about == "limit" and yes
        if new_limit and amount is None:
            raise Refused(_("Say up to what amount, tax included, the yes goes."), field="amount")
        consent = WorkConsent.objects.create(
            order=order, about=about, about_id=about_id, yes=yes, who=who.strip(), how=how.strip(), at=at,
            amount=amount, taken_by=by, act_id=act.id,
        )  # fmt: skip
        if new_limit:
            acts.raise_revision(order, None, what=order_name(order), about="order")
            act.change("limit_gross", order.limit_gross, amount)
            order.limit_gross = amount
            order.save(update_fields=["limit_gross"])
        if within is None:
            _name(act, order)
        return consent


def assign_job(
    *,
    job: Job,
    technician: Person | None,
    bay: Bay | None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Job:
    """Give a job to a technician and a bay, or take it from them; a stopped or closed job stays as it is."""
    with acts.doing("assign_job", call=call, by=by, at=at, within=within) as act:
        if technician is not None and "technician" not in technician.roles:
            raise Refused(
                _("%s is not a technician. Choose one of the list.") % technician, field="technician"
            )
        open_job = Job.objects.filter(pk=job.pk, state__in=ASSIGNABLE)
        if open_job.update(technician=technician, bay=bay) != 1:
            raise Refused(_("This job is stopped or closed: nobody works on it any more."))
        acts.raise_revision(job, None, what=_("Job %s") % f"{job.order.number}/{job.number}")
        act.change("technician", job.technician_id, technician.pk if technician else None)
        act.change("bay", job.bay_id, bay.pk if bay else None)
        job.technician, job.bay = technician, bay
        if within is None:
            _name(act, job.order)
            act.result["job"] = job.pk
        return job


def add_order_line(
    *,
    order: WorkOrder,
    job: Job | None,
    what: str,
    quantity: Decimal,
    unit: str = "piece",
    price: Decimal,
    tax_category: str = "S",
    comes_from: str = "hand",
    move: StockMove | None = None,
    entry_id: UUID | None = None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> OrderLine:
    """Add a line that the order will bill; `price` is for one unit, without tax."""
    with acts.doing("add_order_line", call=call, by=by, at=at, within=within) as act:
        if not what.strip():
            raise Refused(_("Say what the line is for."), field="what")
        if quantity == 0:
            raise Refused(_("A line has a quantity."), field="quantity")
        if job is not None and job.order_id != order.pk:
            raise Refused(_("This job belongs to another order."), field="job")
        if comes_from == OrderLine.From.HAND:
            # What the bench recorded is a fact, and is stored whoever is erased since.
            hold_unerased(
                order.customer_id,
                _(
                    "Who this order was for is erased: no line is added to it. Make a new order for a new customer."
                ),
            )
        line = OrderLine.objects.create(
            order=order, job=job, what=what.strip(), quantity=quantity, unit=unit, price=price,
            tax_category=tax_category, comes_from=comes_from, move=move, entry_id=entry_id,
        )  # fmt: skip
        if within is None:
            act.changed.append({"field": "line"})
            keep_remark(order, act, line.what)
            _name(act, order)
            act.result["line"] = line.pk
        return line


def remove_order_line(
    *,
    order: WorkOrder,
    line: OrderLine | None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> None:
    """Take a line off an order; what is invoiced stays. A line that is gone already (None) is refused."""
    with acts.doing("remove_order_line", call=call, by=by, at=at, within=within) as act:
        gone = 0
        if line is not None and line.comes_from == OrderLine.From.FINDING and not line.invoiced:
            raise Refused(
                _(
                    "This line was agreed for a finding: take the answer back at the finding, and the line goes."
                )
            )
        if line is not None:
            gone, _tables = OrderLine.objects.filter(pk=line.pk, order=order, invoiced=False).delete()
        if line is None or not gone:
            raise Refused(_("This line is invoiced or was removed already. Load the order again."))
        act.changed.append({"field": "line"})
        keep_remark(order, act, f"{line.quantity.normalize():f} {line.unit} {line.what}")
        if within is None:
            _name(act, order)

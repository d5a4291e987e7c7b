"""What the desk does with a finding: its price, the customer's answer, an answer taken back."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.bench.models import Finding
from shopapp.bench.queries.findings import finding_of, standing_consent
from shopapp.orders import services as orders
from shopapp.orders.models import Job, OrderLine, WorkOrder
from shopapp.orders.services.changing import keep_remark
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person

OFFICE_ROLES = frozenset({"desk", "owner"})


def price_finding(
    *,
    finding: Finding,
    revision: int,
    what: str,
    price: Decimal,
    tax_category: str,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Finding:
    """Say what putting a finding right would cost (without tax), in the desk's words, before the customer is asked."""
    with acts.doing("price_finding", call=call, by=by, at=at, within=within) as act:
        _refuse_others(by)
        order, finding = _locked(finding)
        _refuse_over(finding)
        if finding.answer:
            raise Refused(_("The customer has answered to this price. Take the answer back first."))
        if not what.strip():
            raise Refused(_("Say what is done for the price."), field="what")
        if price < 0:
            raise Refused(_("A price is zero or more."), field="price")
        acts.raise_revision(finding, revision, what=_("Finding %s") % finding.number)
        act.change("price", finding.price, price)
        finding.what, finding.price, finding.tax_category = what.strip(), price, tax_category
        finding.save(update_fields=["what", "price", "tax_category"])
        _name(act, order, finding)
        return finding


def answer_finding(
    *,
    finding: Finding,
    yes: bool,
    who: str,
    how: str,
    when: datetime | None = None,
    amount: Decimal | None = None,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Finding:
    """Record the customer's answer to a finding: who, how, when, and to what amount the whole order may come with it.

    A yes makes the order's line that names the finding, and raises a limit that is lower than the amount. Of two
    answers at once one stands. An answer to a corrected finding takes the place of the one before the correction.
    """
    with acts.doing("answer_finding", call=call, by=by, at=at, within=within) as act:
        _refuse_others(by)
        order, finding = _locked(finding)
        _refuse_over(finding)
        _refuse_moment(order, when, at)
        if yes:
            _refuse_unfit_yes(order, finding, amount)
        hit = Finding.objects.filter(pk=finding.pk, answer="").update(
            answer="yes" if yes else "no", revision=F("revision") + 1
        )
        if hit != 1:
            raise Refused(_answered(finding))
        finding.answer = "yes" if yes else "no"
        std: dict[str, Any] = {"by": by, "call": call, "within": act}
        consent = orders.record_work_consent(
            order=order, about="finding", about_id=str(finding.entry_id), yes=yes, who=who, how=how,
            amount=amount, at=when or at, **std,
        )  # fmt: skip
        _drop_lines_before(finding)
        _name(act, order, finding)
        act.changed.append({"field": "finding", "old": "", "new": f"{finding.number}: {finding.answer}"})
        act.result["consent"] = consent.pk
        if yes:
            line = orders.add_order_line(
                order=order, job=finding.job, what=finding.what, quantity=Decimal(1),
                price=finding.price or Decimal(0), tax_category=finding.tax_category, comes_from="finding",
                entry_id=finding.entry_id, at=at, **std,
            )  # fmt: skip
            act.result["line"] = line.pk
            _raise_limit(order, amount, act)
        return finding


def take_back_answer(
    *, finding: Finding, why: str, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Finding:
    """Take the customer's answer back, saying why: its line goes while it is not invoiced; a limit it raised falls."""
    with acts.doing("take_back_answer", call=call, by=by, at=at, within=within) as act:
        _refuse_others(by)
        order, finding = _locked(finding)
        if not why.strip():
            raise Refused(_("Say why the answer is taken back."), field="why")
        _refuse_over(finding)
        consent = standing_consent(finding)
        if not finding.answer or consent is None:
            raise Refused(_("There is no answer to take back any more. Load the order again."))
        if finding.put_right_id is not None:
            raise Refused(_("Finding %s is put right already: its answer stays.") % finding.number)
        if OrderLine.objects.filter(entry_id=finding.entry_id, invoiced=True).exists():
            raise Refused(_("What was agreed for finding %s is invoiced: it stays.") % finding.number)
        act.takes_back = consent.act
        Finding.objects.filter(pk=finding.pk).update(answer="", revision=F("revision") + 1)
        act.changed.append(
            {"field": "finding", "old": f"{finding.number}: {finding.answer}", "new": str(finding.number)}
        )
        OrderLine.objects.filter(entry_id=finding.entry_id, invoiced=False).delete()
        _lower_limit(order, consent.act.result, consent.amount, act)
        keep_remark(order, act, why)
        _name(act, order, finding)
        finding.answer = ""
        return finding


def _refuse_others(by: Person) -> None:
    if not OFFICE_ROLES & by.roles:
        raise Refused(_("Only the front desk and the owner price findings and record answers."))


def _locked(finding: Finding) -> tuple[WorkOrder, Finding]:
    """Take the row locks of order and job, in this order, so that invoices, entries and answers go one by one."""
    job_id, order_id = finding.job_id, finding.job.order_id
    WorkOrder.objects.filter(pk=order_id).update(revision=F("revision") + 1)
    Job.objects.filter(pk=job_id).update(revision=F("revision") + 1)
    found = finding_of(finding.pk)
    if found is None:
        raise Refused(_("There is no such finding."))
    return WorkOrder.objects.get(pk=order_id), found


def _refuse_over(finding: Finding) -> None:
    """Refuse what comes too late: a finding that was corrected since, a job that is closed or left the shop."""
    if getattr(finding.entry, "replaced_by", None) is not None:
        raise Refused(_("The technician corrected finding %s since. Look at it again.") % finding.number)
    job = finding.job
    if job.state in (Job.State.DONE, Job.State.VOID) or job.handed_over_at is not None:
        raise Refused(_("Job %s is closed: nothing is agreed for it any more.") % job.number)


def _refuse_moment(order: WorkOrder, when: datetime | None, at: datetime) -> None:
    if when is not None and not order.received_at <= when <= at:
        raise Refused(
            _("The answer came after the order was received and before now. Look at day and hour."),
            field="when",
        )


def _refuse_unfit_yes(order: WorkOrder, finding: Finding, amount: Decimal | None) -> None:
    if finding.price is None or not finding.what:
        raise Refused(_("Give finding %s a price first: a yes is to an amount.") % finding.number)
    if amount is None:
        raise Refused(_("Say up to what amount, tax included, the yes goes."), field="amount")
    if order.limit_gross is not None and amount < order.limit_gross:
        raise Refused(
            _(
                "The order may come to more than that already. Say up to what the whole order may come with it."
            ),
            field="amount",
        )


def _answered(finding: Finding) -> str:
    said = _("yes") if finding.answer == "yes" else _("no")
    words = _("Finding %(number)s is answered already: %(answer)s. Take that back first.")
    return words % {"number": finding.number, "answer": said}


def _drop_lines_before(finding: Finding) -> None:
    """Drop the line of an answer that was given before the finding was corrected, where it is not invoiced."""
    before = Finding.objects.filter(job=finding.job_id, number=finding.number).exclude(pk=finding.pk)
    OrderLine.objects.filter(entry_id__in=before.values("entry_id"), invoiced=False).delete()


def _raise_limit(order: WorkOrder, amount: Decimal | None, act: Doing) -> None:
    if order.limit_gross is None or amount is None or amount <= order.limit_gross:
        return
    act.change("limit_gross", order.limit_gross, amount)
    act.result["limit_before"] = str(order.limit_gross)
    WorkOrder.objects.filter(pk=order.pk).update(limit_gross=amount)


def _lower_limit(order: WorkOrder, told: dict[str, str], amount: Decimal | None, act: Doing) -> None:
    """Give the limit back that the answer raised, unless another was agreed since."""
    if "limit_before" not in told or order.limit_gross != amount:
        return
    before = Decimal(told["limit_before"])
    act.change("limit_gross", order.limit_gross, before)
    WorkOrder.objects.filter(pk=order.pk).update(limit_gross=before)


def _name(act: Doing, order: WorkOrder, finding: Finding) -> None:
    act.about("order", order.pk)
    act.result |= {"order": order.pk, "number": order.number, "job": finding.job_id, "finding": finding.pk}

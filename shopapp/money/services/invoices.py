"""Issuing an invoice: lines claimed once, totals by the calculations, figures frozen into a paper."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.calc import money
from shopapp.money import invoice_figures
from shopapp.money.amounts import places_of, shown
from shopapp.money.models import Invoice, InvoiceLine, TaxRate
from shopapp.money.queries import line_amount, rates_for, shop_day
from shopapp.money.services.endings import allowance_of, chosen_jobs, ending_of, note, worded
from shopapp.orders.models import Job, OrderLine, WorkOrder
from shopapp.orders.services.locking import lock_order
from shopapp.papers import services as papers
from shopapp.shop.models import Shop
from shopapp.shop.queries import this_shop
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.shop.services.counters import next_number
from shopapp.shop.services.search_terms import keep_terms
from shopapp.shop.services.the_shop import hold_currency

if TYPE_CHECKING:
    from shopapp.people.models import Person

SERIES = "I"
FIRST_NUMBER = 1001
MOST_LINES = 500


@dataclass(frozen=True)
class _Billed:
    """One line with its net amount, what is let off it, its rate, and what was decided of its job's end."""

    line: OrderLine
    net: Decimal
    rate: TaxRate
    allowance: Decimal = Decimal(0)
    ending: str = ""


def issue_invoice(
    *,
    order: WorkOrder,
    jobs: Iterable[Job] | None = None,
    endings: Mapping[int, str] | None = None,
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Invoice:
    """Issue an invoice over what is not invoiced yet of closed jobs (all of them, or the chosen) and of the order.

    `endings` says of each job that ended otherwise than done (by its id) whether it is charged; without a word it is
    refused. Past the agreed limit it is refused with the amounts. The number is the next without a gap; the paper's
    file is made afterwards.
    """
    with acts.doing("issue_invoice", call=call, by=by, at=at, within=within) as act:
        lock_order(order)
        shop = _set_up_shop()
        places = places_of(shop.currency)
        day = shop_day(at, shop)
        lines = _claim(order, _chosen(order, jobs, endings or {}, act))
        rates = rates_for(order.customer, {line.tax_category for line in lines}, day)
        billed = _billed(lines, rates, places, day.isoformat(), endings or {})
        basis: money.TaxBasis = "line" if shop.tax_basis == "line" else "rate"
        totals = money.totals([(b.net, b.rate.rate) for b in billed], tax_basis=basis, places=places)
        _hold_limit(order, totals.gross, shop)
        invoice = Invoice.objects.create(
            series=SERIES,
            number=next_number("invoice", start=FIRST_NUMBER),
            order=order,
            issued_on=day,
            issued_at=at,
            due_on=day + timedelta(days=shop.payment_days),
            currency=shop.currency,
            tax_basis=basis,
            buyer=invoice_figures.buyer(order.customer),
            seller=invoice_figures.seller(shop),
            net=totals.net,
            tax=totals.tax,
            gross=totals.gross,
            tax_by_rate=invoice_figures.tax_rows(totals),
            act_id=act.id,
        )
        _write_lines(invoice, billed, order.customer.language)
        _finish(invoice, billed, shop, act, at)
        return invoice


def _set_up_shop() -> Shop:
    shop = this_shop()
    if shop is None:
        raise Refused(_("The shop's details are not entered yet. The owner enters them first."))
    hold_currency(shop)
    return shop


def _chosen(order: WorkOrder, jobs: Iterable[Job] | None, endings: Mapping[int, str], act: Doing) -> set[int]:
    """Give the ids of the jobs to invoice: all closed ones, or the chosen, of which each must be closed."""
    of_order = {job.pk: job for job in Job.objects.filter(order=order)}
    if jobs is None:
        open_lines = OrderLine.objects.filter(order=order, invoiced=False)
        asked = set(open_lines.filter(job__state=Job.State.DONE).values_list("job_id", flat=True))
    else:
        asked = {job.pk for job in jobs}
    if asked - of_order.keys():
        raise Refused(_("A job of another order cannot stand on this invoice."), field="jobs")
    chosen = chosen_jobs(of_order, asked, endings)
    for pk in sorted(chosen):
        if of_order[pk].state != Job.State.DONE:
            words = _("Job %(job)s is not done. Only done jobs are invoiced: close it at the bench first.")
            raise Refused(words % {"job": f"{order.number}/{of_order[pk].number}"}, field="jobs")
    note(act, of_order, endings)
    return chosen


def _claim(order: WorkOrder, jobs: set[int]) -> list[OrderLine]:
    """Mark the lines as invoiced, each by a conditional UPDATE, and give them as they stand then.

    Where somebody else takes one at the same moment, this whole invoice is refused and nothing stays marked.
    """
    rows = OrderLine.objects.filter(order=order)
    wanted = [
        line.pk
        for line in rows.filter(invoiced=False).order_by("pk")
        if line.job_id is None or line.job_id in jobs
    ]
    if not wanted:
        raise Refused(_("There is nothing to invoice: no done job or other line of this order is open."))
    if len(wanted) > MOST_LINES:
        raise Refused(_("This is more than %d lines. Choose some of the jobs.") % MOST_LINES, field="jobs")
    for pk in wanted:
        if rows.filter(pk=pk, invoiced=False).update(invoiced=True, revision=F("revision") + 1) != 1:
            raise Refused(
                _("Another invoice of this order was issued at the same moment. Look at the order.")
            )
    return list(rows.filter(pk__in=wanted).select_related("job", "job__damper").order_by("job__number", "pk"))


def _billed(
    lines: list[OrderLine], rates: dict[str, TaxRate], places: int, day: str, endings: Mapping[int, str]
) -> list[_Billed]:
    found = []
    for line in lines:
        if line.tax_category not in rates:
            words = _(
                "There is no tax rate for category %(category)s on %(day)s. The owner enters it under tax rates."
            )
            raise Refused(words % {"category": line.tax_category, "day": day})
        whole, ending = line_amount(line, places), ending_of(line, endings)
        less = allowance_of(whole, ending)
        found.append(_Billed(line, whole - less, rates[line.tax_category], less, ending))
    return found


def _hold_limit(order: WorkOrder, gross: Decimal, shop: Shop) -> None:
    """Refuse what goes past the limit that the customer agreed to, invoices of before counted."""
    limit = WorkOrder.objects.values_list("limit_gross", flat=True).get(pk=order.pk)
    before = sum(Invoice.objects.filter(order=order).values_list("gross", flat=True), Decimal(0))
    whole = before + gross
    if limit is None or whole <= limit:
        return
    words = _(
        "This comes to %(whole)s, and the customer agreed to %(limit)s at most: %(over)s too much. Ask the customer, "
        "and note the yes to the new amount on the order, or take lines off."
    )
    amounts = {"whole": whole, "limit": limit, "over": whole - limit}
    raise Refused(words % {name: shown(amount, shop.currency) for name, amount in amounts.items()})


def _write_lines(invoice: Invoice, billed: list[_Billed], language: str) -> None:
    InvoiceLine.objects.bulk_create(
        InvoiceLine(
            invoice=invoice,
            number=number,
            order_line=b.line,
            job=b.line.job,
            what=worded(b.line, b.ending, language),
            quantity=b.line.quantity,
            unit=b.line.unit,
            price=b.line.price,
            allowance=b.allowance,
            tax_category=b.rate.category,
            rate=b.rate.rate,
            net=b.net,
        )
        for number, b in enumerate(billed, start=1)
    )


def terms_of(invoice: Invoice) -> list[tuple[str, str, int]]:
    """Give by what an invoice is found: its number, with its series and bare."""
    return [("invoice", str(invoice), 5), ("invoice", str(invoice.number), 4)]


def _finish(invoice: Invoice, billed: list[_Billed], shop: Shop, act: Doing, at: datetime) -> None:
    """Freeze the paper, make the invoice findable, say what the act was about."""
    customer = invoice.order.customer
    names = {b.rate.rate: b.rate.name for b in billed}
    figures: dict[str, Any] = invoice_figures.figures(
        invoice, shop, rate_names=names, language=customer.language
    )
    paper = papers.issue_paper(
        kind=invoice_figures.KIND,
        subject_kind="invoice",
        subject_id=invoice.pk,
        figures=figures,
        act=act,
        at=at,
        language=customer.language,
    )
    keep_terms(target_kind="invoice", target_id=invoice.pk, terms=terms_of(invoice))
    act.about("order", invoice.order_id)
    act.result = {"invoice": invoice.pk, "paper": str(paper.pk), "order": invoice.order_id}

"""What pages read of money: rates, invoices, what an order owes."""

from __future__ import annotations

import zoneinfo
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Q, QuerySet
from django.utils import translation
from django.utils.translation import gettext as _

from shopapp.calc import money
from shopapp.customers.models import Customer
from shopapp.money.amounts import places_of
from shopapp.money.models import Invoice, Payment, TaxRate
from shopapp.orders.models import OrderLine, WorkOrder
from shopapp.shop.models import Shop
from shopapp.shop.queries import this_shop
from shopapp.shop.services.search_terms import fold_number

ZERO = Decimal(0)
CHARGE, NO_CHARGE, LATER = "charge", "no charge", "later"
"""What is decided of a job that ended otherwise than done: charged, not charged, not on this invoice."""


def shop_day(at: datetime, shop: Shop | None) -> date:
    """Give the day of a moment in the shop's zone."""
    return at.astimezone(zoneinfo.ZoneInfo(shop.zone if shop else "UTC")).date()


def rates_on(day: date) -> dict[str, TaxRate]:
    """Give the rate of each tax category that holds on a day."""
    return {rate.category: rate for rate in TaxRate.objects.filter(since__lte=day).order_by("since", "pk")}


EXEMPT = "E"


def exemption_words(customer: Customer, day: date) -> str:
    """Say why a customer pays no tax on a day, with the certificate, or "" where tax is charged."""
    until = customer.exemption_until
    if not customer.exemption or (until is not None and until < day):
        return ""
    said = {"reason": customer.exemption, "certificate": customer.exemption_certificate}
    if customer.exemption_certificate:
        return _("Exempt from tax: %(reason)s, certificate %(certificate)s") % said
    return _("Exempt from tax: %(reason)s") % said


def rates_for(customer: Customer, categories: Iterable[str], day: date) -> dict[str, TaxRate]:
    """Give the rate of each category for a customer: those of the day, or 0 % with its words where exempt."""
    with translation.override(customer.language):
        words = exemption_words(customer, day)
    if words:
        nothing = TaxRate(category=EXEMPT, name=words, rate=ZERO, since=day)
        return dict.fromkeys(categories, nothing)
    return rates_on(day)


@dataclass(frozen=True)
class OrderMoney:
    """An order's money, in its currency.

    `net`, `tax` and `gross` are of the whole order: what is invoiced as it was, the rest at the rates of the day.
    `owed` is what of the invoices is not paid yet, `held` what was paid beyond them (a deposit). `without_rate`
    names tax categories of open lines for which there is no rate: their tax is missing from the sums.
    """

    net: Decimal
    tax: Decimal
    gross: Decimal
    invoiced: Decimal
    paid: Decimal
    owed: Decimal
    held: Decimal = ZERO
    limit: Decimal | None = None
    without_rate: tuple[str, ...] = ()

    @property
    def past_limit(self) -> bool:
        """Say whether the order as it stands goes past what was agreed."""
        return self.limit is not None and self.gross > self.limit


def line_amount(line: OrderLine, places: int) -> Decimal:
    """Give an order line's net amount, rounded to the currency."""
    return money.line_net(line.quantity, line.price, places=places)


def order_money(order: WorkOrder, *, on: date) -> OrderMoney:
    """Give an order's money; lines that are not invoiced count at the rates of the day `on`, in the shop's zone."""
    shop = this_shop()
    places = places_of(shop.currency if shop else "USD")
    invoices = list(order.invoices.all())
    sums = _open_lines(order, on, shop, places)
    paid = sum((payment.amount for payment in order.payments.all()), ZERO)
    invoiced = sum((invoice.gross for invoice in invoices), ZERO)
    net = sums[0].net + sum((invoice.net for invoice in invoices), ZERO)
    tax = sums[0].tax + sum((invoice.tax for invoice in invoices), ZERO)
    return OrderMoney(
        net=money.rounded(net, places),
        tax=money.rounded(tax, places),
        gross=money.rounded(net + tax, places),
        invoiced=money.rounded(invoiced, places),
        paid=money.rounded(paid, places),
        owed=money.rounded(max(invoiced - paid, ZERO), places),
        held=money.rounded(max(paid - invoiced, ZERO), places),
        limit=order.limit_gross,
        without_rate=sums[1],
    )


def _open_lines(
    order: WorkOrder, on: date, shop: Shop | None, places: int
) -> tuple[money.Totals, tuple[str, ...]]:
    """Add up the lines that are not invoiced; also name the categories without a rate."""
    lines = [line for line in order.lines.all() if not line.invoiced]
    rates = rates_for(order.customer, {line.tax_category for line in lines}, on)
    missing = sorted({line.tax_category for line in lines} - rates.keys())
    pairs = [
        (line_amount(line, places), rates[line.tax_category].rate if line.tax_category in rates else ZERO)
        for line in lines
    ]
    basis: money.TaxBasis = "line" if shop and shop.tax_basis == "line" else "rate"
    return money.totals(pairs, tax_basis=basis, places=places), tuple(missing)


def invoices(
    text: str = "", *, since: date | None = None, until: date | None = None, unpaid: bool = False
) -> QuerySet[Invoice]:
    """List invoices, newest first; `text` is a number of an invoice or order, or part of a buyer's name."""
    rows = Invoice.objects.select_related("order")
    if text.strip():
        rows = rows.filter(_found(text))
    if since:
        rows = rows.filter(issued_on__gte=since)
    if until:
        rows = rows.filter(issued_on__lte=until)
    if unpaid:
        rows = rows.filter(pk__in=_unpaid_ids())
    return rows.order_by("-issued_on", "-number", "-pk")


def _found(text: str) -> Q:
    digits = fold_number(text).removeprefix("i")
    asked = Q(order__customer__name__icontains=text.strip()[:80])
    if digits.isascii() and digits.isdigit() and len(digits) < 10:
        asked |= Q(number=int(digits)) | Q(order__number=int(digits))
    return asked


def _unpaid_ids() -> list[int]:
    """List the invoices that are not wholly paid; amounts are added in Python, never in SQL."""
    rows = list(Invoice.objects.values_list("pk", "order_id", "gross").order_by("issued_at", "pk"))
    payments = Payment.objects.values_list("invoice_id", "order_id", "amount")
    return [pk for pk, open_ in open_amounts(rows, payments).items() if open_ > 0]


def open_amounts(
    rows: Iterable[tuple[int, int, Decimal]], payments: Iterable[tuple[int | None, int, Decimal]]
) -> dict[int, Decimal]:
    """Give what each invoice still asks: payments that name it, then the order's deposits, oldest invoice first.

    `rows` are (invoice, order, gross) in the order of issue, `payments` (invoice or None, order, amount).
    """
    named: dict[int, Decimal] = {}
    held: dict[int, Decimal] = {}
    for invoice_id, order_id, amount in payments:
        pot, key = (held, order_id) if invoice_id is None else (named, invoice_id)
        pot[key] = pot.get(key, ZERO) + amount
    found: dict[int, Decimal] = {}
    for pk, order_id, gross in rows:
        left = gross - named.get(pk, ZERO)
        used = min(max(left, ZERO), max(held.get(order_id, ZERO), ZERO))
        held[order_id] = held.get(order_id, ZERO) - used
        found[pk] = left - used
    return found


def open_of(orders: Iterable[int]) -> dict[int, Decimal]:
    """Give what each invoice of some orders still asks, in two queries."""
    wanted = set(orders)
    rows = Invoice.objects.filter(order_id__in=wanted).order_by("issued_at", "pk")
    payments = Payment.objects.filter(order_id__in=wanted)
    return open_amounts(
        list(rows.values_list("pk", "order_id", "gross")),
        payments.values_list("invoice_id", "order_id", "amount"),
    )

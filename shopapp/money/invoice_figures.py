"""What an invoice's paper holds: buyer and seller as they were, lines, sums, all worded once and for ever."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.utils import formats, translation
from django.utils.translation import gettext as _

from shopapp.calc import money
from shopapp.customers.models import Contact, Customer
from shopapp.dampers.services import tags
from shopapp.money.amounts import number, shown
from shopapp.money.models import Invoice, InvoiceLine
from shopapp.money.queries import shop_day
from shopapp.papers import kinds
from shopapp.shop.models import Shop

KIND = "invoice"
TEMPLATE = "papers/invoice.html"


def buyer(customer: Customer) -> dict[str, Any]:
    """Copy who pays, as the invoice shall keep it."""
    emails = customer.contacts.filter(kind=Contact.Kind.EMAIL, stopped_at__isnull=True).order_by("pk")
    return buyer_at(customer, emails.values_list("value", flat=True).first() or "")


def buyer_at(customer: Customer, email: str) -> dict[str, Any]:
    """Copy who pays, reached at an e-mail address or "" for none."""
    return {
        "name": customer.name,
        "kind": customer.kind,
        "address": customer.bill_to,
        "tax_id": customer.tax_id,
        "email": email,
        "customer": customer.pk,
    }


def seller(shop: Shop) -> dict[str, Any]:
    """Copy who sells, as the invoice shall keep it."""
    return {
        "name": shop.name,
        "address": shop.address,
        "phone": shop.phone,
        "email": shop.email,
        "tax_number": shop.tax_number,
    }


def tax_rows(totals: money.Totals) -> list[dict[str, str]]:
    """Write the taxes by rate as text, in rising order."""
    return [
        {"rate": str(rate), "taxable": str(taxable), "tax": str(tax)}
        for rate, (taxable, tax) in totals.tax_by_rate.items()
    ]


def figures(invoice: Invoice, shop: Shop, *, rate_names: dict[Decimal, str], language: str) -> dict[str, Any]:
    """Give the paper's figures: amounts as numbers in text and as shown, in the buyer's language."""
    lines = invoice.lines.select_related("job", "job__damper", "job__damper__model").order_by("number")
    return figures_of(
        invoice, shop, list(lines), before=_paid_before(invoice), rate_names=rate_names, language=language
    )


def figures_of(
    invoice: Invoice,
    shop: Shop,
    lines: Sequence[InvoiceLine],
    *,
    before: Decimal,
    rate_names: dict[Decimal, str],
    language: str,
) -> dict[str, Any]:
    """Give the paper's figures of an invoice with these lines, of which `before` was paid when it was issued."""
    with translation.override(language):
        return {
            "number": str(invoice),
            "particulars": _particulars(invoice, language),
            "seller": invoice.seller,
            "buyer": invoice.buyer,
            "order": str(invoice.order.number),
            "vehicle": str(invoice.order.vehicle or ""),
            "issued": _day(invoice.issued_on),
            "due": _day(invoice.due_on),
            "received": _day(shop_day(invoice.order.received_at, shop)),
            "terms": str(invoice.order.terms) if invoice.order.terms else "",
            "currency": invoice.currency,
            "lines": [_line(line, invoice.currency, language) for line in lines],
            "taxes": [_tax(row, rate_names, invoice.currency, language) for row in invoice.tax_by_rate],
            "net": _amount(invoice.net, invoice.currency, language),
            "tax": _amount(invoice.tax, invoice.currency, language),
            "gross": _amount(invoice.gross, invoice.currency, language),
            "basis": _basis(invoice.tax_basis),
            "paid": _paid(invoice, before, language),
            "footer": shop.invoice_footer,
        }


def _day(day: Any) -> str:
    return formats.date_format(day, "j M Y")


def _amount(amount: Decimal, currency: str, language: str) -> dict[str, str]:
    return {"value": str(amount), "shown": shown(amount, currency, language)}


def _basis(basis: str) -> str:
    if basis == "line":
        return _("Tax is worked out and rounded for each line.")
    return _("Tax is worked out on the sum of each rate and rounded once.")


def _line(line: InvoiceLine, currency: str, language: str) -> dict[str, str]:
    job = line.job
    about = ""
    if job is not None:
        place = job.get_place_display() if job.place else ""
        tag = tags.show(job.damper.tag).replace(" ", "\u00a0")  # never broken over two lines
        about = " · ".join(filter(None, [str(job.damper), place, tag]))
    return {
        "number": str(line.number),
        "what": line.what,
        "about": about,
        "quantity": number(line.quantity, language),
        "unit": line.unit,
        "price": shown_price(line.price, currency, language),
        "rate": number(line.rate, language),
        "net": shown(line.net, currency, language),
        "net_value": str(line.net),
    }


def shown_price(price: Decimal, currency: str, language: str) -> str:
    """Write a unit price: to the currency's decimals, or with all it has where it is finer (oil by the 0.1 mL)."""
    plain = shown(price, currency, language)
    if money.rounded(price, 4) == money.rounded(price, 2):
        return plain
    return f"{number(price, language, places=2)} {currency}"


def _tax(row: dict[str, str], names: dict[Decimal, str], currency: str, language: str) -> dict[str, str]:
    rate = Decimal(row["rate"])
    return {
        "name": names.get(rate, ""),
        "rate": number(rate, language),
        "taxable": shown(Decimal(row["taxable"]), currency, language),
        "tax": shown(Decimal(row["tax"]), currency, language),
    }


def _paid_before(invoice: Invoice) -> Decimal:
    """Give what of the order was paid before this invoice and is not used up by earlier ones."""
    payments = sum(invoice.order.payments.values_list("amount", flat=True), Decimal(0))
    earlier = invoice.order.invoices.exclude(pk=invoice.pk).values_list("gross", flat=True)
    return min(max(payments - sum(earlier, Decimal(0)), Decimal(0)), invoice.gross)


def _paid(invoice: Invoice, before: Decimal, language: str) -> dict[str, str]:
    return {
        "value": str(before),
        "shown": shown(-before, invoice.currency, language) if before else "",
        "left": shown(invoice.gross - before, invoice.currency, language),
    }


def _particulars(invoice: Invoice, language: str) -> list[list[str]]:
    """Sum the paper up for its page."""
    rows = [
        [_("Invoice"), str(invoice)],
        [_("Order"), str(invoice.order.number)],
        [_("Buyer"), invoice.buyer["name"]],
        [_("Issued"), _day(invoice.issued_on)],
        [_("To be paid by"), _day(invoice.due_on)],
        [_("Net"), shown(invoice.net, invoice.currency, language)],
        [_("Tax"), shown(invoice.tax, invoice.currency, language)],
        [_("In all"), shown(invoice.gross, invoice.currency, language)],
    ]
    return [row for row in rows if row[1]]


def file_name(figures: dict[str, Any]) -> str:
    """Name the invoice's file: invoice-i1001."""
    return kinds.plain_name("invoice", figures["number"])

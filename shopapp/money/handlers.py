"""What the money subject registers: the invoice and the receipt as papers, and its books."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from django.utils.translation import gettext_lazy as _

from shopapp.calc import money
from shopapp.customers import held
from shopapp.money import erasing, invoice_figures, receipt_figures
from shopapp.money.amounts import places_of
from shopapp.money.models import Invoice, InvoiceLine, Payment
from shopapp.money.services import sending
from shopapp.money.services.invoices import terms_of
from shopapp.orders.models import OrderLine
from shopapp.papers import kinds
from shopapp.papers.models import Paper
from shopapp.shop import books, currency, outbox_kinds
from shopapp.shop.books import Difference
from shopapp.shop.finding import term_differences
from shopapp.shop.models import Counter

TERMS = "search terms of invoices"

kinds.register(
    invoice_figures.KIND,
    title=_("Invoice"),
    template=invoice_figures.TEMPLATE,
    pdf_variant="pdf/a-3a",
    file_name=invoice_figures.file_name,
)
kinds.register(
    receipt_figures.KIND,
    title=_("Receipt of dampers"),
    template=receipt_figures.TEMPLATE,
    pdf_variant="pdf/ua-1",
    file_name=receipt_figures.file_name,
)


def invoices_book() -> Iterator[Difference]:
    """Add up every invoice again from its lines; its number has no gap before it and it has its paper."""
    papers = set(
        Paper.objects.filter(kind=invoice_figures.KIND, subject_kind="invoice").values_list(
            "subject_id", flat=True
        )
    )
    for invoice in Invoice.objects.prefetch_related("lines").order_by("pk").iterator(chunk_size=200):
        yield from _added_up(invoice)
        if str(invoice.pk) not in papers:
            yield Difference("invoices", f"paper of invoice {invoice}", "none", "one")
    yield from _numbers()


def _added_up(invoice: Invoice) -> Iterator[Difference]:
    places = places_of(invoice.currency)
    lines = sorted(invoice.lines.all(), key=lambda line: line.number)
    for line in lines:
        net = money.line_net(line.quantity, line.price, allowance=line.allowance, places=places)
        if line.net != net:
            yield Difference("invoices", f"line {line.number} of invoice {invoice}", line.net, net)
    basis: money.TaxBasis = "line" if invoice.tax_basis == "line" else "rate"
    totals = money.totals([(line.net, line.rate) for line in lines], tax_basis=basis, places=places)
    for name in ("net", "tax", "gross"):
        stored, derived = getattr(invoice, name), getattr(totals, name)
        if stored != derived:
            yield Difference("invoices", f"{name} of invoice {invoice}", stored, derived)
    rows = invoice_figures.tax_rows(totals)
    if _as_numbers(invoice.tax_by_rate) != _as_numbers(rows):
        yield Difference("invoices", f"taxes of invoice {invoice}", invoice.tax_by_rate, rows)


def _as_numbers(rows: list[dict[str, str]]) -> list[dict[str, Decimal]]:
    return [{name: Decimal(value) for name, value in row.items()} for row in rows]


def _numbers() -> Iterator[Difference]:
    """Look for gaps in the numbers of each series, and for a counter that is not at the last one."""
    by_series: dict[str, list[int]] = {}
    for series, number in Invoice.objects.order_by("series", "number").values_list("series", "number"):
        by_series.setdefault(series, []).append(number)
    for series, numbers in by_series.items():
        gaps = sorted(set(range(numbers[0], numbers[-1] + 1)) - set(numbers))
        if gaps:
            yield Difference("invoices", f"numbers of series {series}", "gap", gaps[:10])
    last = Counter.objects.filter(series="invoice").values_list("last", flat=True).first()
    highest = max((numbers[-1] for numbers in by_series.values()), default=None)
    if highest is not None and last != highest:
        yield Difference("invoices", "counter", last, highest)


def order_lines_book() -> Iterator[Difference]:
    """Hold every order line's mark against the invoices: invoiced where a line of one names it, and only there."""
    named = set(
        InvoiceLine.objects.filter(credit=False, order_line__isnull=False).values_list(
            "order_line_id", flat=True
        )
    )
    for pk, invoiced in OrderLine.objects.order_by("pk").values_list("pk", "invoiced"):
        if invoiced != (pk in named):
            yield Difference("order lines", f"order line {pk} invoiced", invoiced, pk in named)


def payments_book() -> Iterator[Difference]:
    """Hold what was paid against what was invoiced and against what was taken back."""
    orders: dict[int, Decimal] = {}
    for payment in Payment.objects.select_related("reverses", "invoice").order_by("pk"):
        orders[payment.order_id] = orders.get(payment.order_id, Decimal(0)) + payment.amount
        origin = payment.reverses
        if origin is not None and (payment.amount, payment.order_id) != (-origin.amount, origin.order_id):
            yield Difference("payments", f"payment {payment.pk} takes back", payment.amount, -origin.amount)
        if origin is None and payment.amount < 0:
            yield Difference("payments", f"payment {payment.pk}", payment.amount, "names what it takes back")
        if payment.invoice is not None and payment.invoice.order_id != payment.order_id:
            yield Difference(
                "payments", f"order of payment {payment.pk}", payment.order_id, payment.invoice.order_id
            )
    for order_id, paid in orders.items():
        if paid < 0:
            yield Difference("payments", f"paid for order {order_id}", paid, "not below nothing")


def invoice_terms() -> Iterator[Difference]:
    """Derive from its number by what each invoice is found."""
    rows = ((row.pk, terms_of(row)) for row in Invoice.objects.order_by("pk"))
    yield from term_differences(TERMS, "invoice", rows)


books.register(TERMS, invoice_terms)
books.register("invoices", invoices_book)
books.register("order lines", order_lines_book)
books.register("payments", payments_book)
currency.register("invoices", Invoice.objects.exists)
currency.register("payments", Payment.objects.exists)
held.register(hinder=erasing.owed)
outbox_kinds.register(sending.KIND, sending.deliver, repeatable=False)

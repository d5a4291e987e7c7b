"""Tax rates, invoices with their lines, payments. Issued invoices and payments are never changed."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shopapp.orders.models import Job, OrderLine, WorkOrder
from shopapp.shop.fields import AppendOnly


class TaxRate(models.Model):
    """The rate of a tax category from a day on, in percent."""

    category = models.CharField(max_length=4)
    name = models.CharField(max_length=60)
    rate = models.DecimalField(max_digits=6, decimal_places=3)
    since = models.DateField()

    class Meta:
        ordering = ["category", "-since"]
        constraints = [
            models.UniqueConstraint(fields=["category", "since"], name="tax_rate_once_a_day"),
            models.CheckConstraint(condition=Q(rate__gte=0) & Q(rate__lte=100), name="tax_rate_in_range"),
        ]

    def __str__(self) -> str:
        return f"{self.category} {self.rate} % from {self.since}"


class Invoice(AppendOnly):
    """An issued invoice or credit note. It exists only from issue on; buyer and seller are copied in."""

    class Kind(models.TextChoices):
        INVOICE = "invoice", _("invoice")
        CREDIT = "credit", _("credit note")

    series = models.CharField(max_length=10, default="I")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=7, choices=Kind, default=Kind.INVOICE)
    corrects = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="corrected_by")
    order = models.ForeignKey(WorkOrder, on_delete=models.PROTECT, related_name="invoices")
    issued_on = models.DateField()
    issued_at = models.DateTimeField()
    due_on = models.DateField()
    currency = models.CharField(max_length=3)
    tax_basis = models.CharField(max_length=4)
    buyer = models.JSONField()
    seller = models.JSONField()
    net = models.DecimalField(max_digits=12, decimal_places=4)
    tax = models.DecimalField(max_digits=12, decimal_places=4)
    gross = models.DecimalField(max_digits=12, decimal_places=4)
    tax_by_rate = models.JSONField()
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="invoices")

    class Meta:
        indexes = [models.Index(fields=["-issued_on", "-number", "-id"], name="invoice_newest")]
        constraints = [
            models.UniqueConstraint(fields=["series", "number"], name="invoice_number_once"),
            models.CheckConstraint(condition=Q(kind__in=["invoice", "credit"]), name="invoice_kind_known"),
            models.CheckConstraint(
                condition=~Q(kind="credit") | Q(corrects__isnull=False), name="credit_note_names_invoice"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.series}{self.number}"


class InvoiceLine(AppendOnly):
    """One line of an issued invoice; an order line is invoiced once."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="lines")
    number = models.PositiveSmallIntegerField()
    order_line = models.ForeignKey(
        OrderLine, null=True, on_delete=models.PROTECT, related_name="invoice_lines"
    )
    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="invoice_lines")
    credit = models.BooleanField(default=False)
    what = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=12, decimal_places=4)
    unit = models.CharField(max_length=12)
    price = models.DecimalField(max_digits=12, decimal_places=4)
    allowance = models.DecimalField(max_digits=12, decimal_places=4, default=0)
    tax_category = models.CharField(max_length=4)
    rate = models.DecimalField(max_digits=6, decimal_places=3)
    net = models.DecimalField(max_digits=12, decimal_places=4)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["invoice", "number"], name="invoice_line_once"),
            models.UniqueConstraint(
                fields=["order_line"],
                condition=Q(credit=False, order_line__isnull=False),
                name="order_line_invoiced_once",
            ),
        ]


class Payment(AppendOnly):
    """Money taken (or given back, negative) for an order; it may name the invoice it pays."""

    class How(models.TextChoices):
        CASH = "cash", _("cash")
        CARD = "card", _("card")
        TRANSFER = "transfer", _("transfer")

    order = models.ForeignKey(WorkOrder, on_delete=models.PROTECT, related_name="payments")
    invoice = models.ForeignKey(Invoice, null=True, on_delete=models.PROTECT, related_name="payments")
    amount = models.DecimalField(max_digits=12, decimal_places=4)
    how = models.CharField(max_length=8, choices=How)
    reference = models.CharField(max_length=80, blank=True, default="")
    reverses = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="reversed_by")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="payments_taken")
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="payments")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(amount=0), name="payment_not_nothing"),
            models.CheckConstraint(
                condition=Q(amount__gt=0) | Q(reverses__isnull=False), name="payment_below_nothing_reverses"
            ),
            models.CheckConstraint(
                condition=Q(how__in=["cash", "card", "transfer"]), name="payment_how_known"
            ),
            models.CheckConstraint(
                condition=Q(reverses__isnull=True) | ~Q(reverses=F("id")), name="payment_not_own_reversal"
            ),
        ]

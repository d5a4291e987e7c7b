"""What money holds about a customer: invoices and payments stay, and an unpaid one keeps its customer."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from shopapp.customers.models import Customer
from shopapp.money.models import Invoice
from shopapp.money.queries import open_of
from shopapp.orders.models import OrderLine, WorkOrder


def owed(customers: Sequence[Customer]) -> str:
    """Say what is not invoiced or not paid yet."""
    orders = list(WorkOrder.objects.filter(customer__in=customers).values_list("pk", flat=True))
    lines = OrderLine.objects.filter(order__in=orders, invoiced=False)
    numbers = sorted(set(lines.values_list("order__number", flat=True)))
    if numbers:
        return _("Order %s is not invoiced whole yet.") % ", ".join(str(number) for number in numbers[:10])
    unpaid = [pk for pk, left in open_of(orders).items() if left > 0]
    if unpaid:
        said = ", ".join(str(row) for row in Invoice.objects.filter(pk__in=unpaid[:10]).order_by("pk"))
        return _("Invoice %s is not paid yet.") % said
    return ""

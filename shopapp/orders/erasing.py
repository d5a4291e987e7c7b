"""What orders hold about a customer: free words and names go, the work that was done stays."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.utils.translation import gettext as _

from shopapp.customers.models import Customer
from shopapp.orders.models import Job, Remark, Stay, WorkOrder


def open_orders(customers: Sequence[Customer]) -> str:
    """Say which orders are still open: their dampers are in the shop."""
    jobs = Job.objects.filter(order__customer__in=customers, is_open=True)
    numbers = sorted(set(jobs.values_list("order__number", flat=True)))
    return _("Order %s is open: hand the dampers over first.") % _join(numbers) if numbers else ""


def _join(numbers: Sequence[int]) -> str:
    return ", ".join(str(number) for number in numbers[:10]) + (" …" if len(numbers) > 10 else "")


def erase_words(customers: Sequence[Customer], _at: datetime) -> None:
    """Take away what was said in free words, and to whom dampers were handed."""
    orders = WorkOrder.objects.filter(customer__in=customers)
    Remark.objects.filter(order__in=orders).delete()
    Job.objects.filter(order__in=orders).update(handed_over_to="", wish="")
    Stay.objects.filter(job__order__in=orders).update(who="", how="", words="")
    orders.update(complaint="", comes_carrier="", leaves_carrier="")

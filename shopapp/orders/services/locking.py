"""One order at a time: what voids, bills, pays, hands over or takes in more of it comes one after another."""

from __future__ import annotations

from django.db.models import F

from shopapp.orders.models import WorkOrder


def lock_order(order: WorkOrder, *, changes: bool = False) -> WorkOrder:
    """Take the order's row lock until the act ends; give the order as it stands under it.

    What `changes` the order raises its revision, so that who read it before is told. A plain UPDATE locks on both
    databases, and waits for nobody's read.
    """
    WorkOrder.objects.filter(pk=order.pk).update(revision=F("revision") + int(changes))
    return WorkOrder.objects.get(pk=order.pk)

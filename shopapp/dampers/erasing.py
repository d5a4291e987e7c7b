"""What dampers hold about a customer: the damper stays, whose it is does not."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.utils import timezone

from shopapp.customers.models import Customer
from shopapp.dampers.models import Ownership


def end_ownership(customers: Sequence[Customer], at: datetime) -> None:
    """Let nobody own what an erased customer owned; the damper's own history stays with its tag."""
    owned = Ownership.objects.filter(customer__in=customers, current=True)
    owned.update(current=False, until=timezone.localdate(at))

"""What the subjects hold about customers: why one cannot be erased yet, and what goes when one is.

A higher subject registers its own from its handlers. Issued papers, invoices, payments, consents to work, signatures
and acts stay: they are the shop's books, and evidence; none of them is written here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from shopapp.customers.models import Customer

Hinder = Callable[[Sequence[Customer]], str]
"""Gives a sentence that says why these entries of one customer must stay for now; "" where nothing does."""
Eraser = Callable[[Sequence[Customer], datetime], None]

HINDERS: list[Hinder] = []
ERASERS: list[Eraser] = []


def register(*, hinder: Hinder | None = None, eraser: Eraser | None = None) -> None:
    """Add what hinders the erasing of a customer, what goes with one, or both."""
    if hinder is not None and hinder not in HINDERS:
        HINDERS.append(hinder)
    if eraser is not None and eraser not in ERASERS:
        ERASERS.append(eraser)


def hindered(customers: Sequence[Customer]) -> list[str]:
    """List the sentences that say why a customer cannot be erased yet."""
    return [words for hinder in HINDERS if (words := hinder(customers))]

"""What the customers subject registers: the books of the terms by which customers and vehicles are found."""

from __future__ import annotations

from collections.abc import Iterator

from shopapp.customers.models import Customer, Vehicle
from shopapp.customers.services import customers, vehicles
from shopapp.shop import books
from shopapp.shop.books import Difference
from shopapp.shop.finding import term_differences

CUSTOMERS = "search terms of customers"
VEHICLES = "search terms of vehicles"


def customer_terms() -> Iterator[Difference]:
    """Derive from names and contacts by what each customer is found."""
    rows = ((row.pk, customers.terms_of(row)) for row in Customer.objects.order_by("pk"))
    yield from term_differences(CUSTOMERS, "customer", rows)


def vehicle_terms() -> Iterator[Difference]:
    """Derive from words, plate and number by what each vehicle is found."""
    rows = ((row.pk, vehicles.terms_of(row)) for row in Vehicle.objects.order_by("pk"))
    yield from term_differences(VEHICLES, "vehicle", rows)


books.register(CUSTOMERS, customer_terms)
books.register(VEHICLES, vehicle_terms)

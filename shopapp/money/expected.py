"""What an order will come to as it is received: the prices of its work and the tax of the day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shopapp.calc import money
from shopapp.customers.models import Customer
from shopapp.money.amounts import places_of
from shopapp.money.queries import ZERO, rates_for, rates_on
from shopapp.orders.models import WorkType
from shopapp.shop.models import Shop


@dataclass(frozen=True, slots=True)
class Price:
    """What the work on one damper comes to, by itself."""

    net: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True)
class Expected:
    """The prices row by row, and the sums of all; `without_rate` names tax categories whose tax is missing."""

    rows: list[Price]
    net: Decimal = ZERO
    tax: Decimal = ZERO
    gross: Decimal = ZERO
    without_rate: tuple[str, ...] = ()


def expected(
    work: Sequence[tuple[WorkType, bool]], *, customer: Customer | None, on: date, shop: Shop | None
) -> Expected:
    """Add up the work on each damper (its kind, and whether it is free under warranty) at the rates of a day.

    The sums are those that the order's lines will have; a customer who is not in the books yet is not exempt.
    """
    places = places_of(shop.currency if shop else "USD")
    basis: money.TaxBasis = "line" if shop and shop.tax_basis == "line" else "rate"
    categories = {kind.tax_category for kind, _free in work}
    rates = rates_on(on) if customer is None else rates_for(customer, categories, on)
    pairs = [
        (
            money.line_net(1, ZERO if free else kind.price, places=places),
            rates[kind.tax_category].rate if kind.tax_category in rates else ZERO,
        )
        for kind, free in work
    ]
    sums = money.totals(pairs, tax_basis=basis, places=places)
    rows = [Price(net, money.totals([(net, rate)], places=places).gross) for net, rate in pairs]
    missing = tuple(sorted(categories - rates.keys()))
    return Expected(rows=rows, net=sums.net, tax=sums.tax, gross=sums.gross, without_rate=missing)

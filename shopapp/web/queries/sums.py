"""What several orders come to at once: the desk's list must not ask order by order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shopapp.calc import money
from shopapp.money.amounts import places_of
from shopapp.money.models import Invoice, Payment
from shopapp.money.queries import exemption_words, line_amount, rates_on
from shopapp.orders.models import OrderLine, WorkOrder
from shopapp.shop.models import Shop

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Sums:
    """An order's money: `gross` of all of it at the rates of the day, what is invoiced, paid, agreed at most."""

    gross: Decimal = ZERO
    invoiced: Decimal = ZERO
    paid: Decimal = ZERO
    limit: Decimal | None = None
    open_lines: int = 0

    @property
    def to_take(self) -> Decimal:
        """Give what is still to be paid for the whole order."""
        return max(self.gross - self.paid, ZERO)

    @property
    def past_limit(self) -> Decimal:
        """Give by how much the order goes past what was agreed; nought where it does not."""
        return max(self.gross - self.limit, ZERO) if self.limit is not None else ZERO


def sums_of(orders: Iterable[WorkOrder], *, on: date, shop: Shop | None) -> dict[int, Sums]:
    """Add up some orders in four queries, whatever their number; amounts are added in Python."""
    orders = list(orders)
    limits = {order.pk: order.limit_gross for order in orders}
    places = places_of(shop.currency if shop else "USD")
    basis: money.TaxBasis = "line" if shop and shop.tax_basis == "line" else "rate"
    rates = rates_on(on)
    exempt = {order.pk for order in orders if exemption_words(order.customer, on)}
    pairs: dict[int, list[tuple[Decimal, Decimal]]] = {pk: [] for pk in limits}
    for line in OrderLine.objects.filter(order__in=limits, invoiced=False):
        taxed = line.tax_category in rates and line.order_id not in exempt
        rate = rates[line.tax_category].rate if taxed else ZERO
        pairs[line.order_id].append((line_amount(line, places), rate))
    invoiced = _added(Invoice.objects.filter(order__in=limits).values_list("order_id", "gross"))
    paid = _added(Payment.objects.filter(order__in=limits).values_list("order_id", "amount"))
    found = {}
    for pk, of_order in pairs.items():
        totals = money.totals(of_order, tax_basis=basis, places=places)
        found[pk] = Sums(
            gross=totals.net + totals.tax + invoiced.get(pk, ZERO), invoiced=invoiced.get(pk, ZERO),
            paid=paid.get(pk, ZERO), limit=limits[pk], open_lines=len(of_order),
        )  # fmt: skip
    return found


def _added(pairs: Iterable[tuple[int, Decimal]]) -> dict[int, Decimal]:
    sums: dict[int, Decimal] = {}
    for key, amount in pairs:
        sums[key] = sums.get(key, ZERO) + amount
    return sums

"""The findings of an order on its page: each with what the whole order would come to with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shopapp.bench.queries.findings import DeskRow, desk_rows
from shopapp.bench.queries.pictures import Shot
from shopapp.calc import money
from shopapp.money.amounts import places_of
from shopapp.money.queries import OrderMoney, exemption_words, rates_on
from shopapp.orders.models import OrderLine, WorkOrder
from shopapp.shop.models import Shop


@dataclass(frozen=True, slots=True)
class ShownFinding:
    """A finding with its amounts: `gross` of it alone, `comes_to` of the whole order with it; None without a price.

    `to_agree` is what a yes has to go up to: never less than the order's limit. `invoiced`: its line is.
    """

    row: DeskRow
    gross: Decimal | None
    comes_to: Decimal | None
    to_agree: Decimal | None
    invoiced: bool
    pictures: Sequence[Shot] = ()

    @property
    def may_take_back(self) -> bool:
        """Say whether its answer may be taken back."""
        answered = self.row.consent is not None and self.row.finding.put_right_id is None
        return answered and self.row.may_answer and not self.invoiced


def shown_findings(
    order: WorkOrder,
    sums: OrderMoney,
    lines: Sequence[OrderLine],
    *,
    on: date,
    shop: Shop | None,
    shots: Mapping[tuple[int, int], Sequence[Shot]],
) -> list[ShownFinding]:
    """Give the findings of an order, with their pictures by job and number; as many queries for six as for one."""
    rows = desk_rows(order)
    if not rows:
        return []
    invoiced = {line.entry_id for line in lines if line.invoiced}
    rates, exempt = rates_on(on), bool(exemption_words(order.customer, on))
    places = places_of(shop.currency if shop else "USD")
    found = []
    for row in rows:
        finding = row.finding
        rate = rates.get(finding.tax_category)
        taxed = rate.rate if rate is not None and not exempt else Decimal(0)
        gross = None
        if finding.price is not None:
            gross = money.totals([(finding.price, taxed)], tax_basis="rate", places=places).gross
        comes_to = sums.gross + gross if gross is not None and finding.answer != "yes" else None
        to_agree = max(comes_to, order.limit_gross or Decimal(0)) if comes_to is not None else None
        found.append(
            ShownFinding(
                row, gross, comes_to, to_agree, finding.entry_id in invoiced,
                shots.get((finding.job_id, finding.number), ()),
            )
        )  # fmt: skip
    return found

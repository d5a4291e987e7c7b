"""Tax rates: a new one follows another from a day on; what was invoiced keeps its own."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.money.models import Invoice, TaxRate
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


def add_tax_rate(
    *,
    category: str,
    name: str,
    rate: Decimal,
    since: date,
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> TaxRate:
    """Add the rate (in percent, three decimals at most) of a tax category from a day on.

    A day that lies before an issued invoice is refused: that invoice would have had another tax.
    """
    with acts.doing("add_tax_rate", call=call, by=by, at=at, within=within) as act:
        category = category.strip().upper()
        if not 0 <= rate <= 100 or rate != round(rate, 3):
            raise Refused(
                _("A tax rate is a percentage from 0 to 100 with three decimals at most, such as 8.25."),
                field="rate",
            )
        if TaxRate.objects.filter(category=category, since=since).exists():
            words = _("Category %(category)s has a rate from that day on already. Choose another day.")
            raise Refused(words % {"category": category}, field="since")
        last = Invoice.objects.order_by("-issued_on").first()
        used = last is not None and since <= last.issued_on
        if used and TaxRate.objects.filter(category=category).exists():
            words = _("Invoices up to %(day)s are issued. A new rate begins after that day.")
            raise Refused(words % {"day": last.issued_on.isoformat()}, field="since")  # type: ignore[union-attr]
        row = TaxRate.objects.create(category=category, name=name.strip(), rate=rate, since=since)
        act.about("tax rate", row.pk)
        act.result = {"tax_rate": row.pk}
        return row

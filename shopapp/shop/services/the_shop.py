"""The shop's own row: set up once, changed by the owner."""

from __future__ import annotations

import zoneinfo
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from babel import Locale
from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.shop import currency
from shopapp.shop.models import Shop
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.calc.units import Measurement
    from shopapp.people.models import Person

PERSONAL = frozenset({"address", "phone", "email"})


@dataclass(frozen=True)
class ShopDetails:
    """What the owner says of the shop. `default_units` maps a kind of measurement to the unit pages offer first."""

    name: str
    zone: str = "UTC"
    currency: str = "USD"
    address: str = ""
    phone: str = ""
    email: str = ""
    tax_number: str = ""
    altitude: Measurement | None = None
    default_units: dict[str, str] = field(default_factory=dict)
    decimal_comma: bool = False
    pair_tolerances: dict[str, Any] = field(default_factory=dict)
    public_address: str = ""
    tax_basis: str = "rate"
    payment_days: int = 14
    report_footer: str = ""
    keep_stacks_back: bool = False
    invoice_footer: str = ""


def currencies() -> list[str]:
    """List the currency codes of ISO 4217 that Babel knows."""
    return sorted(str(code) for code in Locale("en").currencies if len(str(code)) == 3)


def _refuse_unknown(details: ShopDetails) -> None:
    if details.zone not in zoneinfo.available_timezones():
        raise Refused(
            _("There is no time zone %s. Write it as Region/City, like Europe/Lisbon.") % details.zone[:60],
            field="zone",
        )
    if details.currency not in currencies():
        raise Refused(
            _("%s is no currency code. Write three letters of ISO 4217, like USD or EUR.")
            % details.currency[:20],
            field="currency",
        )


def _write(row: Shop, details: ShopDetails) -> None:
    for name in ShopDetails.__dataclass_fields__:
        setattr(row, name, getattr(details, name))


def set_up_shop(
    *,
    details: ShopDetails,
    by: Person | None,
    at: datetime,
    call: Call,
    is_demo: bool = False,
    within: Doing | None = None,
) -> Shop:
    """Make the shop's one row; a second one is refused."""
    with acts.doing("set_up_shop", call=call, by=by, at=at, within=within) as act:
        if Shop.objects.exists():
            raise Refused(_("The shop is set up already. Change its details instead."))
        _refuse_unknown(details)
        row = Shop(pk=1, is_demo=is_demo)
        _write(row, details)
        row.save(force_insert=True)
        if within is None:
            act.about("shop", 1)
            act.result = {"shop": 1}
        return row


def hold_currency(shop: Shop) -> None:
    """Hold the shop's currency for the rest of this transaction, or refuse where it was changed since it was read."""
    if not Shop.objects.filter(pk=shop.pk, currency=shop.currency).update(currency=F("currency")):
        raise Refused(_("The shop's currency was changed at the same moment. Look at the amounts again."))


def change_shop(
    *,
    shop: Shop,
    revision: int,
    details: ShopDetails,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Shop:
    """Change the shop's details; papers issued before keep theirs, and once there is money the currency stays."""
    with acts.doing("change_shop", call=call, by=by, at=at, within=within) as act:
        acts.raise_revision(shop, revision, what=_("The shop's details"))
        _refuse_unknown(details)
        kept = currency.why_it_stays() if details.currency != shop.currency else ""
        if kept:
            raise Refused(kept, field="currency")
        for name in ShopDetails.__dataclass_fields__:
            act.change(name, getattr(shop, name), getattr(details, name), personal=name in PERSONAL)
        _write(shop, details)
        shop.save()
        if within is None:
            act.about("shop", 1)
            act.result = {"shop": 1}
        return shop

"""What every page shows: the shop, the person, the rooms on the sheet's edge."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from shopapp.people import rights

ROOMS = (
    ("A", _("Desk"), "desk", ("/desk",)),
    ("B", _("Orders"), "orders", ("/orders",)),
    ("C", _("Customers"), "customers", ("/customers", "/vehicles")),
    ("D", _("Dampers"), "dampers", ("/dampers", "/D/")),
    ("E", _("Stock"), "stock", ("/stock",)),
    ("F", _("Tools"), "tools", ("/tools",)),
    ("G", _("Money"), "invoices", ("/money", "/papers")),
    ("H", _("Due"), "due", ("/due",)),
    ("J", _("Owner"), "owner", ("/owner",)),
    ("K", _("Bench"), "bench", ("/bench",)),
    ("", _("Find"), "find", ("/find",)),
)


def shop_page(request: HttpRequest) -> dict[str, Any]:
    """Give base.html its frame: shop, person, demo mark, rooms this person may open."""
    shop = getattr(request, "shop", None)
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return {"shop": shop, "person": None, "is_demo": bool(shop and shop.is_demo), "rooms": []}
    rooms = [
        {"letter": letter, "name": name, "url": reverse(url), "current": request.path.startswith(starts)}
        for letter, name, url, starts in ROOMS
        if rights.may(person.roles, url)
    ]
    return {"shop": shop, "person": person, "is_demo": bool(shop and shop.is_demo), "rooms": rooms}

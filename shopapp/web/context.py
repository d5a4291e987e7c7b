"""What every page shows: the shop, the person, the rooms on the sheet's edge."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from shopapp.people import rights

ROOMS = (
    ("A", _("Desk"), "desk", ("/desk", "/find")),
    ("B", _("Orders"), "orders", ("/orders",)),
    ("C", _("Customers"), "customers", ("/customers", "/vehicles")),
    ("D", _("Dampers"), "dampers", ("/dampers", "/D/")),
    ("E", _("Stock"), "stock", ("/stock",)),
    ("F", _("Tools"), "tools", ("/tools",)),
    ("G", _("Money"), "invoices", ("/money", "/papers")),
    ("H", _("Due"), "due", ("/due",)),
    ("J", _("Owner"), "owner", ("/owner",)),
    ("K", _("Bench"), "bench", ("/bench",)),
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
    find_url = reverse("find") if rights.may(person.roles, "find") else ""
    is_demo = bool(shop and shop.is_demo)
    return {"shop": shop, "person": person, "is_demo": is_demo, "rooms": rooms, "find_url": find_url}

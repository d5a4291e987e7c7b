"""What a request carries once it has passed the middleware: the person, the device, the shop, the moment."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.conf import settings
from django.http import HttpRequest

if TYPE_CHECKING:
    from shopapp.people.models import Device, Person
    from shopapp.shop.models import Shop


class ShopRequest(HttpRequest):
    """The request as views see it (for type checking; Django makes its own object).

    `user` is a Person on every page that asks for a log-in: the rights middleware has let nobody else through.
    """

    user: Person  # type: ignore[assignment]
    device: Device | None
    shop: Shop | None
    now: datetime
    new_device_cookie: str


def address_of(request: HttpRequest) -> str:
    """Give the network address a request came from: behind a proxy the last one that the proxy itself wrote down."""
    told = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.SECURE_PROXY_SSL_HEADER else ""
    return (told.rpartition(",")[2].strip() or request.META.get("REMOTE_ADDR", ""))[:64]

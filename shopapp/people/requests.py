"""What a request carries once it has passed the middleware: the person, the device, the shop, the moment."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

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

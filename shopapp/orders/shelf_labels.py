"""The labels of shelves: a code to scan, rack and shelf in words, on the same stocks as the labels of dampers."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _

from shopapp.orders.labels import Label, Stock, public_address
from shopapp.orders.models import Shelf
from shopapp.papers import kinds
from shopapp.shop.models import Shop


def to_label(shelves: Iterable[Shelf], shop: Shop | None) -> list[Label]:
    """Give the label of each shelf; its code says a short address, as a damper's does."""
    return [
        Label(
            part=_("SHELF"), tag=row.code, order="", place=f"{row.rack}, {row.shelf}", vehicle="", shelf="",
            address=f"{public_address(shop)}/S/{row.code}",
        )
        for row in shelves
    ]  # fmt: skip


def file_name(stock: Stock) -> str:
    """Name the file of the labels: shelves-62x29-300."""
    return kinds.plain_name("shelves", stock.code)

"""The registry of what keeps the shop's currency: amounts that were issued or taken would mean other money."""

from __future__ import annotations

from collections.abc import Callable

from django.utils.translation import gettext as _

REGISTRY: dict[str, Callable[[], bool]] = {}


def register(what: str, exists: Callable[[], bool]) -> None:
    """Register what keeps the currency once a row of it exists."""
    REGISTRY[what] = exists


def why_it_stays() -> str:
    """Say why the currency can no longer be changed, or give "" while it can."""
    if not any(exists() for _name, exists in sorted(REGISTRY.items())):
        return ""
    return _(
        "The currency stays: invoices are issued or payments taken in it, and their amounts would mean other money."
    )

"""How single values are written: measurements as typed and in SI, money as text with its currency, moments in UTC."""

from __future__ import annotations

import json
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from shopapp.calc import units

if TYPE_CHECKING:
    from collections.abc import Mapping

    from shopapp.people.models import Person
    from shopapp.shop.models import Shop

SCHEMAS = "schemas"


def measured(row: Any, name: str, kind: str) -> dict[str, Any] | None:
    """Write the measurement that stands in `<name>_si`, `_unit` and `_text`; None where there is none."""
    si = getattr(row, f"{name}_si")
    if si is None:
        return None
    return {
        "text": getattr(row, f"{name}_text"), "unit": getattr(row, f"{name}_unit"),
        "si": si, "si_unit": units.SI_UNIT.get(kind, ""),
    }  # fmt: skip


def money(amount: Decimal | None) -> str | None:
    """Write an amount exactly, in the document's currency: "12.50"."""
    return None if amount is None else f"{amount:f}"


def moment(at: datetime | None) -> str | None:
    return None if at is None else at.isoformat()


def day(on: date | None) -> str | None:
    return None if on is None else on.isoformat()


def person(who: Person | None) -> dict[str, str] | None:
    """Name one of the shop's people; a link or the program itself is nobody."""
    return None if who is None else {"name": who.name, "initials": who.initials}


def head(kind: str, shop: Shop | None, at: datetime) -> dict[str, Any]:
    """Begin a document: what it is, by which schema, from which shop, when."""
    return {
        "document": kind,
        "schema": f"{SCHEMAS}/{kind}-1.schema.json",
        "exported_at": moment(at),
        "shop": {"name": shop.name, "currency": shop.currency, "zone": shop.zone} if shop else None,
    }


def written(document: Mapping[str, Any]) -> str:
    """Write a document as JSON text: UTF-8, indented, keys in the order in which they are explained."""
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"

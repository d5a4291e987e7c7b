"""Items and kits: added and changed by the owner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from django.db import IntegrityError, models, transaction
from django.utils.translation import gettext as _

from shopapp.dampers.models import DamperModel
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.stock.models import Item, Kit, KitFit, KitLine, StockLevel, StockMove
from shopapp.stock.quantities import MOST

if TYPE_CHECKING:
    from shopapp.people.models import Person


@dataclass(frozen=True)
class KitLineIn:
    """One position of a kit; `alternatives` may stand in for the item."""

    item: Item
    quantity: int
    position: str
    alternatives: tuple[Item, ...] = ()


def _named(code: str, name: str) -> tuple[str, str]:
    code, name = code.strip(), name.strip()
    if not code:
        raise Refused(_("Give it a short code, as it stands on the shelf."), field="code")
    if not name:
        raise Refused(_("Give it a name."), field="name")
    return code, name


def _insert(row: models.Model, code: str) -> None:
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError as problem:
        raise Refused(
            _("The code %(code)s is taken. Use another one.") % {"code": code}, field="code"
        ) from problem


def _priced(price: Decimal | int) -> Decimal:
    amount = Decimal(price)
    if not amount.is_finite() or amount < 0 or amount >= 10**8:
        raise Refused(_("A price is zero or more, and below a hundred million."), field="price")
    return amount


def add_item(
    *,
    code: str,
    name: str,
    unit: str,
    bin: str = "",
    minimum: int = 0,
    elastomer: str = "",
    size: str = "",
    price: Decimal | int = 0,
    tax_category: str = "S",
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Item:
    """Add an item with its smallest unit; its level starts at nothing on hand."""
    with acts.doing("add_item", call=call, by=by, at=at, within=within) as act:
        code, name = _named(code, name)
        if unit not in Item.Unit.values:
            raise Refused(
                _("An item is counted in pieces, tenths of a millilitre or millimetres."), field="unit"
            )
        item = Item(
            code=code, name=name, unit=unit, bin=bin.strip(), minimum=_minimum(minimum), elastomer=elastomer.strip(),
            size=size.strip(), price=_priced(price), tax_category=tax_category,
        )  # fmt: skip
        _insert(item, code)
        StockLevel.objects.create(item=item)
        if within is None:
            act.about("item", item.pk)
            act.result = {"item": item.pk}
    return item


def _minimum(minimum: int) -> int:
    if not 0 <= minimum <= MOST:
        raise Refused(_("The least to keep is zero or more."), field="minimum")
    return minimum


def change_item(
    *,
    item: Item,
    revision: int | None,
    name: str,
    unit: str | None = None,
    bin: str = "",
    minimum: int = 0,
    elastomer: str = "",
    size: str = "",
    price: Decimal | int = 0,
    tax_category: str = "S",
    retired: bool = False,
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Item:
    """Change an item; the code stays, and the unit too once anything has moved."""
    with acts.doing("change_item", call=call, by=by, at=at, within=within) as act:
        _code, name = _named(item.code, name)
        acts.raise_revision(item, revision, what=str(item))
        new_unit = unit or item.unit
        if new_unit != item.unit and StockMove.objects.filter(item=item).exists():
            raise Refused(_("The unit stays: some of it was received in that unit already."), field="unit")
        values = {
            "name": name, "unit": new_unit, "bin": bin.strip(), "minimum": _minimum(minimum),
            "elastomer": elastomer.strip(), "size": size.strip(), "price": _priced(price),
            "tax_category": tax_category, "retired_at": (item.retired_at or at) if retired else None,
        }  # fmt: skip
        for field_name, value in values.items():
            act.change(field_name, getattr(item, field_name), value)
            setattr(item, field_name, value)
        item.save(update_fields=list(values))
        if within is None:
            act.about("item", item.pk)
            act.result = {"item": item.pk}
    return item


def add_kit(
    *,
    code: str,
    name: str,
    price: Decimal | int = 0,
    tax_category: str = "S",
    lines: Sequence[KitLineIn] = (),
    models: Sequence[DamperModel] = (),
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Kit:
    """Add a kit with its positions and the models it fits."""
    with acts.doing("add_kit", call=call, by=by, at=at, within=within) as act:
        code, name = _named(code, name)
        kit = Kit(code=code, name=name, price=_priced(price), tax_category=tax_category)
        _insert(kit, code)
        _fill_kit(kit, lines, models)
        if within is None:
            act.about("kit", kit.pk)
            act.result = {"kit": kit.pk}
    return kit


def change_kit(
    *,
    kit: Kit,
    revision: int | None,
    name: str,
    price: Decimal | int = 0,
    tax_category: str = "S",
    lines: Sequence[KitLineIn] = (),
    models: Sequence[DamperModel] = (),
    retired: bool = False,
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Kit:
    """Change a kit: the positions and models handed in replace those it had; the code stays."""
    with acts.doing("change_kit", call=call, by=by, at=at, within=within) as act:
        _code, name = _named(kit.code, name)
        acts.raise_revision(kit, revision, what=str(kit))
        values = {
            "name": name, "price": _priced(price), "tax_category": tax_category,
            "retired_at": (kit.retired_at or at) if retired else None,
        }  # fmt: skip
        for field_name, value in values.items():
            act.change(field_name, getattr(kit, field_name), value)
            setattr(kit, field_name, value)
        kit.save(update_fields=list(values))
        KitLine.objects.filter(kit=kit).delete()
        KitFit.objects.filter(kit=kit).delete()
        _fill_kit(kit, lines, models)
        if within is None:
            act.about("kit", kit.pk)
            act.result = {"kit": kit.pk}
    return kit


def _fill_kit(kit: Kit, lines: Sequence[KitLineIn], models: Sequence[DamperModel]) -> None:
    positions = [line.position.strip() for line in lines]
    if not lines:
        raise Refused(_("A kit needs at least one part with its position."), field="lines")
    if "" in positions or len(positions) != len(set(positions)):
        raise Refused(_("Each part of a kit has a position of its own, like “wiper”."), field="lines")
    for line, position in zip(lines, positions, strict=True):
        if not 1 <= line.quantity <= MOST:
            raise Refused(
                _("%(position)s: say how many, one or more.") % {"position": position}, field="lines"
            )
        row = KitLine.objects.create(kit=kit, item=line.item, quantity=line.quantity, position=position)
        row.alternatives.set(line.alternatives)
    KitFit.objects.bulk_create(KitFit(kit=kit, model=model) for model in dict.fromkeys(models))

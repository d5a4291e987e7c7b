"""The two levels behind every move: conditional UPDATEs that decide a race on both databases.

The lot's level always goes first: its row lock then covers the lot's block, and two people never wait for each other
the wrong way round.
"""

from __future__ import annotations

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.shop.services.acts import Refused
from shopapp.stock.models import Item, Lot, LotLevel, StockLevel
from shopapp.stock.quantities import show_quantity


def lot_of(item: Item, batch: str) -> tuple[Lot, bool]:
    """Give the lot of a batch, unsaved where there is none yet, and whether it is new."""
    found = Lot.objects.filter(item=item, batch=batch).first()
    return (found, False) if found is not None else (Lot(item=item, batch=batch), True)


def insert_lot(lot: Lot) -> Lot:
    """Write a new lot with its level; where somebody was quicker, give the one that is there."""
    try:
        with transaction.atomic():
            lot.save(force_insert=True)
            LotLevel.objects.create(lot=lot)
    except IntegrityError:
        return Lot.objects.get(item=lot.item, batch=lot.batch)
    return lot


def hold(lot: Lot) -> int:
    """Take the lock on a lot's level and give what is on hand of it; refuse a lot without one."""
    if not LotLevel.objects.filter(lot=lot).update(on_hand=F("on_hand")):
        raise Refused(_("Lot %(lot)s has no level: run check_books.") % {"lot": lot.batch})
    return LotLevel.objects.values_list("on_hand", flat=True).get(lot=lot)


def take(lot: Lot, quantity: int) -> None:
    """Take a quantity out of a lot and its item, or refuse with what is there."""
    if not LotLevel.objects.filter(lot=lot, on_hand__gte=quantity).update(on_hand=F("on_hand") - quantity):
        there = LotLevel.objects.filter(lot=lot).values_list("on_hand", flat=True).first() or 0
        raise Refused(_short(lot, quantity, there))
    free = StockLevel.objects.filter(item=lot.item, on_hand__gte=F("reserved") + F("blocked") + quantity)
    if not free.update(on_hand=F("on_hand") - quantity):
        raise Refused(
            _("%(item)s: %(quantity)s are not free; the rest is held for other jobs or blocked.")
            % {"item": lot.item.name, "quantity": show_quantity(lot.item, quantity)}
        )


def put(lot: Lot, quantity: int) -> None:
    """Put a quantity into a lot and its item; into a blocked lot it stays blocked."""
    LotLevel.objects.filter(lot=lot).update(on_hand=F("on_hand") + quantity)
    blocked = quantity if is_blocked(lot) else 0
    StockLevel.objects.get_or_create(item=lot.item)
    StockLevel.objects.filter(item=lot.item).update(
        on_hand=F("on_hand") + quantity, blocked=F("blocked") + blocked
    )


def correct(lot: Lot, seen: int, counted: int) -> None:
    """Set a lot to what was counted, where it still holds what was seen; refuse below what is promised."""
    if not LotLevel.objects.filter(lot=lot, on_hand=seen).update(on_hand=counted):
        raise Refused(_("Some of it was moved while it was counted. Count it again."), field="counted")
    difference = counted - seen
    blocked = difference if is_blocked(lot) else 0
    StockLevel.objects.get_or_create(item=lot.item)
    covered = StockLevel.objects.filter(
        item=lot.item, on_hand__gte=F("reserved") + F("blocked") + blocked - difference
    )
    if not covered.update(on_hand=F("on_hand") + difference, blocked=F("blocked") + blocked):
        raise Refused(
            _("Part of it is held for jobs. Let those go first, then count again."), field="counted"
        )


def is_blocked(lot: Lot) -> bool:
    """Say whether a lot is blocked, as it stands in the database now."""
    return Lot.objects.filter(pk=lot.pk, blocked_at__isnull=False).exists()


def _short(lot: Lot, wanted: int, there: int) -> str:
    return _("Lot %(lot)s of %(item)s holds %(there)s; %(wanted)s were asked for. Take another lot.") % {
        "lot": lot.batch,
        "item": lot.item.name,
        "there": show_quantity(lot.item, there),
        "wanted": show_quantity(lot.item, wanted),
    }

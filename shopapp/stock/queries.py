"""What pages and other subjects read of the stores."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from django.db.models import Exists, F, OuterRef, Prefetch, Q, QuerySet, Sum
from django.utils.translation import gettext as _

from shopapp.calc.stock import kits_possible
from shopapp.shop.services.search_terms import fold
from shopapp.shop.trade_words import both_ways
from shopapp.stock.models import Item, Kit, KitLine, Lot, LotBlock, LotLevel, StockLevel, StockMove
from shopapp.stock.quantities import read_quantity, show_quantity

__all__ = [
    "IssueLine", "ItemRow", "KitRow", "LotRow", "Shown", "all_good_lots", "free_by_item", "item_rows", "items",
    "kit_rows", "lot_blocks", "lot_moves", "read_quantity", "show_quantity",
]  # fmt: skip


@dataclass(frozen=True)
class IssueLine:
    """One line of what is issued: the item, the lot it comes from, smallest units, its position in the kit."""

    item: Item
    lot: Lot
    quantity: int
    position: str = ""


def all_good_lots(on: date) -> QuerySet[Lot]:
    """List every lot that may be issued on a day, the one that expires first in front; it lasts through its date."""
    return (
        Lot.objects.filter(blocked_at__isnull=True, level__on_hand__gt=0)
        .filter(Q(expires__isnull=True) | Q(expires__gte=on))
        .select_related("level", "item")
        .order_by(F("expires").asc(nulls_last=True), "received", "pk")
    )


def good_by_item(items: Iterable[int], on: date) -> dict[int, int]:
    """Give of each item how much its good lots hold, in its smallest unit; one without a good lot is left out."""
    lots = all_good_lots(on).filter(item__in=set(items)).order_by()
    found: dict[int, int] = {}
    for item, on_hand in lots.values_list("item", "level__on_hand"):
        found[item] = found.get(item, 0) + on_hand
    return found


@dataclass(frozen=True)
class KitRow:
    """One kit of the schedule: how many the good lots make, and what ends it."""

    kit: Kit
    makes: int
    words: str


def kit_rows(on: date) -> list[KitRow]:
    """List the kits with how many the free, good stock makes, alternatives not counted; the queries do not grow."""
    lines = Prefetch("lines", queryset=KitLine.objects.select_related("item").order_by("pk"), to_attr="parts")
    kits = Kit.objects.filter(retired_at__isnull=True).prefetch_related(lines).order_by("code")
    free = free_by_item(on)
    return [_kit_row(kit, kit.parts, free) for kit in kits]  # type: ignore[attr-defined]


def free_by_item(on: date) -> dict[int, int]:
    """Give what is free of each item in lots that may be issued on a day, in smallest units."""
    good = LotLevel.objects.filter(lot__blocked_at__isnull=True).filter(
        Q(lot__expires__isnull=True) | Q(lot__expires__gte=on)
    )
    totals = dict(good.values_list("lot__item").annotate(total=Sum("on_hand")))
    levels = StockLevel.objects.annotate(free=F("on_hand") - F("reserved") - F("blocked"))
    return {item: min(totals.get(item, 0), free) for item, free in levels.values_list("item", "free")}


def _kit_row(kit: Kit, parts: Sequence[KitLine], free: dict[int, int]) -> KitRow:
    if not parts:
        return KitRow(kit, 0, _("no parts entered yet"))
    wanted: dict[int, int] = defaultdict(int)
    names = {}
    for line in parts:
        wanted[line.item_id] += line.quantity
        names[line.item_id] = line.item.name
    made = kits_possible(wanted, {item: max(0, free.get(item, 0)) for item in wanted})
    ends = _(" and ").join(names[item] for item in made.limiting)
    words = _("makes %(count)d") % {"count": made.count} if made.count else _("makes none")
    tail = _("%(made)s, %(part)s ends it") if len(made.limiting) == 1 else _("%(made)s, %(part)s end it")
    return KitRow(kit, made.count, tail % {"made": words, "part": ends})


@dataclass(frozen=True)
class LotRow:
    """A lot on the shelf: its batch, what is there, until when, and what keeps it from being issued."""

    pk: int
    batch: str
    there: str
    expires: date | None
    trouble: str


@dataclass(frozen=True)
class ItemRow:
    """One item of the schedule; `on_hand` and `minimum` in one unit for the strip, `there` and `words` to read.

    `older` is how many more lots there are than are listed.
    """

    item: Item
    on_hand: int
    there: str
    words: str
    lots: list[LotRow] = field(default_factory=list)
    older: int = 0


class Shown(StrEnum):
    """Which items the schedule lists: all, those below the least to keep, those with a lot blocked or used up."""

    ALL = ""
    LOW = "low"
    BLOCKED = "blocked"
    USED_UP = "used up"


USED_UP_LISTED = 12
"""So many used-up lots of an item are listed, the newest; an older one is found by its batch."""


def items(text: str = "", shown: Shown = Shown.ALL) -> QuerySet[Item]:
    """List the items that are kept, by code; `text` is looked for in code, name, bin and the batches of their lots.

    An item that is no longer kept is listed while it has a lot that was asked for.
    """
    found = Item.objects.select_related("level").order_by("code")
    if shown in (Shown.BLOCKED, Shown.USED_UP):
        found = found.filter(Exists(_lots(shown).filter(item=OuterRef("pk"))))
    else:
        found = found.filter(retired_at__isnull=True)
    if text:
        batch = Exists(Lot.objects.filter(item=OuterRef("pk"), batch__icontains=text))
        named = Q(name__icontains=text)
        for way in both_ways(fold(text)):
            named |= Q(name__icontains=way)
        found = found.filter(named | Q(code__icontains=text) | Q(bin__icontains=text) | batch)
    if shown == Shown.LOW:
        low = Q(level__on_hand__lt=F("minimum")) | Q(level__isnull=True, minimum__gt=0)
        found = found.filter(low)
    return found


def _lots(shown: Shown) -> QuerySet[Lot]:
    """List the lots that the schedule shows: on the shelf, blocked (there or not), or used up."""
    if shown == Shown.BLOCKED:
        return Lot.objects.filter(blocked_at__isnull=False, level__isnull=False)
    used_up = Lot.objects.filter(level__on_hand=0)
    return used_up if shown == Shown.USED_UP else Lot.objects.filter(level__on_hand__gt=0)


def item_rows(page: Iterable[Item], on: date, shown: Shown = Shown.ALL, text: str = "") -> list[ItemRow]:
    """Give the rows of a page of items with their lots; one query for all lots."""
    page = list(page)
    lots: dict[int, list[Lot]] = defaultdict(list)
    newest_first = ["-received", "-pk"]
    first_to_expire = [F("expires").asc(nulls_last=True), "received", "pk"]
    order = newest_first if shown == Shown.USED_UP else first_to_expire
    for lot in _lots(shown).filter(item__in=page).select_related("level").order_by(*order):
        lots[lot.item_id].append(lot)
    return [_item_row(item, *_listed(lots[item.pk], shown, text), on) for item in page]


def _listed(lots: list[Lot], shown: Shown, text: str) -> tuple[list[Lot], int]:
    """Give the lots to list and how many are left out: used-up ones pile up, so the newest or those asked for."""
    if shown != Shown.USED_UP:
        return lots, 0
    asked = [lot for lot in lots if text and text.casefold() in lot.batch.casefold()] or lots
    return asked[:USED_UP_LISTED], len(lots) - len(asked[:USED_UP_LISTED])


def _item_row(item: Item, lots: Sequence[Lot], older: int, on: date) -> ItemRow:
    level = getattr(item, "level", None)
    have = level.on_hand if level else 0
    words = ""
    if item.minimum:
        below = item.minimum - have
        words = _("%(minimum)s or more") % {"minimum": show_quantity(item, item.minimum)}
        if below > 0:
            words = _("%(below)s below %(minimum)s") % {
                "below": show_quantity(item, below),
                "minimum": show_quantity(item, item.minimum),
            }
    rows = [
        LotRow(lot.pk, lot.batch, show_quantity(item, lot.level.on_hand), lot.expires, _trouble(lot, on))
        for lot in lots
    ]
    return ItemRow(item, have, show_quantity(item, have), words, rows, older)


@dataclass(frozen=True)
class MoveRow:
    """One move of a lot, with its quantity in words."""

    move: StockMove
    quantity: str


def lot_moves(lot: Lot, most: int = 50) -> list[MoveRow]:
    """List the last moves of a lot, newest first."""
    moves = lot.moves.select_related("by", "job__order").order_by("-at", "-pk")[:most]
    return [MoveRow(move, show_quantity(lot.item, move.quantity)) for move in moves]


def lot_blocks(lot: Lot) -> QuerySet[LotBlock]:
    """List when a lot was blocked or freed again, newest first."""
    return lot.blocks.select_related("by").order_by("-at", "-pk")


def _trouble(lot: Lot, on: date) -> str:
    if lot.blocked_at is not None:
        return _("blocked: %(why)s") % {"why": lot.blocked_why}
    if lot.expires is not None and lot.expires < on:
        return _("past its date")
    return ""

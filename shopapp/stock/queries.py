"""What pages and other subjects read of the stores."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db.models import F, Prefetch, Q, QuerySet, Sum
from django.utils.translation import gettext as _

from shopapp.calc.stock import kits_possible
from shopapp.stock.models import Item, Kit, KitLine, Lot, LotLevel, StockLevel, StockMove
from shopapp.stock.quantities import read_quantity, show_quantity

__all__ = [
    "IssueLine", "ItemRow", "KitRow", "LotRow", "all_good_lots", "good_lots", "item_proposal", "item_rows", "items",
    "kit_proposal", "kit_rows", "lot_moves", "on_hand", "read_quantity", "show_quantity",
]  # fmt: skip


@dataclass(frozen=True)
class IssueLine:
    """One line of what is issued: the item, the lot it comes from, smallest units, its position in the kit."""

    item: Item
    lot: Lot
    quantity: int
    position: str = ""


def good_lots(item: Item, on: date) -> QuerySet[Lot]:
    """List the lots of an item that may be issued on a day, the one that expires first in front."""
    return all_good_lots(on).filter(item=item)


def all_good_lots(on: date) -> QuerySet[Lot]:
    """List every lot that may be issued on a day, the one that expires first in front; it lasts through its date."""
    return (
        Lot.objects.filter(blocked_at__isnull=True, level__on_hand__gt=0)
        .filter(Q(expires__isnull=True) | Q(expires__gte=on))
        .select_related("level", "item")
        .order_by(F("expires").asc(nulls_last=True), "received", "pk")
    )


def on_hand(item: Item) -> int:
    """Give what is on hand of an item in smallest units, blocked lots included."""
    return StockLevel.objects.filter(item=item).values_list("on_hand", flat=True).first() or 0


class _Shelf:
    """What is still free of each item while a proposal is put together."""

    def __init__(self, on: date) -> None:
        self.on = on
        self.lots: dict[int, list[tuple[Lot, int]]] = {}

    def of(self, item: Item) -> list[tuple[Lot, int]]:
        if item.pk not in self.lots:
            self.lots[item.pk] = self._free(item)
        return self.lots[item.pk]

    def _free(self, item: Item) -> list[tuple[Lot, int]]:
        level = StockLevel.objects.filter(item=item).first()
        free = level.on_hand - level.reserved - level.blocked if level else 0
        found = []
        for lot in good_lots(item, self.on):
            take = min(free, lot.level.on_hand)
            if take > 0:
                found.append((lot, take))
                free -= take
        return found

    def free(self, item: Item) -> int:
        return sum(left for _lot, left in self.of(item))

    def take(self, item: Item, quantity: int, position: str) -> list[IssueLine]:
        """Take a quantity from the first lots; the caller has asked `free` before."""
        lines, left = [], []
        for lot, there in self.of(item):
            part = min(quantity, there)
            if part:
                lines.append(IssueLine(item, lot, part, position))
                quantity -= part
            if there > part:
                left.append((lot, there - part))
        self.lots[item.pk] = left
        return lines


def kit_proposal(kit: Kit, on: date) -> list[IssueLine] | str:
    """Propose the lots for one kit, first expiring first, alternatives where a part is short; or say what is short."""
    shelf, lines, short = _Shelf(on), [], []
    for line in kit.lines.select_related("item").prefetch_related("alternatives").order_by("pk"):
        found = _first_enough(shelf, [line.item, *line.alternatives.all()], line.quantity)
        if found is None:
            short.append(_short_words(line.item, line.quantity, shelf.free(line.item)))
        else:
            lines += shelf.take(found, line.quantity, line.position)
    if short:
        return _("Kit %(kit)s is short: %(parts)s.") % {"kit": kit.code, "parts": "; ".join(short)}
    return lines


def item_proposal(item: Item, quantity: int, on: date, position: str = "") -> list[IssueLine] | str:
    """Propose the lots for a quantity of one item (the oil), first expiring first; or say that it is short."""
    shelf = _Shelf(on)
    if shelf.free(item) < quantity:
        return _("Short: %(parts)s.") % {"parts": _short_words(item, quantity, shelf.free(item))}
    return shelf.take(item, quantity, position)


def _first_enough(shelf: _Shelf, candidates: Iterable[Item], quantity: int) -> Item | None:
    return next((item for item in candidates if shelf.free(item) >= quantity), None)


def _short_words(item: Item, wanted: int, free: int) -> str:
    return _("%(item)s, %(wanted)s wanted, %(free)s good and free") % {
        "item": item.name,
        "wanted": show_quantity(item, wanted),
        "free": show_quantity(item, free),
    }


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
    free = _free_by_item(on)
    return [_kit_row(kit, kit.parts, free) for kit in kits]  # type: ignore[attr-defined]


def _free_by_item(on: date) -> dict[int, int]:
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
    """One item of the schedule; `on_hand` and `minimum` in one unit for the strip, `there` and `words` to read."""

    item: Item
    on_hand: int
    there: str
    words: str
    lots: list[LotRow] = field(default_factory=list)


def items(text: str = "", *, low_only: bool = False) -> QuerySet[Item]:
    """List the items that are kept, by code; `text` is looked for in code, name and bin."""
    found = Item.objects.filter(retired_at__isnull=True).select_related("level").order_by("code")
    if text:
        found = found.filter(Q(code__icontains=text) | Q(name__icontains=text) | Q(bin__icontains=text))
    if low_only:
        low = Q(level__on_hand__lt=F("minimum")) | Q(level__isnull=True, minimum__gt=0)
        found = found.filter(low)
    return found


def item_rows(page: Iterable[Item], on: date) -> list[ItemRow]:
    """Give the rows of a page of items with their lots; one query for all lots."""
    page = list(page)
    lots: dict[int, list[Lot]] = defaultdict(list)
    there = (
        Lot.objects.filter(item__in=page, level__on_hand__gt=0)
        .select_related("level")
        .order_by(F("expires").asc(nulls_last=True), "received", "pk")
    )
    for lot in there:
        lots[lot.item_id].append(lot)
    return [_item_row(item, lots[item.pk], on) for item in page]


def _item_row(item: Item, lots: Sequence[Lot], on: date) -> ItemRow:
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
    return ItemRow(item, have, show_quantity(item, have), words, rows)


@dataclass(frozen=True)
class MoveRow:
    """One move of a lot, with its quantity in words."""

    move: StockMove
    quantity: str


def lot_moves(lot: Lot, most: int = 50) -> list[MoveRow]:
    """List the last moves of a lot, newest first."""
    moves = lot.moves.select_related("by", "job__order").order_by("-at", "-pk")[:most]
    return [MoveRow(move, show_quantity(lot.item, move.quantity)) for move in moves]


def _trouble(lot: Lot, on: date) -> str:
    if lot.blocked_at is not None:
        return _("blocked: %(why)s") % {"why": lot.blocked_why}
    if lot.expires is not None and lot.expires < on:
        return _("past its date")
    return ""

"""What is on hand, derived again from the ledger of moves, against what is stored beside it."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import Sum

from shopapp.shop.books import Difference
from shopapp.stock.models import Item, Lot, LotBlock, LotLevel, StockLevel, StockMove

ITEMS, LOTS = "stock levels", "lot levels"


def item_differences() -> Iterator[Difference]:
    """Yield where an item's on hand, blocked or reserved is not what follows from moves and blocked lots.

    Nothing is held for a job yet, so nothing may be reserved.
    """
    moved = _sums("item")
    by_lot = _sums("lot")
    blocked: dict[int, int] = {}
    for lot_id, item_id in Lot.objects.filter(blocked_at__isnull=False).values_list("pk", "item_id"):
        blocked[item_id] = blocked.get(item_id, 0) + by_lot.get(lot_id, 0)
    levels = {level.item_id: level for level in StockLevel.objects.all()}
    for item in Item.objects.order_by("pk"):
        level = levels.get(item.pk)
        derived = {"on_hand": moved.get(item.pk, 0), "blocked": blocked.get(item.pk, 0), "reserved": 0}
        for name, value in derived.items():
            stored = getattr(level, name) if level else 0
            if stored != value:
                yield Difference(ITEMS, f"{item.code} {name}", stored, value)


def lot_differences() -> Iterator[Difference]:
    """Yield where a lot's on hand is not the sum of its moves, where a move names a lot of another item, or where a
    lot is blocked otherwise than its last block says.
    """
    moved = _sums("lot")
    levels = dict(LotLevel.objects.values_list("lot_id", "on_hand"))
    for lot in Lot.objects.select_related("item").order_by("pk"):
        stored, derived = levels.get(lot.pk), moved.get(lot.pk, 0)
        if stored != derived:
            yield Difference(LOTS, f"{lot.item.code} lot {lot.batch}", stored, derived)
    yield from _block_differences()
    for move in StockMove.objects.select_related("lot").order_by("pk").iterator():
        if move.item_id != move.lot.item_id:
            yield Difference(LOTS, f"move {move.pk} item", move.item_id, move.lot.item_id)


def _block_differences() -> Iterator[Difference]:
    last = {block.lot_id: block for block in LotBlock.objects.order_by("pk")}
    for lot in Lot.objects.select_related("item").order_by("pk"):
        block = last.get(lot.pk)
        derived = (block.at, block.words) if block is not None and block.blocked else (None, "")
        stored = (lot.blocked_at, lot.blocked_why)
        if stored != derived:
            yield Difference(LOTS, f"{lot.item.code} lot {lot.batch} blocked", stored, derived)


def _sums(by: str) -> dict[int, int]:
    return dict(StockMove.objects.values_list(by).annotate(total=Sum("quantity")).order_by())

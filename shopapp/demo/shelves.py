"""The shelves while history is written in bulk: lots are taken first to expire first, and bought when they run low."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from shopapp.demo.bulk import Bulk
from shopapp.people.models import Person
from shopapp.stock.models import Item, Lot, LotLevel, StockLevel, StockMove

LASTS = timedelta(days=1400)
"""How long a lot of rubber keeps."""


@dataclass
class Shelves:
    """What is on hand by lot. Levels are projections: `finish` writes them once, as they stand in the end."""

    bulk: Bulk
    buyer: Person
    scale: int
    usual: dict[int, int]
    lots: dict[int, list[tuple[Lot, int]]] = field(default_factory=dict)
    bought: dict[tuple[int, date], int] = field(default_factory=dict)
    new: set[int] = field(default_factory=set)

    def begin(self) -> None:
        """Read what is on hand now."""
        self.lots, self.new = {}, set()
        for lot in Lot.objects.select_related("level", "item").order_by("expires", "received", "pk"):
            self.lots.setdefault(lot.item_id, []).append((lot, lot.level.on_hand))

    def take(self, item: Item, quantity: int, at: datetime) -> Lot:
        """Take a quantity out of one lot; where none holds so much, a new one was bought that morning."""
        rows = self.lots.setdefault(item.pk, [])
        for number, (lot, on_hand) in enumerate(rows):
            if on_hand >= quantity and lot.received <= at.date():
                rows[number] = (lot, on_hand - quantity)
                return lot
        lot, size = self._buy(item, quantity, at)
        rows.append((lot, size - quantity))
        rows.sort(key=lambda row: (row[0].expires or date.max, row[0].pk))
        return lot

    def stock_up(self, at: datetime) -> None:
        """Buy what would not last for the next jobs, so that whoever works on finds it on the shelf."""
        for item in Item.objects.filter(pk__in=list(self.lots)).order_by("pk"):
            rows = self.lots[item.pk]
            lasts = max(self.usual[item.pk] // 3, 1)
            if max(on_hand for _lot, on_hand in rows) < lasts:
                rows.append(self._buy(item, lasts, at))

    def _buy(self, item: Item, quantity: int, at: datetime) -> tuple[Lot, int]:
        day = at.date()
        nth = self.bought[item.pk, day] = self.bought.get((item.pk, day), 0) + 1
        size = max(self.usual[item.pk] * self.scale, quantity * 6)
        lot = self.bulk.add(
            Lot(
                item=item, batch=f"{day:%y%m%d}-{item.pk}{'' if nth == 1 else chr(64 + nth)}", received=day,
                expires=day + LASTS if item.elastomer else None,
            )
        )  # fmt: skip
        self.new.add(lot.pk)
        early = at.replace(hour=7, minute=45, second=0, microsecond=0)
        act = self.bulk.act(
            "receive_lot", by=self.buyer, at=early, about=("item", item.pk),
            result={"lot": lot.pk, "item": item.pk},
        )  # fmt: skip
        self.move(lot, item, size, "receive", act_id=act.pk, line=1, at=early, by=self.buyer)
        return lot, size

    def move(
        self,
        lot: Lot,
        item: Item,
        quantity: int,
        kind: str,
        *,
        line: int,
        at: datetime,
        by: Person,
        **more: Any,
    ) -> StockMove:
        """Lay a move by."""
        move: StockMove = self.bulk.add(
            StockMove(item=item, lot=lot, quantity=quantity, kind=kind, line=line, at=at, by=by, **more)
        )
        return move

    def finish(self) -> None:
        """Write the levels as they stand now; the lots themselves are laid by already."""
        for item_id, rows in self.lots.items():
            for lot, on_hand in rows:
                if lot.pk in self.new:
                    self.bulk.add(LotLevel(lot=lot, on_hand=on_hand))
                else:
                    LotLevel.objects.filter(lot=lot.pk).update(on_hand=on_hand)
            StockLevel.objects.filter(item=item_id).update(on_hand=sum(on_hand for _lot, on_hand in rows))

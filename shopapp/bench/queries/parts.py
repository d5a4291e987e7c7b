"""What a part step takes: the lines of the sheet's kit, or the oil, with the lots that may be taken."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from shopapp.orders.models import Job
from shopapp.specs.models import SpecKit
from shopapp.stock import queries as stock
from shopapp.stock.models import Item, Kit, Lot


@dataclass(frozen=True, slots=True)
class PartLine:
    """One line of a part step, counted from 1; quantity in the item's smallest unit."""

    line: int
    item: Item
    quantity: int
    position: str
    alternatives: tuple[Item, ...] = ()

    @property
    def item_ids(self) -> frozenset[int]:
        """Give the item and what may stand in for it."""
        return frozenset((self.item.pk, *(item.pk for item in self.alternatives)))


@dataclass(frozen=True, slots=True)
class PartNeed:
    """What one part step takes: a kit with its lines, or one item."""

    kit: Kit | None
    item: Item | None
    lines: tuple[PartLine, ...]


def parts_of(job: Job) -> dict[str, PartNeed]:
    """Give by purpose (kit, oil) what the job's sheet asks for; a kind of work without a kit takes none."""
    if job.spec_id is None:
        return {}
    rows = SpecKit.objects.filter(spec=job.spec_id).select_related("kit", "item")
    found = {}
    for row in rows.prefetch_related("kit__lines__item", "kit__lines__alternatives"):
        if row.purpose == "kit" and job.work_type.kit_rule == "none":
            continue
        found[row.purpose] = _need(row)
    return found


def _need(row: SpecKit) -> PartNeed:
    if row.item is not None:
        return PartNeed(None, row.item, (PartLine(1, row.item, row.quantity, row.purpose),))
    lines = sorted(row.kit.lines.all(), key=lambda line: line.pk) if row.kit else []
    return PartNeed(
        row.kit,
        None,
        tuple(
            PartLine(
                number, line.item, line.quantity * row.quantity, line.position, tuple(line.alternatives.all())
            )
            for number, line in enumerate(lines, 1)
        ),
    )


def good_lots(items: Iterable[int], on: date) -> dict[int, list[Lot]]:
    """Give for each item the lots that may be taken, first to expire first; one query for all."""
    found: dict[int, list[Lot]] = {}
    for lot in stock.all_good_lots(on).filter(item__in=set(items)):
        found.setdefault(lot.item_id, []).append(lot)
    return found

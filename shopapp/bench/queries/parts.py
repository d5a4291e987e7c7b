"""What a part step takes: the lines of the sheet's kit, or the oil, with the lots that may be taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch

from shopapp.orders.models import Job
from shopapp.specs.models import SpecKit
from shopapp.stock import queries as stock
from shopapp.stock.models import Item, Kit, KitLine, Lot


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
    return needs_of([job])[0][1]


def needs_of(jobs: Sequence[Job]) -> list[tuple[Job, dict[str, PartNeed]]]:
    """Give for each job by purpose what its sheet asks for; as many queries for twenty jobs as for one."""
    by_spec: dict[int, dict[str, PartNeed]] = {}
    specs = {job.spec_id for job in jobs if job.spec_id is not None}
    rows = SpecKit.objects.filter(spec__in=specs).select_related("kit", "item")
    lines = KitLine.objects.select_related("item").prefetch_related("alternatives")
    for row in rows.prefetch_related(Prefetch("kit__lines", queryset=lines)):
        by_spec.setdefault(row.spec_id, {})[row.purpose] = _need(row)
    return [(job, _asked(job, by_spec.get(job.spec_id or 0, {}))) for job in jobs]


def _asked(job: Job, needs: dict[str, PartNeed]) -> dict[str, PartNeed]:
    no_kit = job.work_type.kit_rule == "none"
    return {purpose: need for purpose, need in needs.items() if not (no_kit and purpose == "kit")}


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

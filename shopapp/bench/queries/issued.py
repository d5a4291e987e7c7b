"""What is issued to jobs by the entries that stand, what came back taken off: by entry, lot and position."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from shopapp.bench.models import Entry
from shopapp.bench.queries.reading import Sheet
from shopapp.orders.models import Job
from shopapp.stock.models import StockMove
from shopapp.stock.queries import show_quantity


@dataclass(frozen=True, slots=True)
class Issued:
    """What one move of a part entry issued and is still out for the job, in the item's smallest unit, above zero."""

    entry: Entry
    move: StockMove
    left: int


def issued_of(sheet: Sheet) -> list[Issued]:
    """List what is out for the job of a sheet, in the order in which it was issued."""
    entries = [entry for entry in sheet.entries if str(entry.pk) not in sheet.replaced]
    return _issued(entries, _moves([sheet.job]))


def issued_to(jobs: Sequence[Job]) -> list[Issued]:
    """List what is out for some jobs; two queries for all."""
    entries = Entry.objects.filter(job__in=jobs, kind=Entry.Kind.PART, replaced_by__isnull=True)
    return _issued(entries.order_by("stored_at", "counter", "pk"), _moves(jobs))


def _moves(jobs: Sequence[Job]) -> list[StockMove]:
    rows = StockMove.objects.filter(job__in=jobs, kind__in=["issue", "return"])
    return list(rows.select_related("item", "lot__item").order_by("pk"))


def _issued(entries: Iterable[Entry], moves: Iterable[StockMove]) -> list[Issued]:
    by_pk: dict[int, StockMove] = {}
    out: dict[tuple[int | None, int, str], int] = {}
    for move in moves:
        by_pk[move.pk] = move
        place = (move.job_id, move.lot_id, move.position)
        out[place] = out.get(place, 0) - move.quantity
    found = []
    for entry in entries:
        for move in _moves_of(entry, by_pk):
            place = (move.job_id, move.lot_id, move.position)
            left = min(-move.quantity, out[place])
            out[place] -= left
            if left > 0:
                found.append(Issued(entry, move, left))
    return found


def _moves_of(entry: Entry, by_pk: dict[int, StockMove]) -> list[StockMove]:
    payload = entry.payload if isinstance(entry.payload, dict) else {}
    if entry.kind != Entry.Kind.PART:
        return []
    return [by_pk[pk] for pk in payload.get("moves", ()) if pk in by_pk]


def issued_rows(sheet: Sheet) -> list[dict[str, Any]]:
    """Give for the page what is out: `left` as it is said, `one` where it is a single piece."""
    return [
        {
            "move": row.move.pk, "name": row.move.item.name, "place": row.move.position,
            "batch": row.move.lot.batch, "left": show_quantity(row.move.item, row.left),
            "one": row.left == 1 and row.move.item.unit == "piece",
        }
        for row in issued_of(sheet)
    ]  # fmt: skip

"""Who is due, by owner: whoever is due first stands first, with all of theirs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, overload

from django.db.models import Count, F, FilteredRelation, Min, Q, QuerySet
from django.db.models.functions import Coalesce

from shopapp.customers.models import Customer
from shopapp.dampers.models import called
from shopapp.due.models import Due
from shopapp.due.queries import due_dampers

READ = (
    "on", "because", "serviced_on", "damper", "damper__maker", "damper__serial", "damper__tag", "job__place",
    "job__order__number", "job__order__vehicle__description", "owner", "owner_name",
)  # fmt: skip
"""What is read of a row, as `DueRow` names it."""


@dataclass(frozen=True, slots=True)
class DueRow:
    """One damper that is due: since which order, off what, and who owns it now.

    An owner who was entered twice is the entry that is kept; `owner_id` is None where nobody is noted.
    """

    on: date
    because: str
    serviced_on: date
    damper_id: int
    maker: str
    serial: str
    tag: str
    place: str
    order: int
    vehicle: str | None
    owner_id: int | None
    owner_name: str | None

    @property
    def damper(self) -> str:
        """Name the damper."""
        return called(self.maker, self.serial, self.tag)


class DueByOwner(Sequence[DueRow]):
    """The dampers that are due, a slice at a time: the owners are sorted first, then only the rows asked for are read.

    Two queries for a slice, whatever its length and the number of dampers.
    """

    def __init__(self, *, until: date | None = None) -> None:
        self._due = due_dampers(until=until)

    @cached_property
    def _owners(self) -> list[tuple[int | None, int]]:
        """Who owns how many of them: whoever is due first in front, what nobody owns last."""
        rows = _owned(self._due).order_by().values_list("owner").annotate(Min("on"), Count("pk"))
        sorted_rows = sorted(rows, key=lambda row: (row[0] is None, row[1], row[0] or 0))
        return [(owner, count) for owner, _first, count in sorted_rows]

    def __len__(self) -> int:
        return sum(count for _owner, count in self._owners)

    @overload
    def __getitem__(self, wanted: int) -> DueRow: ...
    @overload
    def __getitem__(self, wanted: slice) -> list[DueRow]: ...
    def __getitem__(self, wanted: int | slice) -> DueRow | list[DueRow]:
        if isinstance(wanted, int):
            return self._read(*slice(wanted, wanted + 1).indices(len(self))[:2])[0]
        start, stop, step = wanted.indices(len(self))
        return self._read(start, stop)[::step]

    def __iter__(self) -> Iterator[DueRow]:
        return iter(self[:])

    def _read(self, start: int, stop: int) -> list[DueRow]:
        """Read the rows from `start` to before `stop`: of the owners they belong to, and of those no more than them."""
        place: dict[int | None, int] = {}
        before = end = 0
        for owner, count in self._owners:
            if end >= stop:
                break
            end += count
            if end <= start:
                before = end
            else:
                place[owner] = len(place)
        if not place:
            return []
        # Who got a damper since the owners were sorted stands there at the next look.
        rows = [row for row in self._of(list(place)) if row.owner_id in place]
        rows.sort(key=lambda row: (place[row.owner_id], row.on, row.damper_id))
        return rows[start - before : stop - before]

    def _of(self, owners: Sequence[int | None]) -> Iterator[DueRow]:
        """Give what is due of some owners, in no order."""
        kept = [owner for owner in owners if owner is not None]
        theirs = Customer.objects.filter(Q(pk__in=kept) | Q(merged_into__in=kept)).order_by()
        asked = Q(own__customer__in=theirs)
        if None in owners:
            asked |= Q(own__isnull=True)
        name = Coalesce(F("own__customer__merged_into__name"), F("own__customer__name"))
        rows = _owned(self._due).filter(asked).annotate(owner_name=name)
        return (DueRow(*read) for read in rows.values_list(*READ))


def _owned(rows: QuerySet[Due]) -> QuerySet[Any]:
    """Add to each row `owner`: who owns the damper now."""
    own = FilteredRelation("damper__ownerships", condition=Q(damper__ownerships__current=True))
    return rows.annotate(own=own).annotate(
        owner=Coalesce(F("own__customer__merged_into"), F("own__customer"))
    )

"""Who is due, by owner: whoever is due first stands first, with all of theirs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, overload

from django.db.models import Case, Count, F, FilteredRelation, Min, Q, QuerySet, When
from django.db.models.functions import Coalesce

from shopapp.customers.models import Customer
from shopapp.due.models import Due
from shopapp.due.queries import due_dampers

READ = (
    "on", "because", "serviced_on", "damper__tag", "damper__maker", "damper__serial", "job__place",
    "job__order__number", "job__order__vehicle__description",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class DueRow:
    """One damper that is due, and who owns it now: a double as the entry that is kept, None where nobody is noted."""

    due: Due
    owner_id: int | None
    owner_name: str


class DueByOwner(Sequence[DueRow]):
    """The dampers that are due, a slice at a time: the owners are sorted first, then only the rows asked for are read.

    Three queries for a slice, whatever its length and the number of dampers.
    """

    def __init__(self, *, until: date | None = None) -> None:
        self._due = due_dampers(until=until)

    @cached_property
    def _owners(self) -> list[tuple[int | None, int]]:
        """Who owns how many of them: whoever is due first in front, what nobody owns last."""
        rows = _owned(self._due).values("owner").annotate(first=Min("on"), count=Count("pk"))
        nobody = Case(When(owner__isnull=True, then=1), default=0)
        return list(rows.order_by(nobody, "first", "owner").values_list("owner", "count"))

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
        rows = self._of(list(place))
        theirs = [(place[owner], on, pk, owner, name) for pk, on, owner, name in rows if owner in place]
        keys = sorted(theirs)[start - before : stop - before]
        rows = Due.objects.select_related("damper", "job__order__vehicle").only(*READ)
        dues = rows.in_bulk([pk for _place, _on, pk, _owner, _name in keys])
        return [DueRow(dues[pk], owner, name or "") for _place, _on, pk, owner, name in keys]

    def _of(self, owners: Sequence[int | None]) -> QuerySet[Any]:
        """Give key, day, owner and the owner's name of what is due of some owners."""
        kept = [owner for owner in owners if owner is not None]
        theirs = Customer.objects.filter(Q(pk__in=kept) | Q(merged_into__in=kept)).order_by()
        asked = Q(own__customer__in=theirs)
        if None in owners:
            asked |= Q(own__isnull=True)
        name = Coalesce(F("own__customer__merged_into__name"), F("own__customer__name"))
        rows = _owned(self._due).filter(asked).annotate(owner_name=name)
        return rows.values_list("pk", "on", "owner", "owner_name")


def _owned(rows: QuerySet[Due]) -> QuerySet[Any]:
    """Add to each row `owner`: who owns the damper now."""
    own = FilteredRelation("damper__ownerships", condition=Q(damper__ownerships__current=True))
    return rows.annotate(own=own).annotate(
        owner=Coalesce(F("own__customer__merged_into"), F("own__customer"))
    )

"""An entry on its way in, as the rules of its kind see and complete it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from shopapp.bench.models import Entry
from shopapp.bench.queries.reading import Sheet
from shopapp.bench.queries.steps import SheetStep
from shopapp.bench.services.entry_in import EntryIn
from shopapp.orders.models import Job
from shopapp.shop.services.acts import Doing

if TYPE_CHECKING:
    from shopapp.people.models import Person


@dataclass
class Recording:
    """An entry on its way in: the sheet as it stands, what is to be stored, what follows once it is."""

    act: Doing
    sheet: Sheet
    entry: EntryIn
    by: Person
    at: datetime
    step: SheetStep | None = None
    replaces: Entry | None = None
    out_of_order: bool = False
    fields: dict[str, Any] = field(default_factory=dict)
    payload: dict[str, Any] = field(default_factory=dict)
    then: list[Callable[[Entry], None]] = field(default_factory=list)

    @property
    def job(self) -> Job:
        """Give the job that the entry is for."""
        return self.sheet.job

    @property
    def typed_at(self) -> datetime:
        """Give the moment of typing by the server's clock: the tablet's clock with its offset, never in the future."""
        return min(self.at, self.entry.typed_at + timedelta(milliseconds=self.entry.offset_ms))

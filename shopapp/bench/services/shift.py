"""Take a note to the next shift from My bench."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from shopapp.bench.models import Entry
from shopapp.bench.services.notes import taking
from shopapp.bench.services.recording import record_entry
from shopapp.shop.services.acts import Call, Doing

if TYPE_CHECKING:
    from shopapp.people.models import Person


def take_note(*, note: Entry, by: Person, at: datetime, call: Call, within: Doing | None = None) -> Entry:
    """Record that somebody took a note: an entry of its own on the job's sheet; a second one is refused by name."""
    return record_entry(job=note.job, entry=taking(note=note, at=at), by=by, at=at, call=call, within=within)

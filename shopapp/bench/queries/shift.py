"""Notes to the next shift that nobody took yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from shopapp.bench.models import Entry
from shopapp.bench.queries.mine import where_words
from shopapp.dampers.services.tags import show
from shopapp.orders.models import Job


@dataclass(frozen=True, slots=True)
class ShiftNote:
    """A note to the next shift as a page shows it."""

    id: UUID
    words: str
    by: str
    at: datetime
    tag: str
    where: str


def untaken() -> QuerySet[Entry]:
    """List the notes to the next shift of open jobs, oldest first: neither taken nor corrected."""
    taken = Entry.objects.filter(about=OuterRef("pk"), kind=Entry.Kind.TAKEN)
    # From the open jobs to their entries, never through the entries of all the years.
    open_jobs = Job.objects.filter(is_open=True).order_by()
    rows = Entry.objects.filter(job__in=open_jobs, kind=Entry.Kind.NOTE, payload__shift=True)
    rows = rows.filter(~Exists(taken), replaced_by__isnull=True)
    return rows.select_related("by", "job__order__vehicle", "job__damper").order_by("stored_at", "pk")


def shift_notes() -> list[ShiftNote]:
    """Give every note that waits to be taken, whoever's job it is on: a shift hands over the whole bench."""
    return [
        ShiftNote(
            id=row.pk, words=row.words, by=row.by.name, at=row.stored_at, tag=show(row.job.damper.tag),
            where=where_words(row.job),
        )
        for row in untaken().only(
            "words", "stored_at", "by__name", "job__place", "job__place_number", "job__order__number",
            "job__order__vehicle__description", "job__damper__tag",
        )
    ]  # fmt: skip


def note_of(pk: UUID) -> Entry | None:
    """Give one note by its id, whoever took it; None where there is none."""
    return Entry.objects.filter(pk=pk, kind=Entry.Kind.NOTE).select_related("job").first()


def untaken_of(entries: Sequence[Entry]) -> list[Entry]:
    """Give the notes of one sheet's entries that wait to be taken."""
    gone = {row.about_id for row in entries if row.kind == Entry.Kind.TAKEN}
    gone |= {row.replaces_id for row in entries}
    return [
        row
        for row in entries
        if row.kind == Entry.Kind.NOTE and row.payload.get("shift") and row.pk not in gone
    ]

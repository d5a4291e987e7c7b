"""Notes at the bench: about a step or the job; one for the next shift stands on top until somebody takes it."""

from __future__ import annotations

import uuid
from datetime import datetime

from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.bench.services.draft import Recording
from shopapp.bench.services.entry_in import EntryIn
from shopapp.shop.services.acts import Refused

SHIFT = "shift"
"""The answer of a note that is for the next shift, and the name under which its payload keeps that."""


def note(recording: Recording) -> None:
    """A note: words about a step or the job; with the answer "shift" it is for the next shift."""
    if not recording.entry.words:
        raise Refused(_("Write what the note says."), field="words")
    if recording.entry.answer == SHIFT:
        recording.payload[SHIFT] = True


def taken(recording: Recording) -> None:
    """Somebody took a note to the next shift: it stands on top no longer. Taken once, by whoever is first."""
    old = next((row for row in recording.sheet.entries if row.pk == recording.entry.about), None)
    if old is None or old.kind != Entry.Kind.NOTE or not old.payload.get(SHIFT):
        raise Refused(_("There is no such note to the next shift here. Load the page again."), field="about")
    if str(old.pk) in recording.sheet.replaced:
        raise Refused(_("This note was corrected. Load the page again and read the new one."), field="about")
    before = [e for e in recording.sheet.entries if e.kind == Entry.Kind.TAKEN and e.about_id == old.pk]
    if before:
        raise Refused(_("%s took this note already.") % before[0].by.name, field="about")
    recording.fields["about"] = old


def taking(*, note: Entry, at: datetime) -> EntryIn:
    """Give the entry by which a note is taken from a page that is no sheet."""
    return EntryIn(
        id=uuid.uuid4(), job=note.job_id, kind="taken", typed_at=at, counter=int(at.timestamp() * 1000), about=note.pk,
    )  # fmt: skip


__all__ = ["SHIFT", "note", "taken", "taking"]

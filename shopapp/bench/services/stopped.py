"""A job stopped as unsafe: only the owner releases it, saying who made it safe and how."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import TYPE_CHECKING

from shopapp.bench.models import Entry
from shopapp.bench.services.entry_in import EntryIn
from shopapp.bench.services.recording import record_entry
from shopapp.orders.models import Job
from shopapp.shop.services.acts import Call, Doing

if TYPE_CHECKING:
    from shopapp.people.models import Person


def release_job(
    *, job: Job, words: str, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Entry:
    """Record the owner's release of a stopped job from the office: an entry of its own on the job's sheet."""
    entry = EntryIn(
        id=uuid.uuid4(),
        job=job.pk,
        kind="release",
        typed_at=at,
        counter=int(at.timestamp() * 1000),
        words=words,
    )
    return record_entry(job=job, entry=entry, by=by, at=at, call=call, within=within)

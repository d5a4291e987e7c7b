"""Pictures at the bench: a file is kept first, by itself; an entry shows it afterwards, of a step or of a finding."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import IO, TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.bench.models import Entry, EntryPicture, Picture
from shopapp.bench.services.draft import Recording
from shopapp.orders.models import Job
from shopapp.papers import pictures, store
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person

BENCH_ROLES = frozenset({"technician", "owner"})


@dataclass(frozen=True, slots=True)
class Developed:
    """A picture whose bytes are on the disk already: where they lie and what they are."""

    sha256: str
    place: str
    size: int
    width: int
    height: int


def develop(file: IO[bytes]) -> Developed:
    """Make a picture ours and put its bytes on the disk; `Refused` in a sentence for what is no picture.

    Outside any transaction: it takes its time, and bytes that no row names afterwards are swept (papers/orphans.py).
    """
    made = pictures.ready(file)
    sha256, place = store.put(made.content, suffix=pictures.SUFFIX)
    return Developed(sha256, place, len(made.content), made.width, made.height)


def picture_key(pk: uuid.UUID) -> str:
    """Give the act's key of a picture: the page makes its id, so a repeat is recognised."""
    return f"picture:{pk}"


def keep_picture(
    *,
    job: Job,
    pk: uuid.UUID,
    developed: Developed,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Picture:
    """Keep a picture of a job's damper, whose bytes `develop` has put on the disk."""
    with acts.doing("keep_picture", call=call, by=by, at=at, within=within) as act:
        if not BENCH_ROLES & by.roles:
            raise Refused(_("Only technicians and the owner record at the bench."))
        row = Picture.objects.create(
            id=pk, job=job, sha256=developed.sha256, place=developed.place, size=developed.size,
            width=developed.width, height=developed.height, by=by, device=call.device, stored_at=at, act_id=act.id,
        )  # fmt: skip
        act.about("job", job.pk)
        act.result = {"picture": str(row.pk), "job": job.pk}
        return row


def keep_as_received(
    *, job: Job, developed: Developed, number: int, by: Person, call: Call, within: Doing
) -> Picture:
    """Keep a picture of how a job's damper came, taken by whoever received it, in the act that receives it.

    `number` counts the pictures of the act from nought: they stand in the order in which they were chosen.
    """
    return Picture.objects.create(
        job=job, sha256=developed.sha256, place=developed.place, size=developed.size, width=developed.width,
        height=developed.height, by=by, device=call.device, act_id=within.id,
        stored_at=within.at + timedelta(microseconds=number),
    )  # fmt: skip


def show_pictures(recording: Recording) -> None:
    """Pictures that are stored already, each with its words: of the step, or of the finding that `about` names.

    To take a picture is no work: it makes no proof stale. Pictures of a finding may come after the job is closed.
    """
    entry, job = recording.entry, recording.job
    if not entry.pictures:
        raise Refused(_("Take a picture first."), field="pictures")
    if recording.step is None:
        recording.fields["about"] = _finding(recording)
        recording.out_of_order = job.state == Job.State.VOID or job.handed_over_at is not None
    stored = Picture.objects.in_bulk([row.id for row in entry.pictures])
    _refuse_missing(recording, stored)
    recording.payload["pictures"] = [str(row.id) for row in entry.pictures]
    recording.then.append(lambda row: _keep(recording, row))


def _finding(recording: Recording) -> Entry:
    about = next((row for row in recording.sheet.entries if row.pk == recording.entry.about), None)
    if about is None or about.kind != Entry.Kind.FINDING:
        raise Refused(_("Choose the finding that these pictures are of."), field="about")
    if recording.replaces is not None and recording.replaces.about_id != about.pk:
        raise Refused(_("This entry cannot be corrected by that one. Record it anew."), field="replaces")
    return about


def _refuse_missing(recording: Recording, stored: Mapping[uuid.UUID, Picture]) -> None:
    for number, row in enumerate(recording.entry.pictures, 1):
        found = stored.get(row.id)
        if found is None or found.job_id != recording.job.pk:
            words = _(
                "Picture %d did not reach the shop's computer: it was lost with the page. Take it again."
            )
            raise Refused(words % number, field="pictures")


def _keep(recording: Recording, row: Entry) -> None:
    EntryPicture.objects.bulk_create(
        EntryPicture(entry=row, picture_id=shown.id, number=number, caption=shown.caption)
        for number, shown in enumerate(recording.entry.pictures, 1)
    )

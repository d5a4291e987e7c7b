"""The pictures of a job: of its steps and of its findings, as sheet, desk and report read them."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from shopapp.bench.models import Entry, EntryPicture, Picture
from shopapp.orders.models import Job

RECEIVING = "take_in"
"""The act that receives dampers with their pictures."""


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture with its words, and of what it is: of a step by its key and name, or of a finding by its number."""

    id: uuid.UUID
    caption: str
    job_id: int
    finding: int | None
    step: str
    stage: str
    sha256: str
    place: str
    width: int
    height: int
    by: str
    at: datetime


def picture_of(pk: uuid.UUID) -> Picture | None:
    """Give one picture; None where there is none."""
    return Picture.objects.filter(pk=pk).first()


def shots_of(jobs: Iterable[Job | int]) -> list[Shot]:
    """List the pictures of jobs: how they came first, then those of entries that nothing corrects, in their order.

    Two queries, whatever their number.
    """
    some = list(jobs)
    rows = _current().filter(entry__job__in=some)
    return [*as_received(some), *(_shot(row) for row in rows)]


def as_received(jobs: Iterable[Job | int]) -> list[Shot]:
    """List the pictures that were taken when the dampers were received: no entry shows them, the receiving act does."""
    rows = Picture.objects.filter(job__in=list(jobs), act__verb=RECEIVING).select_related("by", "job")
    return [
        Shot(
            id=row.pk, caption=row.job.condition or _("as it was received"), job_id=row.job.pk, finding=None,
            step=_("when it was received"), stage="receive", sha256=row.sha256, place=row.place, width=row.width,
            height=row.height, by=row.by.initials, at=row.stored_at,
        )
        for row in rows.order_by("stored_at", "pk")
        if row.job is not None
    ]  # fmt: skip


def of_findings(shots: Iterable[Shot]) -> dict[tuple[int, int], list[Shot]]:
    """Sort the pictures of findings by job and number; a corrected finding keeps those of its first words."""
    found: dict[tuple[int, int], list[Shot]] = {}
    for shot in shots:
        if shot.finding is not None:
            found.setdefault((shot.job_id, shot.finding), []).append(shot)
    return found


def _current() -> QuerySet[EntryPicture]:
    rows = EntryPicture.objects.filter(entry__replaced_by__isnull=True, entry__kind=Entry.Kind.PICTURE)
    rows = rows.filter(Q(entry__step__isnull=False) | Q(entry__about__finding__isnull=False))
    joined = ("picture", "entry__by", "entry__step", "entry__about__finding")
    return rows.select_related(*joined).order_by("entry__stored_at", "entry__counter", "entry_id", "number")


def _shot(row: EntryPicture) -> Shot:
    entry = row.entry
    finding = entry.about.finding.number if entry.about is not None and entry.step_id is None else None
    return Shot(
        id=row.picture_id, caption=row.caption, job_id=entry.job_id, finding=finding,
        step=entry.step.name if entry.step else "", stage=entry.step.stage if entry.step else "",
        sha256=row.picture.sha256, place=row.picture.place, width=row.picture.width, height=row.picture.height,
        by=entry.by.initials, at=entry.stored_at,
    )  # fmt: skip


def document_pictures(entry: Entry) -> list[dict[str, Any]]:
    """Give an entry's pictures for the sheet document: id and words (the page knows where pictures are fetched)."""
    return [{"id": str(row.picture_id), "caption": row.caption} for row in entry.pictures.all()]

"""The pictures on the report: of findings beside them, of how the damper came small; words and bytes frozen with it."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from shopapp.bench.queries.pictures import Shot, shots_of
from shopapp.bench.report_record import Record
from shopapp.papers.engine_files import NamedFile, picture_name


def found(record: Record) -> list[dict[str, Any]]:
    """Give the pictures of findings, by number."""
    numbers = {finding.number for finding in record.sheet.findings}
    rows = [shot for shot in shots_of([record.job]) if shot.finding in numbers]
    return [_row(record, shot) for shot in sorted(rows, key=lambda shot: shot.finding or 0)]


def of_steps(record: Record) -> list[dict[str, Any]]:
    """Give the pictures that were taken at a step, in their order."""
    return [_row(record, shot) for shot in shots_of([record.job]) if shot.finding is None]


def _row(record: Record, shot: Shot) -> dict[str, Any]:
    words = _("Finding %(number)s: %(caption)s") % {"number": shot.finding, "caption": shot.caption}
    return {
        "finding": shot.finding, "caption": shot.caption, "alt": words if shot.finding else shot.caption,
        "step": shot.step, "sha256": shot.sha256, "place": shot.place, "name": picture_name(shot.sha256),
        "by": shot.by, "at": record.moment(shot.at),
    }  # fmt: skip


def files(figures: dict[str, Any]) -> list[NamedFile]:
    """Name the stored files that the paper shows, from its frozen figures alone."""
    rows = [*figures.get("pictures", []), *figures.get("finding_pictures", [])]
    return [NamedFile(row["name"], row["place"], row["sha256"]) for row in rows]

"""The settings on a sheet: how the damper came, how it is now, and what was said where the two differ."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.bench.lock_restoring import SPARE, Noted, Setting, Unlike, differing
from shopapp.bench.models import Entry
from shopapp.bench.queries.steps import SheetStep, with_unit

if TYPE_CHECKING:
    from shopapp.bench.queries.reading import Sheet


def settings_of(steps: Sequence[SheetStep]) -> list[Setting]:
    """Give what the judge of settings needs of the steps."""
    return [
        Setting(row.key, row.step.figure, row.position, row.step.phase)
        for row in steps
        if row.step.figure in SPARE
    ]


def noted_of(entries: Sequence[Entry]) -> list[Noted]:
    """Give what the judge of settings needs of the entries."""
    return [
        Noted(
            id=str(entry.pk), key=f"{entry.step_id}:{entry.position}" if entry.step_id else "", kind=entry.kind,
            si=entry.value_si, replaces=str(entry.replaces_id or ""), about=str(entry.about_id or ""),
        )
        for entry in entries
        if entry.name in SPARE or entry.kind == Entry.Kind.REASON
    ]  # fmt: skip


def is_setting(entry: Entry) -> bool:
    """Say whether an entry reads a setting."""
    return entry.kind == Entry.Kind.READING and entry.name in SPARE


def unlike(sheet: Sheet) -> tuple[Unlike, ...]:
    """List the settings that are not as the damper came, explained or not."""
    return differing(settings_of(sheet.steps), noted_of(sheet.entries))


def unrestored_words(sheet: Sheet) -> list[str]:
    """Say which settings stand in the way of *done*, and what would settle them."""
    by_id = {str(entry.pk): entry for entry in sheet.entries}
    said = []
    for one in (one for one in unlike(sheet) if not one.explained):
        built, came = by_id[one.built], by_id[one.received]
        step = sheet.by_key.get(f"{built.step_id}:{built.position}")
        words = _("%(name)s: %(text)s. It came with %(came)s. Set it again, or say what was agreed.")
        name = step.name if step else built.name
        texts = (with_unit(row.value_text, row.value_unit, row.value_kind) for row in (built, came))
        said.append(words % dict(zip(("text", "came"), texts, strict=True), name=name))
    return said


def came_with(sheet: Sheet) -> dict[str, str]:
    """Give for each reading as built that is not as it came, by its id, what the damper came with, as typed."""
    by_id = {str(entry.pk): entry for entry in sheet.entries}
    rows = ((one.built, by_id[one.received]) for one in unlike(sheet))
    return {pk: with_unit(row.value_text, row.value_unit, row.value_kind) for pk, row in rows}

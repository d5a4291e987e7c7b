"""What judges of pairs of readings share: which records count, and whether a reason was said after them.

Pure: no database, no clock. Records stand in the order in which they were stored.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Protocol

SAID = ("reading", "unreadable")


class Recorded(Protocol):
    """What is asked of a record here."""

    @property
    def id(self) -> str: ...
    @property
    def key(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def replaces(self) -> str: ...
    @property
    def about(self) -> str: ...


def latest_of(records: Sequence[Recorded]) -> dict[str, int]:
    """Give by step the place of the latest record that says its reading and that no other corrects."""
    replaced = _replaced(records)
    return {
        record.key: place
        for place, record in enumerate(records)
        if record.kind in SAID and record.key and record.id not in replaced
    }


def last_of(latest: dict[str, int], keys: Iterable[str]) -> int | None:
    """Give the latest place of some steps; None where none of them was said."""
    return max((latest[key] for key in keys if key in latest), default=None)


def explained_after(records: Sequence[Recorded], place: int, about: Collection[str]) -> bool:
    """Say whether after `place` a reason was said about one of these records, and not corrected away."""
    replaced = _replaced(records)
    after = records[place + 1 :]
    return any(said.kind == "reason" and said.about in about and said.id not in replaced for said in after)


def _replaced(records: Sequence[Recorded]) -> set[str]:
    return {record.replaces for record in records if record.replaces}

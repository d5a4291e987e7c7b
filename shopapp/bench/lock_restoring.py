"""Judge whether a damper's settings are again as they came: until a difference is explained, the job is not done.

Pure: no database, no clock. The browser has the same judge (static/js/bench/restoring.js); both are held against
tests/bench/restoring.json. The latest reading of each side that no entry corrects is compared, wherever it stands.
Only a reason said after both, about one of them, settles a difference: a reason at the reading itself may be for its
limits.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from shopapp.bench.lock_rules import Standing
from shopapp.bench.lock_said import explained_after, last_of, latest_of

INCH_M = 0.0254
SPARE = {"preload": INCH_M / 32, "retainer gap": INCH_M / 64, "adjuster": 0.0, "eye centres": INCH_M / 16}
"""The settings, and how far apart (SI) two readings of one may lie and be the same: what a tape or a rule can tell."""

HAIR = 1e-9
RECEIVED, BUILT = "received", "built"


@dataclass(frozen=True, slots=True)
class Setting:
    """A step that reads a setting: its key, the figure's name, which one of them, the phase."""

    key: str
    figure: str
    position: str
    phase: str


@dataclass(frozen=True, slots=True)
class Noted:
    """What was recorded: a reading in SI units, one that was not readable, or a reason `about` one of them."""

    id: str
    key: str
    kind: str
    si: float | None = None
    replaces: str = ""
    about: str = ""

    @classmethod
    def read(cls, entry: dict[str, Any]) -> Noted:
        """Read an entry of a sheet document."""
        return cls(
            entry["id"], entry.get("key") or "", entry["kind"], entry.get("si"), entry.get("replaces") or "",
            entry.get("about") or "",
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Unlike:
    """A setting that is not as it came: the ids of the two readings."""

    figure: str
    position: str
    received: str
    built: str
    explained: bool


def unrestored(steps: Iterable[Setting], records: Sequence[Noted]) -> tuple[Unlike, ...]:
    """List the settings that differ from how they came and are not explained, in the order of the steps."""
    return tuple(one for one in differing(steps, records) if not one.explained)


def differing(steps: Iterable[Setting], records: Sequence[Noted]) -> tuple[Unlike, ...]:
    """List the settings that differ from how they came, explained or not, in the order of the steps."""
    latest = latest_of(records)
    found = []
    for (figure, position), (received, built) in _sides(steps).items():
        came, is_now = last_of(latest, received), last_of(latest, built)
        if came is None or is_now is None or alike(figure, records[came].si, records[is_now].si):
            continue
        both = (records[came].id, records[is_now].id)
        explained = explained_after(records, max(came, is_now), both)
        found.append(Unlike(figure, position, records[came].id, records[is_now].id, explained))
    return tuple(found)


def alike(figure: str, one: float | None, other: float | None) -> bool:
    """Say whether two readings of a setting are the same one; what could not be read is unlike nothing."""
    return one is None or other is None or abs(one - other) <= SPARE[figure] + HAIR


def hold_restored(judged: Standing, steps: Iterable[Setting], records: Sequence[Noted]) -> Standing:
    """Take the end as *done* back while a setting is unlike; nothing else is shut."""
    if not unrestored(steps, records):
        return judged
    return replace(judged, may_close_done=False, outcomes=judged.outcomes - {"done"})


def _sides(steps: Iterable[Setting]) -> dict[tuple[str, str], tuple[list[str], list[str]]]:
    found: dict[tuple[str, str], tuple[list[str], list[str]]] = {}
    for step in steps:
        if step.figure in SPARE and step.phase in (RECEIVED, BUILT):
            received, built = found.setdefault((step.figure, step.position), ([], []))
            (received if step.phase == RECEIVED else built).append(step.key)
    return found

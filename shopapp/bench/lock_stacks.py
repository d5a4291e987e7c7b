"""Judge whether the shims that were taken out are the ones that go back: until it is said, the job is not done.

Pure: no database, no clock. The browser has the same judge (static/js/bench/stack_judge.js); both are held against
tests/bench/stacks.json. What is out of order is a fact as well: the latest stack of a side that no entry corrects is
compared, wherever it stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from shopapp.bench.lock_rules import AS_FOUND, Standing
from shopapp.bench.lock_said import explained_after, last_of, latest_of

HAIR_M = 1e-9

Figures = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """A step that asks for a stack: its key, the figure's name, the phase."""

    key: str
    figure: str
    phase: str


@dataclass(frozen=True, slots=True)
class Laid:
    """What was recorded for such a step. `shims` are diameter and thickness in m; none where it was not readable.

    A record of the kind `reason` is said afterwards, `about` one of the stacks: it asks for no step and is no work.
    """

    id: str
    key: str
    kind: str
    shims: Figures = ()
    reason: str = ""
    replaces: str = ""
    about: str = ""

    @classmethod
    def read(cls, entry: dict[str, Any]) -> Laid:
        """Read an entry of a sheet document."""
        shims = tuple((shim["diameter"], shim["thickness"]) for shim in entry.get("shims") or ())
        return cls(
            entry["id"], entry.get("key") or "", entry["kind"], shims, entry.get("reason") or "",
            entry.get("replaces") or "", entry.get("about") or "",
        )  # fmt: skip


def unsettled(steps: Iterable[Asked], records: Sequence[Laid]) -> dict[str, str]:
    """Give the figures whose stacks stand in the way of *done*: "missing" where one was taken out and none is read
    as built, "unlike" where the two differ. The later of the two settles it by its reason, or a reason said afterwards.
    """
    found = {}
    latest = latest_of(records)
    for figure, (out_keys, back_keys) in _by_figure(steps).items():
        out, back = last_of(latest, out_keys), last_of(latest, back_keys)
        trouble = _trouble(records, out, back) if back_keys else ""
        if trouble and out is not None and not _explained(records, out, back):
            found[figure] = trouble
    return found


def _trouble(records: Sequence[Laid], out: int | None, back: int | None) -> str:
    if out is None or records[out].kind != "reading":
        return ""
    if back is None:
        return "missing"
    differ = records[back].kind == "reading" and not alike(records[out].shims, records[back].shims)
    return "unlike" if differ else ""


def _explained(records: Sequence[Laid], out: int, back: int | None) -> bool:
    """Say whether the later of two stacks gives a reason, or one was said after both that is about one of them."""
    last = out if back is None else max(out, back)
    both = {records[place].id for place in (out, back) if place is not None}
    said = explained_after(records, last, both)
    return said or (back is not None and bool(records[last].reason))


def alike(one: Figures, other: Figures) -> bool:
    """Say whether two stacks are the same shims in the same order."""
    return len(one) == len(other) and all(
        abs(a - b) <= HAIR_M
        for left, right in zip(one, other, strict=True)
        for a, b in zip(left, right, strict=True)
    )


def hold_stacks(judged: Standing, steps: Iterable[Asked], records: Sequence[Laid]) -> Standing:
    """Take the end as *done* back while a stack stands in its way; nothing else is shut."""
    if not unsettled(steps, records):
        return judged
    return replace(judged, may_close_done=False, outcomes=judged.outcomes - {"done"})


def _by_figure(steps: Iterable[Asked]) -> dict[str, tuple[list[str], list[str]]]:
    found: dict[str, tuple[list[str], list[str]]] = {}
    for step in steps:
        out, back = found.setdefault(step.figure, ([], []))
        (out if step.phase in AS_FOUND else back).append(step.key)
    return found

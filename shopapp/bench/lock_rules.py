"""What the judge of locks reads: the stages in their order, a step's rule, a record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

ORDER = (
    "receive", "wash", "settings", "spring off", "release", "strip", "inspect", "reseal",
    "rod", "fill", "close", "ifp", "charge", "prove", "restore", "final",
)  # fmt: skip
AS_FOUND = frozenset({"received", "removed"})
UNSAFE = "unsafe"
NO_WORK = ("note", "reason")


@dataclass(frozen=True, slots=True)
class StepRule:
    """What the judge needs of a step. `needs`: keys of which one must stand before this step is read.

    `must_read`: "not readable" does not do (a figure that could hurt somebody).
    """

    key: str
    stage: str
    kind: str
    phase: str = ""
    locks: str = ""
    required: bool = True
    must_read: bool = False
    needs: tuple[str, ...] = ()
    passes: frozenset[str] = frozenset()
    stops: frozenset[str] = frozenset()

    @classmethod
    def read(cls, step: Mapping[str, Any]) -> StepRule:
        """Read a step of a sheet document."""
        options = step.get("options", ())
        return cls(
            key=step["key"],
            stage=step["stage"],
            kind=step["kind"],
            phase=step.get("phase", ""),
            locks=step.get("locks", ""),
            required=step.get("required", True),
            must_read=step.get("must_read", False),
            needs=tuple(step.get("needs", ())),
            passes=frozenset(o["value"] for o in options if o.get("passes")),
            stops=frozenset(o["value"] for o in options if o.get("stops")),
        )


@dataclass(frozen=True, slots=True)
class Record:
    """What the judge needs of an entry. `answer` is an option's value, or the outcome of a `close`."""

    id: str
    kind: str
    key: str = ""
    answer: str = ""
    outside: str = ""
    out_of_order: bool = False
    replaces: str = ""

    @classmethod
    def read(cls, entry: Mapping[str, Any]) -> Record:
        """Read an entry of a sheet document."""
        return cls(
            id=entry["id"],
            kind=entry["kind"],
            key=entry.get("key") or "",
            answer=entry.get("answer") or "",
            outside=entry.get("outside") or "",
            out_of_order=bool(entry.get("out_of_order")),
            replaces=entry.get("replaces") or "",
        )

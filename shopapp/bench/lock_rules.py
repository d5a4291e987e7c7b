"""What the judge of locks reads and gives: the stages in their order, a step's rule, a record; how a sheet stands."""

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
NO_WORK = ("note", "taken", "reason", "countersign", "finding", "put right", "picture")


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


@dataclass(frozen=True, slots=True)
class Standing:
    """How a sheet stands. `satisfied` names for each step that stands the record it stands by.

    `open_steps` are the steps of open stages, and those of a shut one that alone keep it shut (the proof before gas
    stands in the stage that it locks). `stopped`: a stop that holds. `released`: the owner said who made it safe and
    how. `missing`: keys of required steps that do not stand, in order. `locked_by`: for each shut stage the keys that
    lock it. `waiting`: keys whose wait runs. `holds_gas`: gas was let in and zero is not proved since. `held`: ids of
    the findings that keep the gas out (lock_findings.py).
    """

    open: frozenset[str]
    open_steps: frozenset[str]
    stage: str
    stopped: bool
    released: bool
    closed: str
    may_close_done: bool
    missing: tuple[str, ...]
    outcomes: frozenset[str]
    states: dict[str, str]
    satisfied: dict[str, str]
    locked_by: dict[str, tuple[str, ...]]
    waiting: frozenset[str]
    holds_gas: bool = False
    held: tuple[str, ...] = ()

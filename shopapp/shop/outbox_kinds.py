"""The registry of outbox kinds: filled at start by each subject's handlers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any


class NotSent(Exception):
    """The work certainly did not happen (a refused connection): it may be tried again."""


@dataclass(frozen=True)
class OutboxKind:
    """One kind: what delivers it (given the row's ids and the moment), and whether repeating it is harmless."""

    deliver: Callable[[dict[str, Any], datetime], str | None]
    repeatable: bool


REGISTRY: dict[str, OutboxKind] = {}


def register(
    name: str, deliver: Callable[[dict[str, Any], datetime], str | None], *, repeatable: bool
) -> None:
    """Register a kind once."""
    if name in REGISTRY and REGISTRY[name].deliver is not deliver:
        raise ValueError(f"outbox kind {name!r} is registered twice")
    REGISTRY[name] = OutboxKind(deliver, repeatable)

"""What follows when a vehicle's meter was read, or how it is used was changed.

A higher subject registers its own from its handlers; it is called within the same transaction.
"""

from __future__ import annotations

from collections.abc import Callable

Follow = Callable[[int], None]
"""Takes the id of a vehicle."""
FOLLOWS: list[Follow] = []


def register(follow: Follow) -> None:
    """Add what follows."""
    if follow not in FOLLOWS:
        FOLLOWS.append(follow)


def tell(vehicle_id: int) -> None:
    """Let everything follow that hangs on a vehicle's use."""
    for follow in FOLLOWS:
        follow(vehicle_id)

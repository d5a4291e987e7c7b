"""Stock: how many kits the parts on hand make, and which part ends it."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from .words import said

Part = TypeVar("Part", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Kits(Generic[Part]):
    """How many whole kits can be made; `limiting` names every part that allows no more, in the kit's order."""

    count: int
    limiting: tuple[Part, ...]


def kits_possible(kit: Mapping[Part, int], on_hand: Mapping[Part, int]) -> Kits[Part]:
    """Return the whole kits that `on_hand` makes, a part that is not there counting as none.

    Quantities are whole numbers of a part's smallest unit. `ValueError` for an empty kit, a kit that takes
    none of a part, and less than nothing on hand. Source: integer arithmetic.
    """
    if not kit:
        raise ValueError(said("A kit needs at least one part."))
    allowed: dict[Part, int] = {}
    for part, quantity in kit.items():
        there = on_hand.get(part, 0)
        if _whole(quantity) < 1:
            raise ValueError(
                said(
                    "A kit takes at least one of each part; it says {quantity} of {part}.",
                    quantity=quantity,
                    part=part,
                )
            )
        if _whole(there) < 0:
            raise ValueError(
                said(
                    "There cannot be less than nothing on hand; it says {there} of {part}.",
                    there=there,
                    part=part,
                )
            )
        allowed[part] = there // quantity
    count = min(allowed.values())
    return Kits(count, tuple(part for part, kits in allowed.items() if kits == count))


def _whole(quantity: int) -> int:
    if isinstance(quantity, bool) or not isinstance(quantity, int):
        raise ValueError(said("Stock is counted in whole numbers of the smallest unit."))
    return quantity

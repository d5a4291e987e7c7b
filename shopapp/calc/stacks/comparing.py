"""What was taken out against what goes back in, place by place, told by the fewest changes."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from ..words import said, word
from .shim import Shim, alike, label, same

Kind = Literal["same", "changed", "missing", "added"]
Side = Literal["compression", "rebound"]

SIDES: Final[dict[Side, str]] = {"compression": word("Compression"), "rebound": word("Rebound")}

_Cost = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Place:
    """One row of the comparison, from the piston face outwards.

    `out_place` and `back_place` count from 1 on either stack, `None` where that one has no shim here.
    """

    kind: Kind
    out_place: int | None
    removed: Shim | None
    back_place: int | None
    built: Shim | None
    side: Side | None = None

    def sentence(self) -> str:
        """Say the row in plain words, the place counted on what is built; on what was taken out for a missing one."""
        told = said(_SENTENCES[self.kind], **self._values())
        if self.side is None:
            return told
        return said("{side}, {sentence}", side=said(SIDES[self.side]), sentence=told[:1].lower() + told[1:])

    def _values(self) -> dict[str, object]:
        return {
            "place": self.out_place if self.back_place is None else self.back_place,
            "removed": label(self.removed) if self.removed else "",
            "built": label(self.built) if self.built else "",
        }


_SENTENCES: Final[dict[Kind, str]] = {
    "same": word("Place {place}: {built} as taken out"),
    "changed": word("Place {place}: {built} in place of {removed}"),
    "missing": word("Place {place} as taken out: {removed} left out"),
    "added": word("Place {place}: {built} added"),
}


def compare(removed: Sequence[Shim], built: Sequence[Shim], side: Side | None = None) -> tuple[Place, ...]:
    """Lay two stacks of one side beside each other with the fewest shims changed, left out and added.

    Among equals more shims stay alike, then fewer figures differ, then what is left out or added lies further from
    the face. Lengths are compared, not how they were typed. The time grows with the product of the lengths.
    """
    costs = _costs(removed, built)
    rows = []
    out = back = 0
    while out < len(removed) or back < len(built):
        kind = _step(costs, removed, built, out, back)
        takes, puts = kind != "added", kind != "missing"
        rows.append(
            Place(
                kind,
                out + 1 if takes else None,
                removed[out] if takes else None,
                back + 1 if puts else None,
                built[back] if puts else None,
                side,
            )
        )
        out, back = out + takes, back + puts
    return tuple(rows)


def changes(rows: Sequence[Place]) -> tuple[Place, ...]:
    """Return the rows that differ; their place among them (from 1) is their number on the drawing."""
    return tuple(row for row in rows if row.kind != "same")


def _costs(removed: Sequence[Shim], built: Sequence[Shim]) -> list[list[_Cost]]:
    """Return for every pair of places what laying the rest beside each other costs at the least."""
    costs: list[list[_Cost]] = [[(0, 0, 0)] * (len(built) + 1) for _ in range(len(removed) + 1)]
    for out in range(len(removed), -1, -1):
        for back in range(len(built), -1, -1):
            ways = [_plus(cost, costs[o][b]) for _, cost, o, b in _ways(removed, built, out, back)]
            if ways:
                costs[out][back] = min(ways)
    return costs


def _ways(
    removed: Sequence[Shim], built: Sequence[Shim], out: int, back: int
) -> list[tuple[Kind, _Cost, int, int]]:
    """Return what may be done at a pair of places, the preferred one first: kind, cost, the places after it."""
    ways: list[tuple[Kind, _Cost, int, int]] = []
    if out < len(removed) and back < len(built):
        kind, cost = _beside(removed[out], built[back])
        ways.append((kind, cost, out + 1, back + 1))
    if out < len(removed):
        ways.append(("missing", (1, 0, 2), out + 1, back))
    if back < len(built):
        ways.append(("added", (1, 0, 2), out, back + 1))
    return ways


def _beside(one: Shim, other: Shim) -> tuple[Kind, _Cost]:
    if same(one, other):
        return "same", (0, -1, 0)
    figures = (not alike(one.diameter, other.diameter)) + (not alike(one.thickness, other.thickness))
    return "changed", (1, 0, figures)


def _plus(one: _Cost, other: _Cost) -> _Cost:
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]


def _step(
    costs: list[list[_Cost]], removed: Sequence[Shim], built: Sequence[Shim], out: int, back: int
) -> Kind:
    for kind, cost, o, b in _ways(removed, built, out, back):
        if _plus(cost, costs[o][b]) == costs[out][back]:
            return kind
    raise AssertionError("one of the ways has the least cost")

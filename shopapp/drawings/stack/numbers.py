"""What a drawing of shims is drawn from: discs, what holds them, rows of a comparison, words."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from shopapp.calc.stacks import Place, Shim, label

KINDS: Final = ("same", "changed", "missing", "added", "awaited")


def _checked(mm: float, what: str) -> None:
    if not math.isfinite(mm) or mm <= 0:
        raise ValueError(f"{what} in a drawing must be more than zero, not {mm}.")


@dataclass(frozen=True, slots=True)
class Disc:
    """One shim: millimetres to draw it by, and the words beside it as they were typed."""

    diameter_mm: float
    thickness_mm: float
    text: str = ""
    crossover: bool = False

    def __post_init__(self) -> None:
        _checked(self.diameter_mm, "A diameter")
        _checked(self.thickness_mm, "A thickness")

    @property
    def shown(self) -> str:
        """Give the words beside the disc: as typed, else its figures."""
        return self.text or f"{self.diameter_mm:g} × {self.thickness_mm:g}"


@dataclass(frozen=True, slots=True)
class Fit:
    """What holds the shims, in mm; what is not known (None) is dashed, the clamp with a "?"."""

    piston_mm: float | None = None
    clamp_mm: float | None = None

    def __post_init__(self) -> None:
        for mm in (self.piston_mm, self.clamp_mm):
            if mm is not None:
                _checked(mm, "A diameter")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a comparison, what was taken out left and what goes back right.

    `kind` is one of KINDS: `awaited` is one not yet entered. The places count from 1 on either stack.
    """

    kind: str
    out: Disc | None = None
    back: Disc | None = None
    out_place: int | None = None
    back_place: int | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"There is no row of the kind {self.kind!r}.")
        wants_out, wants_back = self.kind != "added", self.kind not in ("missing", "awaited")
        if (self.out is not None, self.back is not None) != (wants_out, wants_back):
            raise ValueError(f"A row of the kind {self.kind!r} lacks a disc, or has one too many.")

    @property
    def differs(self) -> bool:
        return self.kind in ("changed", "missing", "added")


@dataclass(frozen=True, slots=True)
class StackWords:
    """The words on the drawing, so that who knows the reader's language can hand in others."""

    title: str = "Shim stacks on the piston"
    compression: str = "Compression"
    rebound: str = "Rebound"
    empty: str = "no shims recorded"
    clamp: str = "clamp"
    crossover: str = "crossover shim"
    thicker: str = "thickness drawn {factor} times true"
    to_scale: str = "drawn to scale"
    out: str = "out"
    back: str = "back"
    left_out: str = "left out"
    added: str = "added"
    alike: str = "alike"
    awaited: str = "not yet entered"
    instead: str = "in place of"
    difference: str = "difference"
    place: str = "Place"

    def scale(self, factor: int) -> str:
        """Say by how much thicker than true the discs are drawn."""
        return self.thicker.replace("{factor}", str(factor)) if factor != 1 else self.to_scale


def discs(stack: Sequence[Shim]) -> tuple[Disc, ...]:
    """Turn a stack that was read into what is drawn."""
    return tuple(_disc(shim) for shim in stack)


def rows(places: Sequence[Place], *, building: bool = False) -> tuple[Row, ...]:
    """Turn a comparison into what is drawn; while `building`, what is missing at the end is awaited."""
    return tuple(_rows(places, building))


def _rows(places: Sequence[Place], building: bool) -> Iterator[Row]:
    last = max((at for at, place in enumerate(places) if place.built is not None), default=-1)
    for at, place in enumerate(places):
        kind = "awaited" if building and at > last else place.kind
        out = None if place.removed is None else _disc(place.removed)
        back = None if place.built is None else _disc(place.built)
        yield Row(kind, out, back, place.out_place, place.back_place)


def _disc(shim: Shim) -> Disc:
    return Disc(shim.diameter.si * 1e3, shim.thickness.si * 1e3, label(shim), shim.crossover)

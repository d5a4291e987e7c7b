"""What a sheet is made of as it is handed to the services: figures, kits, tools."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from shopapp.specs import figures

if TYPE_CHECKING:
    from shopapp.calc.units import Measurement
    from shopapp.stock.models import Item, Kit
    from shopapp.tools.models import ToolKind


@dataclass(frozen=True)
class FigureIn:
    """One figure: lowest, target and highest as typed, or words where the sheet gives none."""

    name: str
    position: str = ""
    low: Measurement | None = None
    target: Measurement | None = None
    high: Measurement | None = None
    absolute: bool = False
    words: str = ""

    @property
    def label(self) -> str:
        """Name the figure as the sheet does, with its position."""
        label = str(figures.NAMES[self.name].label) if self.name in figures.NAMES else self.name
        return f"{label}, {self.position}" if self.position else label

    @property
    def given(self) -> list[Measurement]:
        """List what is given, lowest first."""
        return [value for value in (self.low, self.target, self.high) if value is not None]


@dataclass(frozen=True)
class SpecKitIn:
    """A kit, or an item with its quantity in smallest units (the oil), and what it is for."""

    purpose: str
    kit: Kit | None = None
    item: Item | None = None
    quantity: int = 1


@dataclass(frozen=True)
class SpecToolIn:
    """A kind of tool the sheet asks for, narrowed where it must be."""

    kind: ToolKind
    narrowing: str = ""

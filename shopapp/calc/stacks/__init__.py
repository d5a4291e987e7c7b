"""Shim stacks as people write them: read, written back, asked about, compared place by place.

Places count from the piston face outwards, from 1 in every sentence, from 0 in code.
"""

from .comparing import SIDES, Kind, Place, Side, changes, compare
from .queries import queries
from .reading import MOST_SHIMS, read
from .shim import Shim, Stack, crossovers, label, plates
from .writing import write

__all__ = [
    "MOST_SHIMS",
    "SIDES",
    "Kind",
    "Place",
    "Shim",
    "Side",
    "Stack",
    "changes",
    "compare",
    "crossovers",
    "label",
    "plates",
    "queries",
    "read",
    "write",
]

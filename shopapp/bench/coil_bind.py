"""Hold springs off coil bind: what a reading may be at the most or at the least before the coils close at full bump.

Pure, and the same as `static/js/bench/limits.js`; both are held to `tests/bench/coil_bind.json`. Nothing is invented:
without the stroke and, of every spring, what the bound needs, there is no bound. Lengths in metres.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from shopapp.bench.figures import Computed, Units
from shopapp.calc import springs

GAP, FITTED = "bind gap", "spring fitted length"
FREE, SOLID = "spring free length", "spring solid height"


@dataclass(frozen=True, slots=True)
class Coils:
    """All springs of a damper in a row: what they are free, what they are with their coils closed, the stroke."""

    free_m: float | None
    solid_m: float | None
    stroke_m: float | None

    @property
    def least_fitted_m(self) -> float | None:
        """Give the room that they need, rod out: any less and they are closed before full bump."""
        if self.solid_m is None or self.stroke_m is None:
            return None
        return self.solid_m + self.stroke_m

    @property
    def most_gap_m(self) -> float | None:
        """Give the travel left without any preload: there is never more; negative where they bind even so."""
        if self.free_m is None or self.solid_m is None or self.stroke_m is None:
            return None
        return springs.travel_left(self.free_m, self.solid_m, 0.0, self.stroke_m)

    def left_m(self, fitted_m: float) -> float | None:
        """Give the travel left at full bump of springs that stand in `fitted_m`; loose ones have no preload."""
        if self.free_m is None or self.solid_m is None or self.stroke_m is None:
            return None
        return springs.travel_left(self.free_m, self.solid_m, max(self.free_m - fitted_m, 0.0), self.stroke_m)


def coils(bind: Mapping[str, Any], read: Mapping[str, float]) -> Coils:
    """Add up the springs: what was read as it goes on (by its step's key) before what the sheet gives."""
    return Coils(_sum(bind, read, "free"), _sum(bind, read, "solid"), bind["stroke"])


def _sum(bind: Mapping[str, Any], read: Mapping[str, float], name: str) -> float | None:
    found = [read.get(one[f"{name}_key"], one[name]) for one in bind["springs"]]
    return sum(found) if found and None not in found else None


def bounds(bind: Mapping[str, Any], read: Mapping[str, float]) -> tuple[float | None, float | None]:
    """Give the least and the most that the reading may be, each None where nothing bounds it."""
    found = coils(bind, read)
    try:
        if bind["figure"] == FITTED:
            return found.least_fitted_m, None
        return None, found.most_gap_m
    except ValueError:
        # A height with closed coils that is no less than the free length: one of the two is misread.
        return None, None


def computed(found: Coils, fitted_m: float | None, show: Units) -> Computed:
    """Say at restore how far the springs are from closing."""
    least = found.least_fitted_m
    if least is None:
        return Computed(_("Stroke or a closed height is not known: coil bind cannot be worked out."))
    room = show.show(least, FITTED)
    if fitted_m is None:
        return Computed(
            _("The springs need more than %s, rod out: less, and the coils close at full bump.") % room
        )
    if fitted_m < least:
        return Computed(_("The coils close before full bump: less preload, or other springs."), trouble=True)
    try:
        left = found.left_m(fitted_m)
    except ValueError as problem:
        return Computed(str(problem), trouble=True)
    if left is None:
        return Computed(_("Fitted to more than %s: the coils stay apart at full bump.") % room)
    preload = max((found.free_m or 0.0) - fitted_m, 0.0)
    said = {"left": show.show(left, GAP), "preload": show.show(preload, FITTED)}
    return Computed(
        _("Travel left before the coils close: %(left)s. Preload of the springs: %(preload)s.") % said
    )

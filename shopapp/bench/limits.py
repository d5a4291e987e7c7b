"""Judge a reading against its limits: inside, below or above; advisory or absolute; moved to the body's temperature.

Pure: no database, no clock. Figures are SI (pressures over ambient, temperatures in kelvin); the texts beside them are
as typed on the sheet, or printed in the sheet's own unit where a limit was moved.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from django.utils.translation import gettext as _

from shopapp.bench.locks import AS_FOUND
from shopapp.calc import gas, units

Side = Literal["none", "inside", "below", "above"]

SHEET_K = 293.15
"""Charges stand on a sheet at this temperature."""

# The page's figure and the program's may differ in the last place where a unit has no exact decimal (psi).
HAIR = 1e-12


@dataclass(frozen=True, slots=True)
class Limits:
    """What a figure may be. `least` and `most` are absolute whatever `absolute` says (the body's maximum).

    `moved_from` names the temperature that the sheet gives the limits at, where they were moved.
    """

    low: float | None = None
    target: float | None = None
    high: float | None = None
    low_text: str = ""
    target_text: str = ""
    high_text: str = ""
    unit: str = ""
    absolute: bool = False
    words: str = ""
    moved_from: str | None = None
    least: float | None = None
    least_text: str = ""
    most: float | None = None
    most_text: str = ""

    @property
    def gives_figures(self) -> bool:
        """Say whether there is a figure to hold a reading to."""
        return any(value is not None for value in (self.low, self.target, self.high))

    @property
    def aim(self) -> float | None:
        """Give the target, else the middle of the limits, else the one limit there is."""
        if self.target is not None:
            return self.target
        if self.low is not None and self.high is not None:
            return (self.low + self.high) / 2
        return self.low if self.low is not None else self.high


@dataclass(frozen=True, slots=True)
class Verdict:
    """Where a reading lies. `outside` is "", "advisory" or "absolute"; `passed` is the limit passed, as text."""

    side: Side
    outside: str = ""
    passed: str = ""


def _above(si: float, limit: float) -> bool:
    return si - limit > HAIR * max(abs(si), abs(limit))


def judge(limits: Limits | None, si: float | None) -> Verdict:
    """Say where a reading lies; a limit itself is inside."""
    if si is None:
        return Verdict("none")
    if limits is None:
        return Verdict("inside")
    if limits.most is not None and _above(si, limits.most):
        return Verdict("above", "absolute", limits.most_text)
    if limits.least is not None and _above(limits.least, si):
        return Verdict("below", "absolute", limits.least_text)
    kind = "absolute" if limits.absolute else "advisory"
    if limits.low is not None and _above(limits.low, si):
        return Verdict("below", kind, limits.low_text)
    if limits.high is not None and _above(si, limits.high):
        return Verdict("above", kind, limits.high_text)
    return Verdict("inside")


def asks_for_reason(verdict: Verdict, phase: str) -> bool:
    """Say whether a reading needs a reason: past an advisory limit, in what is built (as found is only recorded)."""
    return verdict.outside == "advisory" and phase not in AS_FOUND


def at_temperature(limits: Limits, body_k: float, *, ambient_pa: float, sheet_words: str = "20 °C") -> Limits:
    """Move the limits of a charge from 20 °C to the body's temperature; nitrogen in one volume.

    The body's maximum holds at whatever temperature; on a body colder than 20 °C the lower of the two counts, so that
    it is not passed when the body warms. `ValueError` where the gas model does not reach.
    """

    def moved(gauge_pa: float | None) -> float | None:
        if gauge_pa is None:
            return None
        return gas.gauge_at_temperature(gauge_pa, SHEET_K, body_k, ambient_pa=ambient_pa)

    def text(si: float | None) -> str:
        return units.fmt(si, limits.unit or "psi", "pressure") if si is not None else ""

    low, target, high = moved(limits.low), moved(limits.target), moved(limits.high)
    most, most_text = limits.most, limits.most_text
    colder = moved(most)
    if most is not None and colder is not None and colder < most:
        most, most_text = colder, text(colder)
    return replace(
        limits, low=low, target=target, high=high, low_text=text(low), target_text=text(target),
        high_text=text(high), most=most, most_text=most_text, moved_from=sheet_words,
    )  # fmt: skip


def words_of(limits: Limits) -> str:
    """Write limits: "130 psi to 150 psi", "at least 12 mm", "at most 150 psi", or the sheet's own words."""
    if limits.low_text and limits.high_text:
        return _("%(low)s to %(high)s") % {"low": limits.low_text, "high": limits.high_text}
    if limits.low_text:
        return _("at least %s") % limits.low_text
    if limits.high_text:
        return _("at most %s") % limits.high_text
    return limits.words or limits.target_text


def sentence(verdict: Verdict, limits: Limits, *, name: str, text: str) -> str:
    """Say in a sentence that a reading is outside, and what the limits are."""
    passed = {"name": name, "text": text, "limit": verdict.passed}
    if verdict.side == "below":
        first = _("%(name)s is %(text)s, below %(limit)s.") % passed
    else:
        first = _("%(name)s is %(text)s, above %(limit)s.") % passed
    return f"{first} {_('Limits are %s.') % words_of(limits)}" if limits.gives_figures else first

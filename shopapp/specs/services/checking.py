"""The rules that a sheet's figures keep; each says in a sentence which figure is wrong and what would be right."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from shopapp.calc import units
from shopapp.calc.gas import ifp_check
from shopapp.dampers.models import Adjuster, Construction, DamperModel
from shopapp.shop.services.acts import Refused
from shopapp.specs import figures
from shopapp.specs.models import SpecFigure
from shopapp.specs.queries import adjusters_of, geometry_of, middle
from shopapp.specs.services.figures_in import FigureIn, SpecKitIn, SpecToolIn

if TYPE_CHECKING:
    from shopapp.calc.units import Measurement

CHARGED_AT_K = 293.15
"""Charge limits are given at 20 °C."""

ADJUSTER_UNITS = {"clicks": ("click", "1"), "turns": ("turn", "1")}
WITH_IFP = (Construction.RESERVOIR, Construction.IFP_BODY)
NEEDED_WITH_IFP = (*figures.GEOMETRY, "hot temperature", "charge", "charge most")


def _refuse(sentence: str, figure: str = "figures") -> None:
    raise Refused(sentence, field=figure)


def check_figures(given: Sequence[FigureIn], *, model: DamperModel, depth_to: str) -> None:
    """Hold every rule that one draft must keep; raise `Refused` for the first that is broken."""
    seen: set[tuple[str, str]] = set()
    for figure in given:
        if figure.name not in figures.NAMES:
            _refuse(_("There is no figure called “%(name)s”.") % {"name": figure.name[:40]})
        if (figure.name, figure.position) in seen:
            _refuse(_("%(figure)s stands twice. Keep one of the two.") % {"figure": figure.label})
        seen.add((figure.name, figure.position))
        _check_one(figure)
    _check_adjusters([f for f in given if f.name == "adjuster"], model)
    _check_months([f for f in given if f.name == "interval months"])
    plain = {figure.name: figure for figure in given if not figure.position}
    _check_charge(plain)
    _check_ifp(plain, depth_to)


def _check_one(figure: FigureIn) -> None:
    if bool(figure.given) == bool(figure.words.strip()):
        _refuse(
            _("%(figure)s: give a figure, or words such as “no figure given: snug”; one of the two.")
            % {"figure": figure.label}
        )
    if len(figure.position) > 40 or len(figure.words) > 120:
        _refuse(_("%(figure)s: the words are too long.") % {"figure": figure.label[:80]})
    name = figures.NAMES[figure.name]
    for value in figure.given:
        _check_value(figure, value, name)
    for lower, higher in zip(figure.given, figure.given[1:], strict=False):
        if lower.si > higher.si:
            _refuse(
                _("%(figure)s: %(lower)s is above %(higher)s. Lowest, target and highest must go upwards.")
                % {"figure": figure.label, "lower": shown(lower), "higher": shown(higher)}
            )


def _check_value(figure: FigureIn, value: Measurement, name: figures.FigureName) -> None:
    if value.kind != name.kind:
        _refuse(
            _("%(figure)s is a %(wanted)s; “%(text)s” is a %(kind)s.")
            % {
                "figure": figure.label,
                "wanted": name.kind.replace("_", " "),
                "text": shown(value),
                "kind": value.kind.replace("_", " "),
            }
        )
    if not math.isfinite(value.si) or (value.si < 0 and not name.signed):
        _refuse(_("%(figure)s must not be below zero.") % {"figure": figure.label})


def shown(value: Measurement) -> str:
    """Give a measurement as typed, with its unit where the text has none."""
    text = value.text or units.fmt(value.si, value.unit, value.kind, with_unit=False)
    label = units.UNITS_BY_KIND[value.kind].get(value.unit, value.unit)
    return text if not label or any(mark.isalpha() or mark in '"″”°' for mark in text) else f"{text} {label}"


def _check_adjusters(given: Sequence[FigureIn], model: DamperModel) -> None:
    adjusters = {adjuster.name: adjuster for adjuster in adjusters_of(model)} if given else {}
    for figure in given:
        adjuster = adjusters.get(figure.position)
        if adjuster is None:
            _refuse(
                _("%(model)s has no adjuster called “%(name)s”. It has: %(names)s.")
                % {"model": model, "name": figure.position, "names": ", ".join(adjusters) or _("none")}
            )
            continue
        _check_range(figure, adjuster)


def _check_range(figure: FigureIn, adjuster: Adjuster) -> None:
    for value in figure.given:
        if value.unit not in ADJUSTER_UNITS[adjuster.unit]:
            _refuse(
                _("%(figure)s is counted in %(unit)s, not “%(text)s”.")
                % {"figure": figure.label, "unit": adjuster.unit, "text": shown(value)}
            )
        if not adjuster.lowest <= value.si <= adjuster.highest:
            _refuse(
                _("%(figure)s goes from %(low)g to %(high)g; %(text)s lies outside.")
                % {
                    "figure": figure.label,
                    "low": adjuster.lowest,
                    "high": adjuster.highest,
                    "text": shown(value),
                }
            )


def _check_months(given: Iterable[FigureIn]) -> None:
    for figure in given:
        for value in figure.given:
            if value.si < 1 or value.si != int(value.si) or value.si > 600:
                _refuse(_("%(figure)s: whole months from 1 to 600.") % {"figure": figure.label})


def _check_charge(plain: dict[str, FigureIn]) -> None:
    """Hold the charge under the body's maximum, which is absolute: nobody lifts it."""
    most, charge = plain.get("charge most"), plain.get("charge")
    if most is None or not most.given:
        return
    if most.low is not None or (most.target is None and most.high is None):
        _refuse(
            _("%(figure)s has no lowest figure. Give it under target or highest.") % {"figure": most.label}
        )
    if not most.absolute:
        _refuse(_("%(figure)s is an absolute limit. Mark it as absolute.") % {"figure": most.label})
    if charge is not None and charge.given and charge.given[-1].si > most.given[-1].si:
        _refuse(
            _("A charge of %(charge)s is above the body's maximum of %(most)s. Check both on the sheet.")
            % {"charge": shown(charge.given[-1]), "most": shown(most.given[-1])}
        )


def _check_ifp(plain: dict[str, FigureIn], depth_to: str) -> None:
    """Refuse a depth (lowest, target or highest) that cannot be put together or that meets cap or floor."""
    depth = plain.get("ifp depth")
    si = {name: _middle(plain[name]) for name in plain if plain[name].given}
    if depth is None or any(name not in si for name in figures.GEOMETRY):
        return
    charge, hot = si.get("charge") or 0.0, si.get("hot temperature") or CHARGED_AT_K
    for value in depth.given:
        at = _("IFP depth %(depth)s: ") % {"depth": shown(value)}
        try:
            geometry = geometry_of(si, depth_to=depth_to, depth_m=value.si)
            assert geometry is not None
            check = ifp_check(geometry, charge, CHARGED_AT_K, hot)
        except ValueError as problem:
            raise Refused(at + str(problem), field="figures") from problem
        if check.meets_cap:
            _refuse(at + _meets_cap(min(check.gas_length_bump_m, check.gas_length_hot_bump_m), plain))
        if check.meets_floor:
            _refuse(
                at
                + _("the IFP meets the floor when the oil is cold (edge to floor %(length)s). Check both.")
                % {"length": shown(plain["reservoir length"].given[0])}
            )


def _meets_cap(left_m: float, plain: dict[str, FigureIn]) -> str:
    return _(
        "the IFP meets the cap at full bump, hot; %(missing).1f mm of gas are missing. Check the depth and its face, "
        "stroke %(stroke)s, rod %(rod)s, bore of the IFP %(bore)s."
    ) % {
        "missing": max(0.0, -left_m) * 1000,
        "stroke": shown(plain["stroke"].given[0]),
        "rod": shown(plain["rod diameter"].given[0]),
        "bore": shown(plain["reservoir bore"].given[0]),
    }


def _middle(figure: FigureIn) -> float | None:
    low, target, high = (value.si if value else None for value in (figure.low, figure.target, figure.high))
    return middle(low, target, high)


def check_kits(kits: Sequence[SpecKitIn]) -> None:
    """Hold that each purpose has one kit or one item, and some of it."""
    purposes = [line.purpose for line in kits]
    if len(purposes) != len(set(purposes)):
        _refuse(_("Give one kit and one oil; a purpose stands twice."), "kit")
    for line in kits:
        if (line.kit is None) == (line.item is None):
            _refuse(
                _("For “%(purpose)s” give a kit or an item, one of the two.") % {"purpose": line.purpose},
                "kit",
            )
        if line.quantity < 1 or line.quantity > 2_000_000_000:
            _refuse(_("“%(purpose)s”: say how much, more than nothing.") % {"purpose": line.purpose}, "kit")


def check_tools(tools: Sequence[SpecToolIn]) -> None:
    """Hold that a kind of tool with its narrowing stands once."""
    pairs = [(tool.kind.pk, tool.narrowing) for tool in tools]
    if len(pairs) != len(set(pairs)):
        _refuse(_("A tool stands twice. Keep one of the two."), "tools")


def check_complete(rows: Sequence[SpecFigure], construction: str) -> None:
    """Hold what a sheet must say before it is released: what keeps the IFP off the cap, and the body's maximum.

    Words count as an answer ("no figure given"): the owner has looked; the check then says nothing.
    """
    have = {row.name for row in rows if not row.position}
    needed = NEEDED_WITH_IFP if construction in WITH_IFP else ()
    if "charge" in have:
        needed = (*needed, "charge most")
    missing = [name for name in dict.fromkeys(needed) if name not in have]
    if missing:
        _refuse(
            _(
                "The sheet is not complete: %(missing)s. Enter them, or “no figure given” in words where it has none."
            )
            % {"missing": "; ".join(figures.label_of(name, construction) for name in missing)}
        )
    if not rows:
        _refuse(_("The sheet has no figure yet. Enter at least one."))

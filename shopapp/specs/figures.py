"""The registry of figures: what a sheet may give and what a reading step may ask for, by name.

A name is stable: it stands in specifications, steps and entries. Units come from the figure, or from the shop's own
default for its kind. Lengths of the reservoir run from the edge that the sheet names.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class FigureName:
    """One figure: its stable name, its label, the kind of its unit, the unit offered first, the group on the sheet.

    `critical` figures are those for which a tool past its date needs the owner's reason. `signed` figures may lie
    below zero.
    """

    name: str
    label: str | Promise
    kind: str
    default_unit: str
    group: str
    critical: bool = False
    signed: bool = False


SETTINGS, GAS, TORQUES, GEOMETRY_GROUP, VALVING, OIL, WEAR, INTERVALS = (
    "settings", "gas", "torques", "geometry", "valving", "oil", "wear", "intervals",
)  # fmt: skip

STACK = "stack"
"""The kind of a figure that is read as a stack of shims, from the piston face outwards; no sheet gives one."""

GROUPS: dict[str, str | Promise] = {
    SETTINGS: _("Settings"),
    GAS: _("Gas"),
    TORQUES: _("Torques"),
    GEOMETRY_GROUP: _("Geometry"),
    VALVING: _("Valving"),
    OIL: _("Oil"),
    WEAR: _("Wear"),
    INTERVALS: _("Service intervals"),
}

_ALL = (
    FigureName("eye centres", _("Eye centres, rod out"), "length", "in", SETTINGS),
    FigureName("preload", _("Preload adjuster, cap face to ring"), "length", "in", SETTINGS),
    FigureName("collar pitch", _("Pitch of the preload thread"), "length", "mm", SETTINGS),
    FigureName("adjuster", _("Adjuster, from its stop"), "count", "click", SETTINGS),
    FigureName("retainer gap", _("Retainer gap"), "length", "in", SETTINGS),
    FigureName("spring rate", _("Spring rate"), "spring_rate", "lbf/in", SETTINGS),
    FigureName("spring free length", _("Spring, free length"), "length", "in", SETTINGS),
    FigureName("spring solid height", _("Spring, height with its coils closed"), "length", "in", SETTINGS),
    FigureName(
        "spring fitted length", _("Springs, fitted length, ring to retainer"), "length", "in", SETTINGS
    ),
    FigureName("bind gap", _("Springs, travel left before the coils close"), "length", "in", SETTINGS),
    FigureName("charge", _("Charge, gauge reading"), "pressure", "psi", GAS, critical=True),
    FigureName("charge most", _("Charge, the body's maximum"), "pressure", "psi", GAS),
    FigureName("body temperature", _("Body temperature"), "temperature", "degC", GAS, signed=True),
    FigureName("ifp depth", _("IFP depth"), "length", "in", GAS, critical=True),
    FigureName("nut torque", _("Piston nut"), "torque", "lbf*ft", TORQUES, critical=True),
    FigureName("seal head torque", _("Seal head"), "torque", "lbf*ft", TORQUES),
    FigureName("bleed screw torque", _("Bleed screw"), "torque", "lbf*in", TORQUES),
    FigureName("fastener torque", _("Another fastener"), "torque", "lbf*ft", TORQUES),
    FigureName("body bore", _("Body bore"), "length", "in", GEOMETRY_GROUP),
    FigureName("rod diameter", _("Rod diameter"), "length", "in", GEOMETRY_GROUP),
    FigureName("stroke", _("Stroke"), "length", "in", GEOMETRY_GROUP),
    FigureName("reservoir bore", _("Reservoir bore"), "length", "in", GEOMETRY_GROUP),
    FigureName("reservoir length", _("Reservoir, edge to floor"), "length", "in", GEOMETRY_GROUP),
    FigureName("cap depth", _("Cap, reach below the edge"), "length", "in", GEOMETRY_GROUP),
    FigureName("ifp thickness", _("IFP thickness"), "length", "in", GEOMETRY_GROUP),
    FigureName("gas recess", _("Hollows in IFP and cap"), "volume", "mL", GEOMETRY_GROUP),
    FigureName("ifp clearance", _("Gap wanted at full bump"), "length", "in", GEOMETRY_GROUP),
    FigureName("compression stack", _("Compression stack"), STACK, "mm", VALVING),
    FigureName("rebound stack", _("Rebound stack"), STACK, "mm", VALVING),
    FigureName("compression seat", _("Compression side, diameter of the port seat"), "length", "mm", VALVING),
    FigureName("rebound seat", _("Rebound side, diameter of the port seat"), "length", "mm", VALVING),
    FigureName("compression clamp", _("Compression side, diameter of the clamp"), "length", "mm", VALVING),
    FigureName("rebound clamp", _("Rebound side, diameter of the clamp"), "length", "mm", VALVING),
    FigureName("oil volume", _("Oil, all of it"), "volume", "mL", OIL),
    FigureName("oil expansion", _("Oil, growth for each kelvin (a share)"), "count", "1", OIL),
    FigureName("hot temperature", _("Oil at its hottest"), "temperature", "degC", OIL, signed=True),
    FigureName("rod runout", _("Rod, out of true"), "length", "in", WEAR),
    FigureName("interval distance", _("Service after a distance of"), "distance", "mile", INTERVALS),
    FigureName("interval running", _("Service after running for"), "running_time", "h", INTERVALS),
    FigureName("interval months", _("Service after months"), "count", "1", INTERVALS),
)

NAMES: dict[str, FigureName] = {figure.name: figure for figure in _ALL}

BY_CONSTRUCTION: dict[str, dict[str, str | Promise]] = {
    "ifp body": {
        "reservoir bore": _("Bore that the IFP runs in"),
        "reservoir length": _("Body, edge to the end of the IFP’s room"),
    },
    "through-rod": {
        "reservoir bore": _("Compensator bore"),
        "reservoir length": _("Compensator, edge to floor"),
        "ifp depth": _("Compensator’s piston, depth"),
        "ifp thickness": _("Compensator’s piston, thickness"),
    },
}
"""Labels of figures where the IFP does not run in a reservoir, by the construction's code."""


_OF_AN_IFP = frozenset({"ifp depth", "ifp thickness", "ifp clearance", "gas recess"})
_OF_A_CHAMBER = frozenset({*_OF_AN_IFP, "reservoir bore", "reservoir length", "cap depth"})
LACKED: dict[str, frozenset[str]] = {
    "bladder": _OF_AN_IFP, "emulsion": _OF_A_CHAMBER, "twin-tube": _OF_A_CHAMBER,
}  # fmt: skip
"""Figures of parts that a construction has not, by its code: no procedure reads them, a sheet may still hold them."""


def label_of(name: str, construction: str = "") -> str:
    """Give a figure's label in the words of a construction."""
    return str(BY_CONSTRUCTION.get(construction, {}).get(name, NAMES[name].label))


GEOMETRY = (
    "rod diameter", "stroke", "reservoir bore", "reservoir length", "cap depth", "ifp thickness", "ifp depth",
    "oil volume", "oil expansion",
)  # fmt: skip
"""What the IFP check needs; without one of them it cannot say anything."""


SIDES: dict[str, str | Promise] = {"compression": _("compression side"), "rebound": _("rebound side")}
"""The two sides of a piston, and so the two ends of a body whose rod goes right through: positions of figures."""


def unit_for(name: str, default_units: Mapping[str, str]) -> str:
    """Give the unit offered first: the shop's own for the kind, except for counts, which keep theirs."""
    figure = NAMES[name]
    if figure.kind == "count":
        return figure.default_unit
    return default_units.get(figure.kind) or figure.default_unit

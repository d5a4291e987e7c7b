"""A whole sheet for a reservoir damper, and a released one in the database."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from shopapp.calc import units
from shopapp.dampers.models import Adjuster, DamperModel
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from shopapp.specs import figures
from shopapp.specs import services as specs
from shopapp.specs.models import ServiceSpec
from shopapp.specs.services import FigureIn

NOW = dt.datetime(2026, 3, 2, 9, 0, tzinfo=dt.UTC)

WHOLE: dict[str, tuple[str, str, str]] = {
    "eye centres": ("28", "28 1/16", "28 1/8"),
    "preload": ("1 3/4", "2 3/16", "2 3/4"),
    "collar pitch": ("", "2 mm", ""),
    "retainer gap": ("0.5 mm", "1 mm", "1.5 mm"),
    "charge": ("130 psi", "140 psi", "150 psi"),
    "charge most": ("", "", "250 psi"),
    "ifp depth": ("3 3/16", "3 1/4", "3 5/16"),
    "nut torque": ("30", "32", "34"),
    "rod diameter": ("", "7/8", ""),
    "stroke": ("", "10", ""),
    "reservoir bore": ("", "2.375", ""),
    "reservoir length": ("", "6", ""),
    "cap depth": ("", "1/2", ""),
    "ifp thickness": ("", "3/4", ""),
    "ifp clearance": ("", "0.1", ""),
    "oil volume": ("", "1120 mL", ""),
    "oil expansion": ("", "0.0008", ""),
    "hot temperature": ("", "80 °C", ""),
    "interval distance": ("", "1500 mi", ""),
    "interval months": ("", "24", ""),
}


def figure(name: str, low: str = "", target: str = "", high: str = "", **more: object) -> FigureIn:
    """Make a figure from what would be typed."""
    entry = figures.NAMES[name]

    def read(text: str) -> units.Measurement | None:
        return units.parse(text, entry.kind, entry.default_unit, signed=entry.signed) if text else None

    more.setdefault("absolute", name == "charge most")
    return FigureIn(name, low=read(low), target=read(target), high=read(high), **more)  # type: ignore[arg-type]


def whole(**changed: tuple[str, str, str] | None) -> list[FigureIn]:
    """Give the whole sheet; `ifp_depth=("", "1", "")` changes one figure, None leaves it out."""
    wanted = dict(WHOLE)
    for key, texts in changed.items():
        wanted[key.replace("_", " ")] = texts  # type: ignore[assignment]
    return [figure(name, *texts) for name, texts in wanted.items() if texts is not None] + [
        figure("seal head torque", words="no figure given: snug")
    ]


def a_model(
    name: str = "Longreach 25", *, adjusters: Iterable[str] = ("rebound", "compression")
) -> DamperModel:
    """Make a damper model with adjusters of 20 clicks."""
    model = DamperModel.objects.create(maker="Halvorne", name=name)
    for order, adjuster in enumerate(adjusters, 1):
        Adjuster.objects.create(model=model, name=adjuster, order=order)
    return model


def a_draft(
    model: DamperModel, by: Person, given: list[FigureIn] | None = None, **more: object
) -> ServiceSpec:
    """Draft a sheet."""
    return specs.draft_spec(
        model=model, basis="maker", source="Halvorne sheet 12", figures=whole() if given is None else given,
        by=by, at=NOW, call=Call.fresh(), **more,
    )  # fmt: skip  # type: ignore[arg-type]


def a_released(
    model: DamperModel, by: Person, given: list[FigureIn] | None = None, **more: object
) -> ServiceSpec:
    """Draft a sheet and release it."""
    spec = a_draft(model, by, given, **more)
    return specs.release_spec(spec=spec, by=by, at=NOW, call=Call.fresh())

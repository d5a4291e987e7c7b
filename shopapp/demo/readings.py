"""What an invented technician writes for a step: readings in the shop's own notation, never the same twice."""

from __future__ import annotations

import random
from typing import Any

from shopapp.calc import units

FRACTION_FROM_M = 0.0254 / 4


def _shown(si: float, kind: str, unit: str) -> str:
    """Write an SI value as a technician would in `unit`: tape fractions in inches, whole millilitres."""
    value = units.convert(si, units.SI_UNIT[kind], unit)
    if kind == "length" and unit == "in":
        return f"{units.as_fraction(value)} in" if si >= FRACTION_FROM_M else f"{value:.3f} in"
    places = {"psi": 1, "bar": 1, "mm": 1 if value >= 5 else 2, "mL": 0, "lbf*ft": 0, "N*m": 0}.get(unit, 1)
    label = units.UNITS_BY_KIND[kind][unit]
    return f"{value:.{places}f} {label}".strip()


def _unit_of(step: dict[str, Any]) -> str:
    """Take the unit of the sheet's own figure, where it gives one, else the step's."""
    text = (step.get("limits") or {}).get("high_text") or (step.get("limits") or {}).get("target_text") or ""
    try:
        return units.parse(text, step["unit_kind"], step["default_unit"]).unit
    except units.UnitError:
        return str(step["default_unit"])


def _between(limits: dict[str, Any], rng: random.Random) -> float | None:
    low, high, target = limits.get("low"), limits.get("high"), limits.get("target")
    if low is not None and high is not None:
        return float(low + (high - low) * rng.uniform(0.3, 0.7))
    if target is not None:
        return float(target)
    if high is not None:
        return float(high) * rng.uniform(0.5, 0.9)
    return None if low is None else float(low) * rng.uniform(1.5, 2.5)


def _count(step: dict[str, Any], rng: random.Random) -> str:
    limits = step.get("limits") or {}
    low, high = limits.get("low") or 0, limits.get("high")
    top = 20 if high is None else high
    if step["default_unit"] == "turn":
        quarters = rng.randint(1, max(1, int(top * 4) - 1))
        whole, rest = divmod(quarters, 4)
        part = {0: "", 1: "1/4", 2: "1/2", 3: "3/4"}[rest]
        return f"{f'{whole} {part}'.strip() if whole else part} turns" if quarters else "0 turns"
    return f"{rng.randint(int(low) + 1, max(int(low) + 2, int(top) - 2))} clicks"


def reading(step: dict[str, Any], rng: random.Random, computed: dict[str, Any]) -> str:
    """Write a reading for a step of the sheet document: as found where it is as received, inside where it is built."""
    kind, figure, phase = step["unit_kind"], step["figure"], step["phase"]
    if figure == "body temperature":
        return f"{rng.randint(18, 24)} °C"
    if kind == "count":
        return _count(step, rng)
    unit = _unit_of(step)
    limits = step.get("limits") or {}
    if figure == "charge" and phase == "built" and computed.get("charge", {}).get("si"):
        return _shown(computed["charge"]["si"], kind, unit)
    si = _between(limits, rng)
    if si is None and step.get("least"):
        si = step["least"] * 1.05
    if si is None:
        si = {"length": 0.05, "pressure": 9e5, "volume": 1e-3, "torque": 30.0}.get(kind, 1.0)
    if figure == "charge" and phase == "removed":
        si *= rng.uniform(0.86, 0.95)
    if figure == "oil volume" and phase == "removed":
        si *= rng.uniform(0.93, 0.98)
    return _shown(si, kind, unit)

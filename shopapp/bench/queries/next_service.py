"""How far a service lasts by the meters of the vehicle, as the sheet of figures gives it."""

from __future__ import annotations

from django.utils import formats

from shopapp.calc import units
from shopapp.calc.units import Measurement
from shopapp.orders.models import Job
from shopapp.specs.models import SpecFigure
from shopapp.specs.queries import figure, middle

HARD = 2 / 3
"""Common practice: in hard use a service lasts two thirds as far and as long."""
DISTANCE, RUNNING = "interval distance", "interval running"


def limit_of(row: SpecFigure) -> Measurement | None:
    """Give an interval of a sheet in the unit that it names; None where it stands in words alone."""
    si = middle(row.low_si, row.target_si, row.high_si)
    unit = row.target_unit or row.high_unit or row.low_unit
    return None if si is None or si <= 0 else Measurement(si, row.kind, unit, "")


def shown(value: float, unit: str, kind: str) -> str:
    """Write a distance or a running time in whole units: "1,000 mi"."""
    label = units.UNITS_BY_KIND[kind].get(unit, unit)
    return f"{formats.number_format(round(value), decimal_pos=0, force_grouping=True)} {label}"


def meter_limits(job: Job) -> list[str]:
    """Say after what distance and running time the next service is due, as far as the job's vehicle counts them."""
    vehicle = job.order.vehicle
    counted = {
        DISTANCE: vehicle is None or vehicle.counts_distance, RUNNING: vehicle is None or vehicle.counts_hours
    }  # fmt: skip
    severity = HARD if vehicle is not None and vehicle.hard_use else 1.0
    found = []
    for name in (DISTANCE, RUNNING):
        row = figure(job.spec, name) if job.spec is not None and counted[name] else None
        limit = limit_of(row) if row is not None else None
        if limit is not None:
            found.append(shown(limit.to(limit.unit) * severity, limit.unit, limit.kind))
    return found

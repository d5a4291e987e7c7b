"""A vehicle's page: what sits on each corner now and sat there before, what its meters showed, its orders."""

from __future__ import annotations

from dataclasses import dataclass, field

from shopapp.customers.models import MeterReading, Vehicle
from shopapp.dampers.models import PLACES, Fitting

ORDER = [place for place, _name in PLACES]


@dataclass
class Corner:
    """One place on the vehicle: the damper that sits there now, and the ones before it, the newest first."""

    place: str
    now: list[Fitting] = field(default_factory=list)
    before: list[Fitting] = field(default_factory=list)


def vehicle_of(pk: int) -> Vehicle | None:
    """Read one vehicle with whose it is."""
    return Vehicle.objects.select_related("customer__merged_into").filter(pk=pk).first()


def corners_of(vehicle: Vehicle) -> list[Corner]:
    """List the places that have or had a damper, from front to rear as they are named everywhere."""
    rows = vehicle.fittings.select_related("damper__model").order_by("number", "pk")
    found: dict[tuple[str, str, int], Corner] = {}
    for row in rows:
        name = row.place_words or str(row.get_place_display())
        if row.number > 1:
            name = f"{name}, {row.number}"
        corner = found.setdefault((row.place, row.place_words, row.number), Corner(name))
        (corner.now if row.current else corner.before).append(row)
    for corner in found.values():
        corner.before.reverse()
    return [
        corner for _key, corner in sorted(found.items(), key=lambda item: (ORDER.index(item[0][0]), item[0]))
    ]


def readings_of(vehicle: Vehicle) -> list[MeterReading]:
    """List everything its meters showed, the newest first; a corrected reading stays and says so."""
    rows = vehicle.readings.select_related("by", "replaced_by")
    return list(rows.order_by("-on", "-stored_at", "-pk")[:200])

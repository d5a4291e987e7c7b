"""Customers and their vehicles as documents name them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from shopapp.web.exports.values import day, measured, moment, person

if TYPE_CHECKING:
    from shopapp.customers.models import Contact, Customer, MeterReading, Vehicle
    from shopapp.dampers.models import Fitting

VEHICLES = ("readings__by", "readings__replaced_by", "fittings__damper")


def customer_head(row: Customer) -> dict[str, Any]:
    """Write who a customer is and how they are reached."""
    return {
        "id": row.pk,
        "kind": row.kind,
        "name": row.name,
        "bill_to": row.bill_to,
        "language": row.language,
        "contacts": [contact(one) for one in sorted(row.contacts.all(), key=lambda one: one.pk)],
    }


def contact(row: Contact) -> dict[str, Any]:
    return {
        "kind": row.kind, "value": row.value, "label": row.label, "stopped_at": moment(row.stopped_at),
    }  # fmt: skip


def vehicle_document(row: Vehicle) -> dict[str, Any]:
    """Write a vehicle with what its meters showed and what sits on it, now and before."""
    return {
        "description": row.description,
        "plate": row.plate,
        "vin": row.vin,
        "counts": [
            name for name, on in (("distance", row.counts_distance), ("hours", row.counts_hours)) if on
        ],
        "use": row.use,
        "hard_use": row.hard_use,
        "readings": [reading(one) for one in sorted(row.readings.all(), key=lambda one: one.pk)],
        "fitted": [fitting(one) for one in sorted(row.fittings.all(), key=lambda one: one.pk)],
    }


def reading(row: MeterReading) -> dict[str, Any]:
    """Write what a meter showed; a corrected one is kept and says so."""
    return {
        "kind": row.kind, "on": day(row.on), "distance": measured(row, "distance", "distance"),
        "running": measured(row, "running", "running_time"), "source": row.source, "how_sure": row.how_sure,
        "by": person(row.by), "stored_at": moment(row.stored_at),
        "corrected": getattr(row, "replaced_by", None) is not None,
    }  # fmt: skip


def fitting(row: Fitting) -> dict[str, Any]:
    return {
        "damper": row.damper.tag, "place": row.place, "place_words": row.place_words, "number": row.number,
        "since": day(row.since), "until": day(row.until), "about": row.about, "current": row.current,
    }  # fmt: skip

"""All that is held about one customer: contacts, consents, vehicles, dampers, every order whole, what was done."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from shopapp.customers.models import Customer
from shopapp.dampers.models import Ownership
from shopapp.due.models import Due
from shopapp.orders.models import WorkOrder
from shopapp.shop.models import Act
from shopapp.web.exports.jobs import damper_of
from shopapp.web.exports.order import act_document, order_bodies, orders_whole
from shopapp.web.exports.people_and_vehicles import VEHICLES, customer_head, reading, vehicle_document
from shopapp.web.exports.values import day, head, moment, person

if TYPE_CHECKING:
    from datetime import datetime

    from shopapp.shop.models import Shop


def customer_document(customer: Customer, *, shop: Shop | None, at: datetime) -> dict[str, Any]:
    """Write one customer whole, with whoever was merged into them."""
    rows = [customer, *Customer.objects.filter(merged_into=customer).order_by("pk")]
    orders = orders_whole(WorkOrder.objects.filter(customer__in=rows))
    return {
        **head("customer", shop, at),
        "customer": {
            **_customer(customer),
            "merged": [_customer(row) for row in rows[1:]],
            "consents": _consents(rows),
            "vehicles": _vehicles(rows),
            "dampers": _dampers(rows),
            "orders": order_bodies(orders),
            "history": _history(rows),
        },
    }


def _customer(row: Customer) -> dict[str, Any]:
    return {
        **customer_head(row),
        "tax_id": row.tax_id,
        "exemption": {
            "reason": row.exemption, "certificate": row.exemption_certificate, "until": day(row.exemption_until),
        },
        "note": row.note,
        "made_at": moment(row.made_at),
        "erased_at": moment(row.erased_at),
    }  # fmt: skip


def _consents(rows: list[Customer]) -> list[dict[str, Any]]:
    """Say what was agreed to and what was not: the last one of a channel counts."""
    return [
        {"channel": one.channel, "yes": one.yes, "at": moment(one.at), "how": one.how, "by": person(one.by)}
        for row in rows
        for one in row.contact_consents.select_related("by").order_by("at", "pk")
    ]


def _vehicles(rows: list[Customer]) -> list[dict[str, Any]]:
    return [
        vehicle_document(vehicle)
        for row in rows
        for vehicle in row.vehicles.prefetch_related(*VEHICLES).order_by("pk")
    ]


def _dampers(rows: list[Customer]) -> list[dict[str, Any]]:
    """List what they own or owned, with its own meter and when it is due."""
    owned = (
        Ownership.objects.filter(customer__in=rows)
        .select_related("damper__model")
        .prefetch_related(
            "damper__model__adjusters", "damper__meter_readings__by", "damper__meter_readings__replaced_by"
        )
        .order_by("pk")
    )
    found = list(owned)
    due = {row.damper_id: row for row in Due.objects.filter(damper__in=[row.damper_id for row in found])}
    return [
        {
            **damper_of(row.damper), "since": day(row.since), "until": day(row.until), "current": row.current,
            "readings": [reading(one) for one in row.damper.meter_readings.all()],
            "due": _due(due.get(row.damper_id)) if row.current else None,
        }
        for row in found
    ]  # fmt: skip


def _due(row: Due | None) -> dict[str, Any] | None:
    if row is None:
        return None
    return {"on": day(row.on), "because": row.because, "serviced_on": day(row.serviced_on)}


def _history(rows: list[Customer]) -> list[dict[str, Any]]:
    acts = Act.objects.filter(subject_kind="customer", subject_id__in=[str(row.pk) for row in rows])
    return [act_document(row) for row in acts.select_related("by").order_by("at", "pk")]

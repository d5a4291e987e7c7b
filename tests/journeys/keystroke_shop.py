"""The shop in which two desks take in the same order, and what of an order somebody entered."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from shopapp.customers import services as customers
from shopapp.customers.models import Contact, Customer, MeterReading
from shopapp.dampers import services as dampers
from shopapp.dampers.models import Fitting, Ownership
from shopapp.due.models import Signature
from shopapp.money import services as money
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkConsent, WorkOrder
from shopapp.people.models import Person
from shopapp.people.services import staff
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call

AT = dt.datetime(2026, 3, 2, 9, 0, tzinfo=dt.UTC)
KNOWN = {
    "Cobble Hollow Racing": "Long-travel buggy, 2 seats", "Olu Pereira": "Crew-cab truck",
    "Tilda Fenwright": "Touring motorcycle", "Bramwell Hay and Feed": "Farm utility, 4 wheels",
    "Lene Achterhof": "Side-by-side, 4 seats", "Marram Point Rally Club": "Rally car",
    "Gita Sundaram": "Light pick-up",
    "Wyn Dallimore": "Dune buggy, 1 seat", "Ostrey Beach Rescue": "Rescue buggy 1",
    "Halden Trail Tours": "Tour buggy 3",
    "Ferris Okonjo": "Desert truck", "Nell Quarrie": "Adaptive downhill cart",
}  # fmt: skip
MODELS = [
    ("Keldmark", "K25"), ("Keldmark", "K18"), ("Orrinsk", "R3"), ("Orrinsk", "S2"), ("Tavlan", "T4"),
    ("Brackwey", "B7"),
]  # fmt: skip
WORK = [
    ("rebuild", "Rebuild", "186.00"),
    ("inspection", "Inspection", "48.00"),
    ("spring", "Spring change", "62.00"),
]


def open_shop() -> Person:
    """Open a shop with a dozen customers, each with a vehicle; give who stands at its desk."""
    Shop.objects.get_or_create(pk=1, defaults={"name": "Test Bench Works", "currency": "USD", "zone": "UTC"})
    staff.ensure_roles()
    desk = staff.add_person(
        login_name="pia", name="Pia", initials="PV", roles=["desk"], by=None, at=AT, call=Call.fresh()
    )
    std: dict[str, Any] = {"by": desk, "at": AT}
    for name, vehicle in KNOWN.items():
        customer = customers.add_customer(name=name, call=Call.fresh(), **std)
        customers.add_vehicle(customer=customer, description=vehicle, call=Call.fresh(), **std)
    for maker, model in MODELS:
        dampers.add_model(maker=maker, name=model, construction="reservoir", call=Call.fresh(), **std)
    for code, work, price in WORK:
        orders.add_work_type(code=code, name=work, price=Decimal(price), call=Call.fresh(), **std)
    rate = {"category": "S", "name": "Sales tax", "rate": Decimal("7.25"), "since": AT.date()}
    money.add_tax_rate(**rate, call=Call.fresh(), **std)
    orders.issue_terms(text="We ask before we do more.", since=AT.date(), call=Call.fresh(), **std)
    return desk


def entered() -> dict[str, Any]:
    """Give what of the only order was entered, table by table; what the program works out for itself is left out."""
    order = WorkOrder.objects.select_related("customer", "vehicle", "terms").get()
    jobs = Job.objects.select_related("damper__model", "work_type").filter(order=order).order_by("number")
    found: dict[str, Any] = {
        "customer": list(Customer.objects.filter(pk=order.customer_id).values_list("kind", "name")),
        "contacts": list(Contact.objects.filter(customer=order.customer).values_list("kind", "value")),
        "meter": list(MeterReading.objects.values_list("vehicle__description", "kind", "distance_text")),
        "order": [
            order.customer.name, order.vehicle and order.vehicle.description, order.comes_by, order.comes_carrier,
            order.leaves_by, order.leaves_carrier, order.complaint, order.promised, order.limit_gross,
            order.terms and order.terms.version, order.terms_accepted_how, order.expected_net, order.expected_gross,
        ],
        "jobs": [
            (job.damper.serial, str(job.damper.model), job.place, job.work_type.name, job.condition, job.wish,
             job.shelf_body)
            for job in jobs
        ],
        "owners": list(
            Ownership.objects.order_by("damper__serial").values_list("damper__serial", "customer__name", "current")
        ),
        "fittings": list(
            Fitting.objects.order_by("damper__serial").values_list(
                "damper__serial", "vehicle__description", "place", "number", "current"
            )
        ),
        "lines": sorted(order.lines.values_list("job__number", "what", "quantity", "unit", "price", "tax_category")),
        "consents": sorted(
            WorkConsent.objects.filter(order=order).values_list("about", "yes", "who", "how", "amount"), key=str
        ),
        "signatures": list(Signature.objects.filter(order=order).values_list("what", "name")),
    }  # fmt: skip
    return found

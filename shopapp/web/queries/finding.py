"""What the find box finds: dampers, orders and customers, each with the reason why."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _

from shopapp.customers.models import Contact, Customer, Vehicle
from shopapp.customers.queries import customers
from shopapp.dampers.models import Damper
from shopapp.dampers.queries import dampers
from shopapp.dampers.services import tags
from shopapp.orders.models import WorkOrder
from shopapp.shop import finding
from shopapp.shop.models import SearchTerm
from shopapp.shop.services.search_terms import fold, fold_number

MOST = 12


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found: its page, its name, what stands under it, why it was found, and the text that matched."""

    url: str
    title: str
    detail: str
    why: str
    matched: str


def reasons() -> dict[str, str]:
    """Name the kinds of search terms as the reason of a hit."""
    return {
        "tag": _("by tag"),
        "serial": _("by serial"),
        "model": _("by model"),
        "name": _("by name"),
        "phone": _("by phone"),
        "email": _("by e-mail"),
        "plate": _("by plate"),
        "vin": _("by VIN"),
        "order": _("by order number"),
        "invoice": _("by invoice number"),
    }


def find(text: str) -> tuple[dict[str, list[Hit]], bool]:
    """Find by one text, at most MOST of each; say too whether some were left off.

    The number of queries is the same whatever is found.
    """
    by_kind: dict[str, list[SearchTerm]] = {}
    for term in finding.hits(text):
        by_kind.setdefault(term.target_kind, []).append(term)
    groups = {
        "dampers": _damper_hits(by_kind.get("damper", [])[:MOST]),
        "orders": _order_hits(by_kind.get("order", [])[:MOST]),
        "customers": _customer_hits(by_kind.get("customer", [])[:MOST], text)
        + _vehicle_hits(by_kind.get("vehicle", [])[:MOST]),
    }
    return groups, any(len(terms) > MOST for terms in by_kind.values())


def _damper_hits(terms: list[SearchTerm]) -> list[Hit]:
    rows = dampers().filter(pk__in=[term.target_id for term in terms]).in_bulk()
    hits = []
    for term in terms:
        damper = rows.get(term.target_id)
        if damper is None:
            continue
        matched = {"tag": tags.show(damper.tag), "serial": damper.serial}.get(
            term.kind, str(damper.model or "")
        )
        owner = ", ".join(owned.customer.name for owned in damper.owned)  # type: ignore[attr-defined]
        place = ", ".join(fitting.get_place_display() for fitting in damper.fitted)  # type: ignore[attr-defined]
        detail = " · ".join(filter(None, [tags.show(damper.tag), owner, place]))
        title = f"{damper.model or damper.maker or _('damper')} · {damper.serial or _('no serial')}"
        hits.append(
            Hit(reverse("damper", args=[damper.pk]), title, detail, reasons().get(term.kind, ""), matched)
        )
    return hits


def _order_hits(terms: list[SearchTerm]) -> list[Hit]:
    rows = WorkOrder.objects.select_related("customer", "vehicle").in_bulk([term.target_id for term in terms])
    hits = []
    for term in terms:
        order = rows.get(term.target_id)
        if order is not None:
            number = str(order.number)
            detail = " · ".join(filter(None, [order.customer.name, str(order.vehicle or "")]))
            url = reverse("order", args=[order.number])
            hits.append(Hit(url, _("Order %s") % number, detail, reasons().get(term.kind, ""), number))
    return hits


def _good(customer: Customer) -> list[Contact]:
    """Give the contacts that still count, as `customers()` has read them."""
    return getattr(customer, "good", [])


def _customer_hits(terms: list[SearchTerm], text: str) -> list[Hit]:
    rows = customers().filter(pk__in=[term.target_id for term in terms]).in_bulk()
    hits = []
    for term in terms:
        customer = rows.get(term.target_id)
        if customer is None:
            continue
        phones = [contact.value for contact in _good(customer) if contact.kind == "phone"]
        matched = _matched(customer, term, text)
        detail = " · ".join(phones[:2])
        url = reverse("customer", args=[customer.pk])
        hits.append(Hit(url, customer.name, detail, reasons().get(term.kind, ""), matched))
    return hits


def _matched(customer: Customer, term: SearchTerm, text: str) -> str:
    """Give the contact that the text was found in, else the name."""
    for contact in _good(customer):
        if contact.kind != term.kind:
            continue
        if fold_number(text) in fold_number(contact.value) or fold(text) in fold(contact.value):
            return str(contact.value)
    return customer.name


def _vehicle_hits(terms: list[SearchTerm]) -> list[Hit]:
    rows = Vehicle.objects.select_related("customer").in_bulk([term.target_id for term in terms])
    hits = []
    for term in terms:
        vehicle = rows.get(term.target_id)
        if vehicle is not None:
            matched = {"plate": vehicle.plate, "vin": vehicle.vin}.get(term.kind, vehicle.description)
            title = f"{vehicle.customer.name} · {vehicle.description}"
            url = reverse("customer", args=[vehicle.customer_id])
            hits.append(Hit(url, title, vehicle.plate, reasons().get(term.kind, ""), matched))
    return hits


def customers_by(text: str) -> QuerySet[Customer]:
    """Find whose order this may be: by name, phone or e-mail, by a vehicle's plate or words, by an order's number."""
    vehicles = Vehicle.objects.filter(finding.found(text, target_kind="vehicle"))
    orders = WorkOrder.objects.filter(finding.found(text, target_kind="order"))
    owned = Damper.objects.filter(finding.found(text, target_kind="damper"))
    by_damper = Q(ownerships__damper__in=owned, ownerships__current=True)
    anyhow = finding.found(text, target_kind="customer") | Q(vehicles__in=vehicles) | Q(orders__in=orders)
    ids = Customer.objects.filter(anyhow | by_damper).values("pk")
    return customers().filter(pk__in=ids)

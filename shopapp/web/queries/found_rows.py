"""What is said of each row that the find box found: its page, its name, what stands under it, and the reason why."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.customers.models import Contact, Customer, Vehicle
from shopapp.customers.queries import good_contacts
from shopapp.dampers.queries import dampers
from shopapp.dampers.services import tags
from shopapp.money.models import Invoice
from shopapp.orders.models import WorkOrder
from shopapp.shop.hits import Match
from shopapp.shop.services.search_terms import fold, fold_number
from shopapp.web.queries.where_now import where_now


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found: `matched` is the text that `looked_for` was found in, `why` names what it is of the row."""

    url: str
    title: str
    detail: str
    why: str
    matched: str
    looked_for: str


Hits = dict[int, Hit]


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


def _open_words() -> dict[str, str]:
    return {
        "damper": _("in the shop now"),
        "order": _("open"),
        "customer": _("has an open order"),
        "vehicle": _("has an open order"),
        "invoice": _("of an open order"),
    }


def _hit(match: Match, name: str, pk: int, *, title: str, matched: str, details: list[str]) -> Hit:
    detail = " · ".join(filter(None, [_open_words()[match.target_kind] if match.is_open else "", *details]))
    why = reasons().get(match.kind, "")
    return Hit(reverse(name, args=[pk]), title, detail, why, matched, match.looked_for)


def dampers_found(matches: list[Match]) -> Hits:
    """Say of dampers their model and serial, and under it tag, owner and place."""
    rows = dampers().filter(pk__in=[match.target_id for match in matches]).in_bulk()
    where = where_now(rows.values(), at=timezone.now(), names=True)
    found = {}
    for match in matches:
        damper = rows.get(match.target_id)
        if damper is None:
            continue
        matched = {"tag": tags.show(damper.tag), "serial": damper.serial}.get(
            match.kind, str(damper.model or damper.maker)
        )
        is_now = where[damper.pk].first
        owner = ", ".join(filter(None, (owned.customer.name for owned in damper.owned)))  # type: ignore[attr-defined]
        place = ", ".join(fitting.get_place_display() for fitting in damper.fitted)  # type: ignore[attr-defined]
        title = f"{damper.model or damper.maker or _('damper')} · {damper.serial or _('no serial')}"
        details = ["" if match.kind == "tag" else tags.show(damper.tag), owner, place, is_now]
        found[damper.pk] = _hit(match, "damper", damper.pk, title=title, matched=matched, details=details)
    return found


def orders_found(matches: list[Match]) -> Hits:
    """Say of orders their number, and under it customer and vehicle."""
    rows = WorkOrder.objects.select_related("customer", "vehicle").in_bulk([one.target_id for one in matches])
    found = {}
    for match in matches:
        order = rows.get(match.target_id)
        if order is not None:
            number = str(order.number)
            details = [order.customer.name, str(order.vehicle or "")]
            found[order.pk] = _hit(
                match, "order", order.number, title=_("Order %s") % number, matched=number, details=details
            )
    return found


def invoices_found(matches: list[Match]) -> Hits:
    """Say of invoices their number, and under it the order and its customer."""
    rows = Invoice.objects.select_related("order__customer").in_bulk([one.target_id for one in matches])
    found = {}
    for match in matches:
        invoice = rows.get(match.target_id)
        if invoice is not None:
            details = [_("order %s") % invoice.order.number, invoice.order.customer.name]
            title = _("Invoice %s") % invoice
            found[invoice.pk] = _hit(
                match, "invoice", invoice.pk, title=title, matched=str(invoice), details=details
            )
    return found


def customers_found(matches: list[Match]) -> Hits:
    """Say of customers their name and phones. One who was merged is found as who they are now, erased ones are not."""
    entries = Customer.objects.filter(erased_at__isnull=True).select_related("merged_into")
    rows = entries.prefetch_related(good_contacts()).in_bulk([match.target_id for match in matches])
    found = {}
    for match in matches:
        entry = rows.get(match.target_id)
        now = (entry.merged_into or entry) if entry is not None else None
        if entry is None or now is None or now.erased_at is not None:
            continue
        phones = [contact.value for contact in _good(entry) if contact.kind == "phone"]
        details = [_("entered as %s") % entry.name if now != entry else "", *phones[:2]]
        found[entry.pk] = _hit(
            match, "customer", now.pk, title=now.name, matched=_matched(entry, match), details=details
        )
    return found


def _good(customer: Customer) -> list[Contact]:
    """Give the contacts that still count, as they were read with the customer."""
    return getattr(customer, "good", [])


def _matched(customer: Customer, match: Match) -> str:
    """Give the contact that the text was found in, else the name."""
    if match.kind == "name" and match.looked_for in fold(customer.name):
        return customer.name
    kinds = {"name": (Contact.Kind.PERSON,), "phone": (Contact.Kind.PHONE,)}.get(match.kind, (match.kind,))
    for contact in _good(customer):
        for text in (contact.value, contact.label):
            held = match.looked_for in fold(text) or fold_number(match.looked_for) in fold_number(text)
            if text and held and (contact.kind in kinds or match.kind == "name"):
                return str(text)
    return customer.name


def vehicles_found(matches: list[Match]) -> Hits:
    """Say of vehicles whose they are; the page is the customer's, of one who was merged that of who they are now."""
    rows = Vehicle.objects.select_related("customer__merged_into").in_bulk([one.target_id for one in matches])
    found = {}
    for match in matches:
        vehicle = rows.get(match.target_id)
        if vehicle is None:
            continue
        customer = vehicle.customer.merged_into or vehicle.customer
        if customer.erased_at is None:
            matched = {"plate": vehicle.plate, "vin": vehicle.vin}.get(match.kind, vehicle.description)
            title = f"{customer.name} · {vehicle.description}"
            found[vehicle.pk] = _hit(
                match, "customer", customer.pk, title=title, matched=matched, details=[vehicle.plate]
            )
    return found

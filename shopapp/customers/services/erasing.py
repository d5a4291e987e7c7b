"""Erasing a customer: who they are goes, what was done and paid stays."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.customers import held
from shopapp.customers.models import Contact, Customer, Vehicle
from shopapp.customers.queries import whole
from shopapp.customers.services import customers, vehicles
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person

NOTHING = {
    "bill_to": "", "tax_id": "", "exemption": "", "exemption_certificate": "", "exemption_until": None, "note": "",
}  # fmt: skip


def erase_customer(
    *,
    customer: Customer,
    typed_name: str,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> None:
    """Erase who a customer is, with their doubles; nobody can take it back.

    `typed_name` is the name as whoever asks for it typed it, so that nobody is erased by a slip. Refused while an order
    is open or money is owed. The act keeps no name.
    """
    with acts.doing("erase_customer", call=call, by=by, at=at, within=within) as act:
        if " ".join(typed_name.split()).casefold() != " ".join(customer.name.split()).casefold():
            raise Refused(_("Type the name as it stands above: %s.") % customer.name, field="typed_name")
        # The lock first: an order that is being received now is seen below, or finds nobody to be received for.
        free = Customer.objects.filter(pk=customer.pk, erased_at__isnull=True, merged_into__isnull=True)
        if free.update(erased_at=at, revision=F("revision") + 1) != 1:
            raise Refused(_("This customer was erased or merged meanwhile. Look again."))
        entries = list(whole(customer).order_by("pk"))
        reasons = held.hindered(entries)
        if reasons:
            raise Refused(" ".join(reasons))
        for entry in entries:
            _erase_entry(entry, at)
        for eraser in held.ERASERS:
            eraser(entries, at)
        act.about("customer", customer.pk)
        act.result = {"customer": customer.pk}


def _erase_entry(entry: Customer, at: datetime) -> None:
    name = _("erased customer %d") % entry.pk
    Customer.objects.filter(pk=entry.pk).update(name=name, erased_at=at, **NOTHING)
    Contact.objects.filter(customer=entry).delete()
    for vehicle in Vehicle.objects.filter(customer=entry):
        vehicle.plate = vehicle.plate_folded = vehicle.vin = vehicle.use = ""
        vehicle.vin_valid = False
        vehicle.save(update_fields=["plate", "plate_folded", "vin", "use", "vin_valid"])
        vehicles.keep_terms(vehicle)
    entry.refresh_from_db()
    customers.keep_terms(entry)

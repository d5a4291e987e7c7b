"""Whose order it is and off what it comes: the first two parts of the new-order sheet."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.calc import units
from shopapp.customers.forms import METER_KINDS, email_problem, phone_problem, read_meter
from shopapp.customers.models import Customer, Vehicle
from shopapp.customers.queries import same
from shopapp.customers.services import MeterIn, NewContact
from shopapp.orders.models import HOW
from shopapp.orders.services import NewCustomer, NewVehicle
from shopapp.shop.forms import ActForm
from shopapp.shop.models import Shop
from shopapp.web.queries.finding import customers_by

MOST_MATCHES = 12


def text_field(label: Any, size: int, **kwargs: Any) -> forms.CharField:
    """Make an entry of words that may stay empty."""
    return forms.CharField(label=label, max_length=size, required=False, **kwargs)


class WhoseOrderForm(ActForm):
    """Who brings it and off what: whoever is known is found by text, the rest is added."""

    customer_text = text_field(
        _lazy("Customer"), 120, help_text=_lazy("Name, phone, plate or order: a few letters, then Look up.")
    )
    customer = forms.ChoiceField(label=_lazy("Known"), required=False, widget=forms.RadioSelect)
    new_kind = forms.ChoiceField(
        label=_lazy("Person or firm"), choices=Customer.Kind.choices, required=False, initial="person"
    )
    new_name = text_field(_lazy("New: name"), 120)
    new_phone = text_field(_lazy("Phone"), 40)
    new_email = text_field(_lazy("E-mail"), 200)
    comes_by = forms.ChoiceField(label=_lazy("Comes by"), choices=HOW, initial="counter")
    comes_carrier = text_field(_lazy("Carrier and number"), 120)
    leaves_by = forms.ChoiceField(
        label=_lazy("Leaves by"), choices=[("", _lazy("as it comes")), *HOW], required=False
    )
    leaves_carrier = text_field(_lazy("Carrier"), 120)
    vehicle = forms.ChoiceField(label=_lazy("Vehicle"), required=False)
    vehicle_description = text_field(_lazy("New: vehicle in words"), 120)
    vehicle_plate = text_field(_lazy("Plate"), 20)
    vehicle_vin = text_field(_lazy("VIN or frame number"), 40)
    vehicle_use = text_field(_lazy("Used for"), 120)
    vehicle_hard = forms.BooleanField(label=_lazy("Hard use: racing, loads, salt"), required=False)
    meter = text_field(_lazy("Meter"), 60, help_text=_lazy("With its unit: 5980 mi, 9600 km or 412 h."))
    meter_kind = forms.ChoiceField(label=_lazy("The meter"), choices=METER_KINDS, initial="reading")
    vehicles_of = forms.CharField(max_length=20, required=False, widget=forms.HiddenInput)
    name_taken = forms.CharField(max_length=120, required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, shop: Shop | None, now: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.shop, self.now = shop, now
        self.matches = self._matches()
        self.fields["customer"].choices = [(str(c.pk), self._named(c)) for c in self.matches]  # type: ignore[attr-defined]
        self.fields["vehicle"].choices = self._vehicles()  # type: ignore[attr-defined]
        if not self.is_bound:
            self._take_the_name_over()
            self._choose_the_only_ones()

    def typed(self, name: str) -> str:
        """Give what stands in a field now, as sent or as first shown; not cleaned yet, but without NULs."""
        source = self.data if self.is_bound else self.initial
        return str(source.get(name) or "")[:200].replace("\0", " ")

    def _matches(self) -> list[Customer]:
        """Find who may be meant: whoever the text finds, and whoever is chosen already."""
        text, chosen = self.typed("customer_text").strip(), self.typed("customer")
        found = list(customers_by(text)[:MOST_MATCHES]) if text else []
        if (
            chosen.isascii()
            and chosen.isdigit()
            and len(chosen) < 19
            and int(chosen) not in {c.pk for c in found}
        ):
            found += list(
                Customer.objects.filter(pk=int(chosen), erased_at__isnull=True, merged_into__isnull=True)
            )
        theirs = Q(customer__in=found) | Q(customer__merged_into__in=found)
        self.vehicles = {
            str(vehicle.pk): vehicle
            for vehicle in Vehicle.objects.filter(theirs)
            .select_related("customer")
            .order_by("description", "pk")
        }
        return found

    def _named(self, customer: Customer) -> str:
        phones = [contact.value for contact in getattr(customer, "good", []) if contact.kind == "phone"]
        return " · ".join([customer.name, *phones[:1]])

    def _vehicles(self) -> list[Any]:
        """Offer the vehicles of everybody who may be meant, under their owners' names."""
        groups = [
            (
                owner.name,
                [
                    (pk, " · ".join(filter(None, [vehicle.description, vehicle.plate])))
                    for pk, vehicle in self.vehicles.items()
                    if same(vehicle.customer, owner)
                ],
            )
            for owner in self.matches
        ]
        return [("", _("none, or a new one")), *(group for group in groups if group[1])]

    def _take_the_name_over(self) -> None:
        """Take a text without digits by which nobody is found for the new name; let go of it once it finds somebody."""
        text, taken = self.typed("customer_text").strip(), self.typed("name_taken")
        if taken and self.typed("new_name") == taken:
            self.initial["new_name"] = ""
        self.initial["name_taken"] = ""
        is_name = text and not self.matches and not any(mark.isdigit() for mark in text)
        if is_name and not self.typed("new_name"):
            self.initial["new_name"] = self.initial["name_taken"] = text[:120]

    def _choose_the_only_ones(self) -> None:
        """Choose the only customer that is found, and once for each customer their only vehicle."""
        new = self.typed("new_name")
        if len(self.matches) == 1 and not self.typed("customer") and not new:
            self.initial["customer"] = str(self.matches[0].pk)
        customer = self.known_customer
        asked_before = self.typed("vehicles_of") == self.typed("customer")
        self.initial["vehicles_of"] = self.typed("customer")
        if customer is None or asked_before or self.typed("vehicle") or self.typed("vehicle_description"):
            return
        theirs = [pk for pk, row in self.vehicles.items() if same(row.customer, customer)]
        if len(theirs) == 1:
            self.initial["vehicle"] = theirs[0]

    @property
    def off_known(self) -> Vehicle | None:
        """Give the known vehicle that is chosen now."""
        return self.vehicles.get(self.typed("vehicle"))

    @property
    def known_customer(self) -> Customer | None:
        """Give the known customer who is chosen now."""
        return next((row for row in self.matches if str(row.pk) == self.typed("customer")), None)

    def read_whom(self, data: dict[str, Any]) -> Customer | NewCustomer | None:
        """Say whose order it is: the chosen one, a new one, or the only one that the text finds."""
        chosen, name, text = data.get("customer"), data.get("new_name"), data.get("customer_text")
        if name and chosen:
            self.add_error(
                "new_name", _("A known customer is chosen too. Take the new name away, or the choice.")
            )
            return None
        if chosen:
            return next(c for c in self.matches if str(c.pk) == chosen)
        if name:
            return self._new_customer(data, name)
        if "customer" in self.errors or "new_name" in self.errors:
            return None
        if text and len(self.matches) == 1:
            return self.matches[0]
        self.add_error("customer_text", self._why_nobody(text))
        return None

    def _why_nobody(self, text: str | None) -> str:
        if not text:
            return _("Say whose order it is: type a few letters of a known name, or a new name below.")
        if self.matches:
            return _("%(n)s customers are found by “%(text)s”. Choose one of them.") % {
                "n": len(self.matches),
                "text": text,
            }
        return _("Nobody is found by “%s”. Type fewer letters, or the new name below.") % text

    def _new_customer(self, data: dict[str, Any], name: str) -> NewCustomer:
        contacts = []
        for kind, field, check in (
            ("phone", "new_phone", phone_problem),
            ("email", "new_email", email_problem),
        ):
            value = data.get(field)
            problem = check(value) if value else ""
            if problem:
                self.add_error(field, problem)
            elif value:
                contacts.append(NewContact(kind, value))
        return NewCustomer(name=name, kind=data.get("new_kind") or "person", contacts=contacts)

    def read_off(self, data: dict[str, Any]) -> Vehicle | NewVehicle | None:
        """Say off what the dampers came: a known vehicle, a new one, or none."""
        chosen = self.vehicles.get(data.get("vehicle") or "")
        words = data.get("vehicle_description")
        if chosen is not None and words:
            self.add_error(
                "vehicle_description", _("A known vehicle is chosen too. Take one of the two away.")
            )
        if chosen is not None:
            whom = data["whom"]
            if whom is not None and (isinstance(whom, NewCustomer) or not same(whom, chosen.customer)):
                self.add_error(
                    "vehicle", _("This vehicle belongs to somebody else. Choose another, or none.")
                )
            return chosen
        if words:
            names = {"plate": "vehicle_plate", "vin": "vehicle_vin", "use": "vehicle_use"}
            given = {name: data.get(field) or "" for name, field in names.items()}
            return NewVehicle(description=words, hard_use=bool(data.get("vehicle_hard")), **given)
        if data.get("vehicle_plate") or data.get("vehicle_vin"):
            self.add_error(
                "vehicle_description", _("Say in words what vehicle this plate or number belongs to.")
            )
        return None

    def read_the_meter(self, data: dict[str, Any]) -> None:
        text, off = data.get("meter"), data["off"]
        data["shown"] = None
        if not text:
            return
        if off is None:
            self.add_error("meter", _("A meter reading needs the vehicle it was read on. Choose or add one."))
            return
        hours_only = isinstance(off, Vehicle) and off.counts_hours and not off.counts_distance
        try:
            shown = read_meter(text, shop=self.shop, hours_only=hours_only)
        except units.UnitError as problem:
            self.add_error("meter", str(problem))
            return
        data["shown"] = MeterIn(shown, data.get("meter_kind") or "reading")

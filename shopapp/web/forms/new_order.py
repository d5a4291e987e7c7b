"""The new-order sheet: customer, vehicle and meter, six dampers, what was said and agreed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django import forms
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.calc import units
from shopapp.customers.forms import METER_KINDS, email_problem, phone_problem, read_meter
from shopapp.customers.models import Customer, Vehicle
from shopapp.customers.queries import same
from shopapp.customers.services import MeterIn, NewContact
from shopapp.dampers.models import PLACES
from shopapp.dampers.queries import models
from shopapp.orders.models import HOW
from shopapp.orders.queries import terms_on, work_types
from shopapp.orders.services import Agreed, DamperRow, NewCustomer, NewVehicle
from shopapp.shop.forms import ActForm
from shopapp.shop.models import Shop
from shopapp.web.forms.damper_rows import Known, Row, back_choices, read_rows
from shopapp.web.forms.moments import ComingDayField, HourField, promised
from shopapp.web.forms.order_page import LimitField, with_comma
from shopapp.web.queries.finding import customers_by

ROWS = 6
MOST_MATCHES = 12
AREA = forms.Textarea(attrs={"rows": 3})


def _text(label: Any, size: int, **kwargs: Any) -> forms.CharField:
    return forms.CharField(label=label, max_length=size, required=False, **kwargs)


class NewOrderForm(ActForm):
    """One sheet. Whoever and whatever is known is recognised by text, tag or serial; the rest is added."""

    customer_text = _text(
        _lazy("Customer"), 120, help_text=_lazy("Name, phone, plate or order: a few letters, then Look up.")
    )
    customer = forms.ChoiceField(label=_lazy("Known"), required=False, widget=forms.RadioSelect)
    new_kind = forms.ChoiceField(
        label=_lazy("Person or firm"), choices=Customer.Kind.choices, required=False, initial="person"
    )
    new_name = _text(_lazy("New: name"), 120)
    new_phone = _text(_lazy("Phone"), 40)
    new_email = _text(_lazy("E-mail"), 200)
    comes_by = forms.ChoiceField(label=_lazy("Comes by"), choices=HOW, initial="counter")
    comes_carrier = _text(_lazy("Carrier and number"), 120)
    leaves_by = forms.ChoiceField(label=_lazy("Leaves by"), choices=HOW, initial="counter")
    leaves_carrier = _text(_lazy("Carrier"), 120)
    vehicle = forms.ChoiceField(label=_lazy("Vehicle"), required=False)
    vehicle_description = _text(_lazy("New: vehicle in words"), 120)
    vehicle_plate = _text(_lazy("Plate"), 20)
    vehicle_vin = _text(_lazy("VIN or frame number"), 40)
    vehicle_use = _text(_lazy("Used for"), 120)
    vehicle_hard = forms.BooleanField(label=_lazy("Hard use: racing, loads, salt"), required=False)
    meter = _text(_lazy("Meter"), 60, help_text=_lazy("With its unit: 5980 mi, 9600 km or 412 h."))
    meter_kind = forms.ChoiceField(label=_lazy("The meter"), choices=METER_KINDS, initial="reading")
    complaint = _text(_lazy("Complaint and wish"), 2000, widget=AREA)
    changed_hands = forms.BooleanField(
        label=_lazy("Dampers of somebody else have changed hands"), required=False
    )
    limit_gross = LimitField(label=_lazy("Not past, with tax"), required=False)
    promised_day = ComingDayField(
        label=_lazy("Promised day"), required=False, help_text=_lazy("2026-11-27 or 27 Nov 2026")
    )
    promised_hour = HourField(label=_lazy("Hour"), required=False, help_text=_lazy("17:00 where left empty"))
    terms_accepted = forms.BooleanField(label=_lazy("Terms accepted"), required=False)
    terms_how = _text(_lazy("How"), 80, help_text=_lazy("Signed on paper, by e-mail."))

    def __init__(self, *args: Any, shop: Shop | None, now: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.shop, self.now = shop, now
        self.known = Known(models=list(models()), work_types=list(work_types()), on=timezone.localdate(now))
        self.terms = terms_on(timezone.localdate(now))
        self.matches = self._matches()
        self.fields["customer"].choices = [(str(c.pk), self._named(c)) for c in self.matches]  # type: ignore[attr-defined]
        self.fields["vehicle"].choices = self._vehicles()  # type: ignore[attr-defined]
        for number in range(1, ROWS + 1):
            self._add_row(number)
        with_comma(self, shop)
        if not self.is_bound:
            self._choose_the_only_one()
            self._set_the_pen_down()

    def _typed(self, name: str) -> str:
        """Give what stands in a field now, as sent or as first shown; not cleaned yet, but without NULs."""
        source = self.data if self.is_bound else self.initial
        return str(source.get(name) or "")[:200].replace("\0", " ")

    def _matches(self) -> list[Customer]:
        """Find who may be meant: whoever the text finds, and whoever is chosen already."""
        text, chosen = self._typed("customer_text").strip(), self._typed("customer")
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

    def _choose_the_only_one(self) -> None:
        if len(self.matches) == 1 and not self._typed("customer"):
            self.initial["customer"] = str(self.matches[0].pk)

    def _set_the_pen_down(self) -> None:
        """Put the focus where the keyboard goes on: who it is; once that is known, the vehicle."""
        at = "vehicle" if self.matches else "new_name" if self._typed("customer_text") else "customer_text"
        self.fields["customer" if len(self.matches) > 1 else at].widget.attrs["autofocus"] = True

    def _add_row(self, number: int) -> None:
        """Add the entries of one damper; their labels name the row, since a screen reader hears them alone."""
        at = {"n": number}
        models_offered = [("", _("not new")), *((str(m.pk), str(m)) for m in self.known.models)]
        same = _("as above") if number > 1 else _("choose")
        work_offered = [("", same), *((str(w.pk), w.name) for w in self.known.work_types)]
        if number == 1 and len(work_offered) == 2:
            work_offered = work_offered[1:]
        self.fields.update(
            {
                f"r{number}_place": forms.ChoiceField(
                    label=_("Place, row %(n)s") % at, choices=[("", _("loose")), *PLACES], required=False
                ),
                f"r{number}_tag": _text(_("Tag or serial, row %(n)s") % at, 60),
                f"r{number}_model": forms.ChoiceField(
                    label=_("Model of a new one, row %(n)s") % at, choices=models_offered, required=False
                ),
                f"r{number}_work": forms.ChoiceField(
                    label=_("Work, row %(n)s") % at, choices=work_offered, required=False
                ),
                f"r{number}_condition": _text(_("Leaks, damage, row %(n)s") % at, 200),
                f"r{number}_shelf": _text(_("Shelf, row %(n)s") % at, 40),
                f"r{number}_back": forms.ChoiceField(
                    label=_("Comes back, row %(n)s") % at,
                    choices=back_choices(self.known.warranty(self._typed(f"r{number}_tag"))), required=False,
                ),
            }
        )  # fmt: skip

    def rows(self) -> Iterator[dict[str, Any]]:
        """Give each row's entries and what is known of its damper, for the page."""
        for number in range(1, ROWS + 1):
            typed = self._typed(f"r{number}_tag")
            note = self.known.note(typed, self._typed(f"r{number}_model"))
            covered = self.known.warranty(typed)
            entries = {name: self[f"r{number}_{name}"] for name in Row.ENTRIES}
            yield {"number": number, "note": note, "covered": covered, **entries}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        data["whom"] = self._whom(data)
        data["off"] = self._off(data)
        self._read_meter(data)
        self._read_promise(data)
        self._read_terms(data)
        found, problems = read_rows([self._row(number, data) for number in range(1, ROWS + 1)], self.known)
        for name, sentence in problems:
            self.add_error(name, sentence)
        data["rows"] = found
        return data

    def _row(self, number: int, data: dict[str, Any]) -> Row:
        get = {name: data.get(f"r{number}_{name}") or "" for name in Row.ENTRIES}
        return Row(number=number, **get)

    def _whom(self, data: dict[str, Any]) -> Customer | NewCustomer | None:
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

    def _off(self, data: dict[str, Any]) -> Vehicle | NewVehicle | None:
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

    def _read_meter(self, data: dict[str, Any]) -> None:
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

    def _read_promise(self, data: dict[str, Any]) -> None:
        try:
            data["promised"] = promised(data.get("promised_day"), data.get("promised_hour"), now=self.now)
        except forms.ValidationError as problem:
            if "promised_day" not in self.errors:
                self.add_error("promised_day", problem)

    def _read_terms(self, data: dict[str, Any]) -> None:
        if data.get("terms_accepted") and not data.get("terms_how"):
            self.add_error("terms_how", _("Say how the terms were accepted, for example: signed on paper."))

    def sheet(self) -> dict[str, Any]:
        """Give what the service takes, once the form is valid."""
        data = self.cleaned_data
        names = (
            "complaint",
            "comes_by",
            "comes_carrier",
            "leaves_by",
            "leaves_carrier",
            "promised",
            "limit_gross",
        )
        accepted = bool(data["terms_accepted"]) and self.terms is not None
        agreed = Agreed(
            **{name: data[name] for name in names},
            terms=self.terms if accepted else None,
            terms_accepted_how=data["terms_how"] if accepted else "",
        )
        rows: list[DamperRow] = data["rows"]
        return {
            "customer": data["whom"], "vehicle": data["off"], "meter": data["shown"], "rows": rows,
            "agreed": agreed, "changed_hands": data["changed_hands"],
        }  # fmt: skip

"""Forms of customers and vehicles: check and clean, never save."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.core.validators import validate_email
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.calc import units
from shopapp.calc.units import Measurement
from shopapp.customers.models import Contact, ContactConsent, Customer, MeterReading, Vehicle
from shopapp.customers.services import Exemption, MeterIn, NewConsent, NewContact
from shopapp.shop.forms import ActForm, RevisionForm
from shopapp.shop.models import Shop

MOST_CONTACTS = 10
MOST_OFFERED = 20
LINES = forms.Textarea(attrs={"rows": 2})
METER_KINDS = [
    (MeterReading.Kind.READING.value, _lazy("the meter runs on")),
    (MeterReading.Kind.REPLACED.value, _lazy("the meter was replaced")),
    (MeterReading.Kind.ROLLED_OVER.value, _lazy("the meter rolled over")),
]
LETTERS = [("", _lazy("not asked")), ("yes", _lazy("yes")), ("no", _lazy("no"))]


def shop_language() -> str:
    """Give the language that a new customer's papers are in: the shop's, until somebody chooses another."""
    return settings.LANGUAGE_CODE


def read_meter(text: str, *, shop: Shop | None, hours_only: bool = False) -> Measurement:
    """Read a meter as typed: a distance, or a running time in hours; `UnitError` with a sentence for anything else.

    Without a unit it is the shop's unit of distance, or hours where the vehicle counts nothing else.
    """
    offered = (shop.default_units if shop else None) or {}
    comma = bool(shop and shop.decimal_comma)
    if hours_only:
        return units.parse(text, "running_time", "h", decimal_comma=comma)
    try:
        return units.parse(text, "distance", offered.get("distance", "mile"), decimal_comma=comma)
    except units.UnitError as no_distance:
        try:
            return units.parse(text, "running_time", None, decimal_comma=comma)
        except units.UnitError:
            raise no_distance from None


def phone_problem(text: str) -> str:
    """Say what is wrong with a phone number, or ""."""
    if sum(mark.isdigit() for mark in text) < 3:
        return _("“%s” is no phone number: it needs its digits, for example 555-0118.") % text[:40]
    return ""


def email_problem(text: str) -> str:
    """Say what is wrong with an e-mail address, or ""."""
    try:
        validate_email(text)
    except forms.ValidationError:
        return _("“%s” is no e-mail address: write it like wyn@example.com.") % text[:40]
    return ""


class ContactLines(forms.CharField):
    """Several contacts of one kind, one a line, each with a label after a semicolon; gives NewContacts."""

    def __init__(self, *, kind: str, **kwargs: Any) -> None:
        self.kind = kind
        kwargs.setdefault("max_length", 3000)
        kwargs.setdefault("widget", LINES)
        super().__init__(required=False, **kwargs)

    def clean(self, value: Any) -> Any:
        lines = [line.strip() for line in super().clean(value).splitlines() if line.strip()]
        if len(lines) > MOST_CONTACTS:
            raise forms.ValidationError(_("Write at most %s, one a line.") % MOST_CONTACTS)
        return [self._contact(line) for line in lines]

    def _contact(self, line: str) -> NewContact:
        value, _mark, label = (part.strip() for part in line.partition(";"))
        check = {"phone": phone_problem, "email": email_problem}.get(self.kind)
        problem = check(value) if check else ""
        if not problem and (len(value) > 300 or len(label) > 80):
            problem = _("“%s” is too long: at most 300 characters, and 80 after the semicolon.") % line[:40]
        if problem:
            raise forms.ValidationError(problem)
        return NewContact(self.kind, value, label)


class CustomerFields(forms.Form):
    """What is written about a customer."""

    kind = forms.ChoiceField(
        label=_lazy("Person or firm"),
        choices=Customer.Kind.choices,
        widget=forms.RadioSelect,
        initial="person",
    )
    name = forms.CharField(label=_lazy("Name"), max_length=120)
    phones = ContactLines(
        kind="phone",
        label=_lazy("Phones"),
        help_text=_lazy("One a line; whose it is after a semicolon: 555-0133; workshop"),
    )
    emails = ContactLines(kind="email", label=_lazy("E-mail"), help_text=_lazy("One a line."))
    people = ContactLines(
        kind="person",
        label=_lazy("Who to ask for"),
        help_text=_lazy("One a line; what they do after a semicolon."),
    )
    posts = ContactLines(
        kind="post",
        label=_lazy("Post goes to"),
        help_text=_lazy("One address a line, its parts set apart by commas."),
    )
    bill_to = forms.CharField(
        label=_lazy("Bill to"), max_length=600, required=False, widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_lazy("Name and address as they stand on the invoice, where not as above."),
    )  # fmt: skip
    tax_id = forms.CharField(label=_lazy("Tax number"), max_length=40, required=False)
    exemption = forms.CharField(
        label=_lazy("Exempt from tax, because"),
        max_length=120,
        required=False,
        help_text=_lazy("As it is to stand on the invoice, such as “resale”. Empty: tax is charged."),
    )
    exemption_certificate = forms.CharField(
        label=_lazy("Certificate of the exemption"), max_length=60, required=False
    )
    exemption_until = forms.DateField(
        label=_lazy("The certificate holds until"),
        required=False,
        widget=forms.DateInput({"type": "date"}),
        help_text=_lazy("After this day tax is charged again."),
    )
    language = forms.ChoiceField(
        label=_lazy("Language of papers"), choices=settings.LANGUAGES, initial=shop_language
    )
    letters = forms.ChoiceField(
        label=_lazy("May be written to by e-mail"), choices=LETTERS, required=False, widget=forms.RadioSelect
    )
    letters_how = forms.CharField(
        label=_lazy("How the answer was given"),
        max_length=120,
        required=False,
        help_text=_lazy("For example: at the counter."),
    )
    note = forms.CharField(
        label=_lazy("Note"), max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("letters") and not data.get("letters_how"):
            self.add_error("letters_how", _("Say how the answer was given, for example: at the counter."))
        if not data.get("exemption") and (data.get("exemption_certificate") or data.get("exemption_until")):
            self.add_error("exemption", _("Say why no tax is charged: the words stand on the invoice."))
        return data

    def details(self) -> dict[str, Any]:
        """Give what the services of customers take."""
        data = self.cleaned_data
        contacts = [*data["phones"], *data["emails"], *data["people"], *data["posts"]]
        fields = {name: data[name] for name in ("kind", "name", "bill_to", "tax_id", "language", "note")}
        consents = []
        if data["letters"]:
            consents = [NewConsent("email", data["letters"] == "yes", data["letters_how"])]
        exemption = None
        if data["exemption"]:
            exemption = Exemption(data["exemption"], data["exemption_certificate"], data["exemption_until"])
        return {**fields, "contacts": contacts, "consents": consents, "exemption": exemption}


class NewCustomerForm(CustomerFields, ActForm):
    """A customer who is not in the books yet."""


class MergeForm(ActForm):
    """Who this customer is, entered twice; `offered` are those that may be meant."""

    into = forms.ModelChoiceField(
        label=_lazy("The entry that is kept"),
        queryset=Customer.objects.none(),
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages={
            "required": _lazy("Choose the entry that is kept, or look for it first."),
            "invalid_choice": _lazy("Choose one of those that are offered, or look for another."),
        },
    )

    def __init__(self, *args: Any, offered: QuerySet[Customer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = list(offered[:MOST_OFFERED])
        field = self.fields["into"]
        field.queryset = Customer.objects.filter(pk__in=[row.pk for row in self.offered])  # type: ignore[attr-defined]
        field.choices = [(str(row.pk), self.said(row)) for row in self.offered]  # type: ignore[attr-defined]

    @staticmethod
    def said(row: Customer) -> str:
        """Say who is meant: the name with what tells two of one name apart."""
        contacts = [contact.value for contact in getattr(row, "good", [])]
        return " · ".join([row.name, *contacts[:3]])


class EraseForm(ActForm):
    """That a customer is to be erased: their name, typed."""

    typed_name = forms.CharField(
        label=_lazy("Their name, to be sure"),
        max_length=120,
        widget=forms.TextInput({"autocomplete": "off"}),
        help_text=_lazy("Nobody can take this back."),
    )


class CustomerForm(CustomerFields, RevisionForm):
    """A customer as the books have it, to be changed."""

    @staticmethod
    def initial_of(customer: Customer, consents: list[ContactConsent]) -> dict[str, Any]:
        """Give what the form shows first; `customer` was read with its good contacts."""
        lines: dict[str, list[str]] = {}
        for contact in customer.contacts.filter(stopped_at__isnull=True).order_by("pk"):
            lines.setdefault(contact.kind, []).append("; ".join(filter(None, [contact.value, contact.label])))
        own = (
            "kind", "name", "bill_to", "tax_id", "exemption", "exemption_certificate", "exemption_until", "language",
            "note", "revision",
        )  # fmt: skip
        letters = next((consent for consent in consents if consent.channel == "email"), None)
        return {
            **{name: getattr(customer, name) for name in own},
            "phones": "\n".join(lines.get(Contact.Kind.PHONE, [])),
            "emails": "\n".join(lines.get(Contact.Kind.EMAIL, [])),
            "people": "\n".join(lines.get(Contact.Kind.PERSON, [])),
            "posts": "\n".join(lines.get(Contact.Kind.POST, [])),
            "letters": "" if letters is None else ("yes" if letters.yes else "no"),
            "letters_how": "" if letters is None else letters.how,
        }  # fmt: skip


class VehicleFields(forms.Form):
    """What is written about a vehicle, and what its meter shows now."""

    description = forms.CharField(
        label=_lazy("Vehicle"), max_length=120, help_text=_lazy("In words: long-travel buggy, 2 seats.")
    )
    plate = forms.CharField(label=_lazy("Plate"), max_length=20, required=False)
    vin = forms.CharField(
        label=_lazy("VIN or frame number"), max_length=40, required=False,
        help_text=_lazy("A number that does not check out is kept as typed."),
    )  # fmt: skip
    use = forms.CharField(label=_lazy("Used for"), max_length=120, required=False)
    hard_use = forms.BooleanField(label=_lazy("Hard use: racing, loads, salt"), required=False)
    counts_distance = forms.BooleanField(
        label=_lazy("Its meter counts distance"), required=False, initial=True
    )
    counts_hours = forms.BooleanField(label=_lazy("Its meter counts hours"), required=False)
    meter = forms.CharField(
        label=_lazy("Meter now"),
        max_length=60,
        required=False,
        help_text=_lazy("With its unit: 5980 mi, 9600 km or 412 h."),
    )
    meter_kind = forms.ChoiceField(label=_lazy("The meter"), choices=METER_KINDS, initial="reading")

    def __init__(self, *args: Any, shop: Shop | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.shop = shop

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("meter"):
            hours_only = bool(data.get("counts_hours") and not data.get("counts_distance"))
            try:
                data["meter"] = read_meter(data["meter"], shop=self.shop, hours_only=hours_only)
            except units.UnitError as problem:
                self.add_error("meter", str(problem))
        return data

    def details(self) -> dict[str, Any]:
        """Give what the services of vehicles take."""
        data = self.cleaned_data
        names = ("description", "plate", "vin", "use", "hard_use", "counts_distance", "counts_hours")
        meter = MeterIn(data["meter"], data["meter_kind"]) if data["meter"] else None
        return {**{name: data[name] for name in names}, "meter": meter}


class NewVehicleForm(VehicleFields, ActForm):
    """A vehicle that is not in the books yet."""


class VehicleForm(VehicleFields, RevisionForm):
    """A vehicle as the books have it, to be changed."""

    @staticmethod
    def initial_of(vehicle: Vehicle) -> dict[str, Any]:
        """Give what the form shows first; the meter is entered anew each time."""
        names = (
            "description", "plate", "vin", "use", "hard_use", "counts_distance", "counts_hours", "revision",
        )  # fmt: skip
        return {name: getattr(vehicle, name) for name in names}

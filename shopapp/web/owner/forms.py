"""The owner's forms: they check and clean, and never save."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import password_validation
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from shopapp.calc import units
from shopapp.people.models import ROLES
from shopapp.people.services.signing_in import fold_login
from shopapp.shop import currency
from shopapp.shop.both_versions import BothVersions
from shopapp.shop.forms import ActForm, MeasuredField
from shopapp.shop.models import Shop
from shopapp.shop.services.the_shop import ShopDetails
from shopapp.specs import queries as specs
from shopapp.specs.models import Procedure
from shopapp.tools.models import Tool, ToolKind
from shopapp.web.owner.rows import RowsForm

SKILLS = (
    ("charging", _("charging")), ("bladders", _("bladders")), ("releasing", _("releasing the gas")),
    ("final check", _("final check")),
)  # fmt: skip
ROLE_WORDS = {"desk": _("front desk"), "technician": _("technician"), "owner": _("owner")}
TAX_CATEGORIES = (("S", _("standard")), ("R", _("reduced")), ("Z", _("zero")), ("E", _("exempt")))
MOST_MONEY: dict[str, Any] = {"max_digits": 10, "decimal_places": 2, "min_value": 0}


class ThingForm(RowsForm, BothVersions, ActForm):
    """A form for a new row (`row` None) or for one that exists, then with the revision it was read at."""

    revision = forms.IntegerField(
        widget=forms.HiddenInput, required=False, min_value=1, max_value=2_000_000_000
    )

    def __init__(self, data: Any = None, *, row: Any = None, request: Any = None, **kwargs: Any) -> None:
        self.row = row
        self.shop: Shop | None = getattr(request, "shop", None)
        initial = {**self.initial_of(row), **kwargs.pop("initial", {})} if row is not None else {}
        if row is not None and hasattr(row, "revision"):
            initial["revision"] = row.revision
        super().__init__(data, initial=initial, **kwargs)
        self.prepare()
        for field in self.fields.values():
            if isinstance(field, MeasuredField):
                field.decimal_comma = bool(self.shop and self.shop.decimal_comma)

    def prepare(self) -> None:
        """Fit the fields to the row (which may be None)."""

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        """Give the entries of a row that exists."""
        return {}

    def clean(self) -> dict[str, Any]:
        """Refuse a change that does not say which revision the person saw: it would overwrite unseen."""
        data = super().clean() or {}
        if hasattr(self.row, "revision") and not data.get("revision") and "revision" not in self.errors:
            self.add_error(
                None, _("This page was not complete when it was sent. Load it again and enter it once more.")
            )
        return data

    @property
    def expected(self) -> int:
        """Give the revision that the person saw (`clean` holds that there is one)."""
        return int(self.cleaned_data["revision"])


def text_of(measured: Any) -> str:
    """Give a measurement as it was typed, with its unit where the text has none."""
    if measured is None:
        return ""
    text = str(measured.text)
    if any(mark.isalpha() or mark in '"”″°' for mark in text):
        return text
    label = units.UNITS_BY_KIND[measured.kind].get(measured.unit, measured.unit)
    return f"{text} {label}".strip()


class PersonForm(ThingForm):
    """Somebody who works here."""

    field_order = [
        "login_name", "name", "initials", "email", "roles", "skills", "countersign_needed", "password", "is_active",
    ]  # fmt: skip
    login_name = forms.CharField(label=_("Log-in name"), max_length=40)
    name = forms.CharField(label=_("Name"), max_length=80)
    initials = forms.CharField(label=_("Initials"), max_length=4, help_text=_("They stand on the papers."))
    email = forms.EmailField(label=_("E-mail"), required=False)
    roles = forms.MultipleChoiceField(
        label=_("Roles"),
        choices=[(role, ROLE_WORDS[role]) for role in ROLES],
        widget=forms.CheckboxSelectMultiple,
    )
    skills = forms.MultipleChoiceField(
        label=_("Skills"), choices=SKILLS, widget=forms.CheckboxSelectMultiple, required=False
    )
    countersign_needed = forms.BooleanField(label=_("A trainee: entries are countersigned"), required=False)
    password = forms.CharField(
        label=_("Password"),
        max_length=200,
        strip=False,
        required=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=_("At least ten characters. Empty: nobody signs in as them yet, or the password stays."),
    )
    is_active = forms.BooleanField(label=_("Works here"), required=False, initial=True)

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        names = ("login_name", "name", "initials", "email", "skills", "countersign_needed", "is_active")
        return {**{name: getattr(row, name) for name in names}, "roles": sorted(row.roles)}

    def prepare(self) -> None:
        if self.row is None:
            del self.fields["is_active"]
        else:
            self.fields["login_name"].disabled = True

    def clean_login_name(self) -> str:
        return fold_login(self.cleaned_data["login_name"])

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        if password:
            password_validation.validate_password(password)
        return password


class ShopForm(ThingForm):
    """The shop's own details."""

    name = forms.CharField(label=_("Name"), max_length=120)
    address = forms.CharField(
        label=_("Address"), max_length=600, required=False, widget=forms.Textarea({"rows": 3})
    )
    phone = forms.CharField(label=_("Phone"), max_length=40, required=False)
    email = forms.EmailField(label=_("E-mail"), required=False)
    tax_number = forms.CharField(label=_("Tax number"), max_length=40, required=False)
    zone = forms.CharField(
        label=_("Time zone"), max_length=64, help_text=_("Region/City, like Europe/Lisbon.")
    )
    currency = forms.CharField(label=_("Currency"), max_length=3, help_text=_("Three letters of ISO 4217."))
    altitude = MeasuredField(
        label=_("Height above the sea"),
        kind="length",
        default_unit="m",
        signed=True,
        required=False,
        help_text=_("Gauges read over the local air pressure; the charge at today's temperature needs it."),
    )
    length_unit = forms.ChoiceField(label=_("Lengths in"), choices=[("in", "in"), ("mm", "mm")])
    pressure_unit = forms.ChoiceField(
        label=_("Pressures in"), choices=[("psi", "psi"), ("bar", "bar"), ("kPa", "kPa")]
    )
    torque_unit = forms.ChoiceField(label=_("Torques in"), choices=[("lbf*ft", "ft-lb"), ("N*m", "N·m")])
    distance_unit = forms.ChoiceField(label=_("Distances in"), choices=[("mile", "mi"), ("km", "km")])
    temperature_unit = forms.ChoiceField(label=_("Temperatures in"), choices=[("degC", "°C"), ("degF", "°F")])
    decimal_comma = forms.BooleanField(label=_("The comma is the decimal sign"), required=False)
    pair_charge = MeasuredField(
        label=_("Left and right: charge"), kind="pressure", default_unit="psi", required=False,
        help_text=_("How far apart two sides of a vehicle may lie; the order report says where they are unlike."),
    )  # fmt: skip
    pair_ifp_depth = MeasuredField(
        label=_("Left and right: IFP depth"), kind="length", default_unit="in", required=False
    )
    pair_preload = MeasuredField(
        label=_("Left and right: preload"), kind="length", default_unit="in", required=False
    )
    pair_adjuster = MeasuredField(
        label=_("Left and right: adjusters"), kind="count", default_unit="click", required=False
    )
    public_address = forms.URLField(label=_("Public address"), required=False, assume_scheme="https")
    tax_basis = forms.ChoiceField(label=_("Tax is rounded"), choices=Shop.TaxBasis.choices)
    payment_days = forms.IntegerField(label=_("Days to pay"), min_value=0, max_value=365)
    report_footer = forms.CharField(
        label=_("Foot of the report"), max_length=2000, required=False, widget=forms.Textarea({"rows": 3})
    )
    keep_stacks_back = forms.BooleanField(
        label=_("Keep shim stacks off the customer's copy"),
        required=False,
        help_text=_("The bench and the damper's page show them all the same."),
    )
    invoice_footer = forms.CharField(
        label=_("Foot of the invoice"), max_length=2000, required=False, widget=forms.Textarea({"rows": 3})
    )

    PAIRS = ("charge", "ifp depth", "preload", "adjuster")
    APART = ("altitude", "default_units", "pair_tolerances")
    UNIT_KINDS = ("length", "pressure", "torque", "distance", "temperature")

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        names = [name for name in ShopDetails.__dataclass_fields__ if name not in ShopForm.APART]
        units = {f"{kind}_unit": row.default_units.get(kind) for kind in ShopForm.UNIT_KINDS}
        pairs = {
            pair_field(name): row.pair_tolerances.get(name, {}).get("text", "") for name in ShopForm.PAIRS
        }
        kept = {name: getattr(row, name) for name in names}
        return {**kept, **units, **pairs, "altitude": text_of(row.altitude)}

    def prepare(self) -> None:
        kept = currency.why_it_stays()
        if kept:
            self.fields["currency"].disabled = True
            self.fields["currency"].help_text = kept

    def clean_currency(self) -> str:
        return str(self.cleaned_data["currency"]).upper()

    def details(self) -> ShopDetails:
        """Give what was typed as the service takes it."""
        data = self.cleaned_data
        names = [name for name in ShopDetails.__dataclass_fields__ if name not in self.APART]
        units = {kind: data[f"{kind}_unit"] for kind in self.UNIT_KINDS}
        given = {name: data[pair_field(name)] for name in self.PAIRS if data[pair_field(name)] is not None}
        pairs = {
            name: {"si": value.si, "unit": value.unit, "text": with_unit(value)}
            for name, value in given.items()
        }
        return ShopDetails(
            **{name: data[name] for name in names},
            altitude=data["altitude"],
            default_units=units,
            pair_tolerances=pairs,
        )


def pair_field(name: str) -> str:
    """Name the field of a figure's tolerance for pairs."""
    return f"pair_{name.replace(' ', '_')}"


def with_unit(value: units.Measurement) -> str:
    """Write a tolerance as typed, and its unit where none was typed."""
    label = units.UNITS_BY_KIND.get(value.kind, {}).get(value.unit, value.unit)
    label = label.removesuffix("s") if (value.kind, value.text) == ("count", "1") else label
    return f"{value.text} {label}" if value.text[-1:].isdecimal() else value.text


class OutboxForm(ActForm):
    """Which row is to be tried again."""

    row = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**62)


def _orders_of_work() -> list[tuple[str, Any]]:
    """List the kinds of work, each done by its construction's own procedure; then single procedures by name."""
    works = specs.works()
    names = Procedure.objects.filter(released_at__isnull=False, retired_at__isnull=True)
    alone = sorted(set(names.values_list("name", flat=True)) - set(works))
    return [
        (str(_("By the damper's construction")), [(work, work) for work in works]),
        (str(_("One procedure alone")), [(name, name) for name in alone]),
    ]


SECOND_PERSON = [
    (0, _("never")), (1, _("always")), *((n, format_lazy(_("one job in {n}"), n=n)) for n in (2, 3, 4, 5, 10, 20)),
]  # fmt: skip


class WorkTypeForm(ThingForm):
    """A kind of job: price, time, procedure, warranty."""

    code = forms.CharField(label=_("Short name"), max_length=30)
    name = forms.CharField(label=_("Name"), max_length=80)
    price = forms.DecimalField(label=_("Price without tax"), **MOST_MONEY)
    tax_category = forms.ChoiceField(label=_("Tax category"), choices=TAX_CATEGORIES)
    minutes = forms.IntegerField(label=_("Minutes of work"), min_value=0, max_value=10_000, initial=60)
    procedure_name = forms.ChoiceField(label=_("Procedure"), required=False)
    kit_rule = forms.ChoiceField(
        label=_("Kit"), choices=[("spec", _("the spec's kit")), ("none", _("no kit"))]
    )
    warranty_days = forms.IntegerField(label=_("Warranty, days"), min_value=0, max_value=10_000, initial=0)
    warranty_distance = MeasuredField(label=_("Warranty, distance"), kind="distance", required=False)
    interval_months = forms.IntegerField(
        label=_("Next service after months"), min_value=1, max_value=600, required=False
    )
    second_person_every = forms.TypedChoiceField(
        label=_("Second person at the final check"),
        coerce=int,
        choices=SECOND_PERSON,
        initial=0,
        help_text=_(
            "Somebody who did not restore the settings. A job's number decides which ones are drawn."
        ),
    )
    retired = forms.BooleanField(label=_("No longer offered"), required=False)

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        names = (
            "code", "name", "price", "tax_category", "minutes", "procedure_name", "kit_rule", "warranty_days",
            "interval_months", "second_person_every",
        )  # fmt: skip
        return {
            **{name: getattr(row, name) for name in names},
            "warranty_distance": text_of(row.warranty_distance),
            "retired": row.retired_at is not None,
        }

    def prepare(self) -> None:
        field = self.fields["procedure_name"]
        field.choices = [("", _("none: no bench sheet")), *_orders_of_work()]  # type: ignore[attr-defined]
        distance = self.fields["warranty_distance"]
        distance.default_unit = (self.shop.default_units if self.shop else {}).get("distance")  # type: ignore[attr-defined]
        if self.row is None:
            del self.fields["retired"]
        else:
            self.fields["code"].disabled = True


class TaxRateForm(ThingForm):
    """A rate from a day on; an older one stays for the days before."""

    category = forms.ChoiceField(label=_("Category"), choices=TAX_CATEGORIES)
    name = forms.CharField(label=_("Name on the invoice"), max_length=60)
    rate = forms.DecimalField(
        label=_("Rate in percent"), max_digits=6, decimal_places=3, min_value=0, max_value=100
    )
    since = forms.DateField(label=_("From"), widget=forms.DateInput({"type": "date"}))


class TermsForm(ThingForm):
    """A new issue of the terms."""

    text = forms.CharField(label=_("Terms"), max_length=20_000, widget=forms.Textarea({"rows": 14}))
    since = forms.DateField(label=_("From"), widget=forms.DateInput({"type": "date"}))


class BayForm(ThingForm):
    """A bay."""

    name = forms.CharField(label=_("Name"), max_length=40)
    order = forms.IntegerField(label=_("Place in the row"), min_value=1, max_value=999, initial=1)
    retired = forms.BooleanField(label=_("No longer used"), required=False)

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        return {"name": row.name, "order": row.order, "retired": row.retired_at is not None}

    def prepare(self) -> None:
        if self.row is None:
            del self.fields["retired"]


class ToolKindForm(ThingForm):
    """A kind of tool."""

    code = forms.CharField(label=_("Short name"), max_length=40)
    name = forms.CharField(label=_("Name"), max_length=80)
    checked = forms.BooleanField(label=_("Has a check date"), required=False)
    critical = forms.BooleanField(
        label=_("Past its date it needs the owner's reason (nut torque, IFP depth, charge)"), required=False
    )

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        return {name: getattr(row, name) for name in ("code", "name", "checked", "critical")}

    def prepare(self) -> None:
        if self.row is not None:
            self.fields["code"].disabled = True


class ToolForm(ThingForm):
    """One tool of the crib."""

    kind = forms.ModelChoiceField(label=_("Kind"), queryset=ToolKind.objects.order_by("name"))
    tag = forms.CharField(label=_("Tag"), max_length=20)
    narrowing = forms.CharField(
        label=_("Thread or range"),
        max_length=60,
        required=False,
        help_text=_("What narrows it, like M10 × 1."),
    )

    state = forms.ChoiceField(label=_("State"), choices=Tool.State.choices, required=False)

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        return {name: getattr(row, name) for name in ("kind", "tag", "narrowing", "state")}

    def prepare(self) -> None:
        if self.row is None:
            del self.fields["state"]
        else:
            self.fields["kind"].disabled = self.fields["tag"].disabled = True

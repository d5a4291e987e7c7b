"""The owner's forms of models, items, kits and sheets of figures: forms with rows of their own."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shopapp.dampers.models import Construction, DamperModel
from shopapp.shop.forms import MeasuredField
from shopapp.specs import figures
from shopapp.specs.models import ServiceSpec
from shopapp.stock.models import Item, Kit
from shopapp.tools.models import ToolKind
from shopapp.web.owner.forms import MOST_MONEY, TAX_CATEGORIES, ThingForm, text_of
from shopapp.web.owner.rows import Group


class ModelsField(forms.ModelMultipleChoiceField):
    """Several damper models; a number that no row can have is one that is not offered, not a fault."""

    def _check_values(self, value: Any) -> Any:
        for pk in value if isinstance(value, (list, tuple)) else ():
            if not (isinstance(pk, str) and pk.isascii() and pk.isdigit() and len(pk) < 19):
                raise forms.ValidationError(
                    _("Choose from the models that are offered."), code="invalid_choice"
                )
        return super()._check_values(value)  # type: ignore[misc]


def _short(length: int) -> forms.Field:
    return forms.CharField(max_length=length)


def _count() -> forms.Field:
    return forms.IntegerField(min_value=1, max_value=100_000)


def _turns() -> forms.Field:
    return forms.FloatField(min_value=0, max_value=1000)


class ModelForm(ThingForm):
    """A damper model with its adjusters."""

    groups = (
        Group(
            "adjusters",
            _("Adjusters"),
            {
                "name": (_("Name"), lambda: _short(40)),
                "unit": (
                    _("Counted in"),
                    lambda: forms.ChoiceField(choices=[("clicks", _("clicks")), ("turns", _("turns"))]),
                ),
                "counted_from": (
                    _("From"),
                    lambda: forms.ChoiceField(choices=[("closed", _("closed")), ("open", _("open"))]),
                ),
                "lowest": (_("Lowest"), _turns),
                "highest": (_("Highest"), _turns),
            },
            count=4,
            needs="name",
        ),
    )
    maker = forms.CharField(label=_("Maker"), max_length=60)
    name = forms.CharField(label=_("Model"), max_length=60)
    construction = forms.ChoiceField(label=_("Construction"), choices=Construction.choices)
    note = forms.CharField(
        label=_("Note"), max_length=2000, required=False, widget=forms.Textarea({"rows": 3})
    )
    retired = forms.BooleanField(label=_("No longer serviced"), required=False)

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        names = ("maker", "name", "construction", "note")
        return {**{name: getattr(row, name) for name in names}, "retired": row.retired_at is not None}

    def prepare(self) -> None:
        if self.row is None:
            del self.fields["retired"]
        names = ("name", "unit", "counted_from", "lowest", "highest")
        self.add_rows({"adjusters": self.row.adjusters.values(*names) if self.row else ()})

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        data["adjusters"] = self.clean_rows("adjusters", ignore=("unit", "counted_from"))
        return data


class ItemForm(ThingForm):
    """One thing on the shelf."""

    code = forms.CharField(label=_("Code"), max_length=40)
    name = forms.CharField(label=_("Name"), max_length=120)
    unit = forms.ChoiceField(label=_("Counted in"), choices=Item.Unit.choices)
    bin = forms.CharField(label=_("Bin"), max_length=40, required=False)
    minimum = forms.IntegerField(label=_("Minimum"), min_value=0, max_value=10**12, initial=0)
    elastomer = forms.CharField(label=_("Elastomer"), max_length=20, required=False)
    size = forms.CharField(label=_("Size"), max_length=60, required=False)
    price = forms.DecimalField(
        label=_("Price of one, without tax"),
        max_digits=12,
        decimal_places=4,
        min_value=0,
        help_text=_("Of one piece, of one litre, of one metre."),
    )
    tax_category = forms.ChoiceField(label=_("Tax category"), choices=TAX_CATEGORIES)
    retired = forms.BooleanField(label=_("No longer used"), required=False)

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        names = ("code", "name", "unit", "bin", "minimum", "elastomer", "size", "price", "tax_category")
        return {**{name: getattr(row, name) for name in names}, "retired": row.retired_at is not None}

    def prepare(self) -> None:
        if self.row is None:
            del self.fields["retired"]
        else:
            self.fields["code"].disabled = self.fields["unit"].disabled = True


class KitForm(ThingForm):
    """A kit: its lines by position, and the models it fits."""

    groups = (
        Group(
            "lines",
            _("Positions"),
            {
                "position": (_("Position"), lambda: _short(60)),
                "item": (_("Item"), lambda: forms.ModelChoiceField(Item.objects.order_by("code"))),
                "quantity": (_("How many"), _count),
            },
            count=6,
            needs="item",
        ),
    )
    code = forms.CharField(label=_("Code"), max_length=40)
    name = forms.CharField(label=_("Name"), max_length=120)
    price = forms.DecimalField(label=_("Price without tax"), **MOST_MONEY)
    tax_category = forms.ChoiceField(label=_("Tax category"), choices=TAX_CATEGORIES)
    models = ModelsField(
        label=_("Fits"),
        queryset=DamperModel.objects.order_by("maker", "name"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    retired = forms.BooleanField(label=_("No longer used"), required=False)

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        names = ("code", "name", "price", "tax_category")
        return {
            **{name: getattr(row, name) for name in names},
            "retired": row.retired_at is not None,
            "models": [fit.model_id for fit in row.fits.all()],
        }

    def prepare(self) -> None:
        lines = self.row.lines.order_by("pk").values("position", "item", "quantity") if self.row else ()
        self.add_rows({"lines": lines})
        if self.row is None:
            del self.fields["retired"]
        else:
            self.fields["code"].disabled = True

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        data["lines"] = self.clean_rows("lines")
        return data


FIXED_FIGURES = tuple(
    (name, figure.label)
    for name, figure in figures.NAMES.items()
    if name not in ("adjuster", "fastener torque", "body temperature")
)


def _figure_field(name: str, column: str) -> forms.Field:
    if column == "absolute":
        return forms.BooleanField()
    if column == "words":
        return forms.CharField(max_length=120)
    figure = figures.NAMES[name]
    return MeasuredField(kind=figure.kind, default_unit=figure.default_unit, signed=figure.signed)


def _measured(kind: str, unit: str) -> forms.Field:
    return MeasuredField(kind=kind, default_unit=unit)


FIGURE_COLUMNS = {
    "low": (_("Lowest"), lambda: _measured("length", "in")),
    "target": (_("Target"), lambda: _measured("length", "in")),
    "high": (_("Highest"), lambda: _measured("length", "in")),
    "absolute": (_("Absolute"), forms.BooleanField),
    "words": (_("Or in words"), lambda: _short(120)),
}


class SpecForm(ThingForm):
    """A sheet of figures with its source; what is not given stays empty."""

    groups = (
        Group(
            "figures",
            _("Figures of the sheet"),
            FIGURE_COLUMNS,
            fixed=FIXED_FIGURES,
            make_fixed=_figure_field,
            row_caption=_("Figure"),
        ),
        Group(
            "fasteners",
            _("Other fasteners"),
            {
                "position": (_("Which"), lambda: _short(40)),
                **{
                    name: (caption, lambda: _measured("torque", "lbf*ft"))
                    for name, (caption, _make) in list(FIGURE_COLUMNS.items())[:3]
                },
                "words": FIGURE_COLUMNS["words"],
            },
            count=2,
            needs="position",
        ),
        Group(
            "tools",
            _("Tools it asks for"),
            {
                "kind": (_("Kind"), lambda: forms.ModelChoiceField(ToolKind.objects.order_by("name"))),
                "narrowing": (_("Thread or range"), lambda: _short(60)),
            },
            count=3,
            needs="kind",
        ),
    )
    model = forms.ModelChoiceField(
        label=_("Model"),
        queryset=DamperModel.objects.filter(retired_at__isnull=True).order_by("maker", "name"),
    )
    variant = forms.CharField(label=_("Variant"), max_length=60, required=False)
    basis = forms.ChoiceField(label=_("Whose figures"), choices=ServiceSpec.Basis.choices)
    source = forms.CharField(
        label=_("Source"),
        max_length=200,
        help_text=_("The sheet's name and number, or who measured it on which unit."),
    )
    sheet_date = forms.DateField(
        label=_("Date of the sheet"), required=False, widget=forms.DateInput({"type": "date"})
    )
    depth_to = forms.ChoiceField(
        label=_("IFP depth is measured to its"),
        choices=[("gas_face", _("gas face")), ("oil_face", _("oil face"))],
    )
    kit = forms.ModelChoiceField(label=_("Kit"), queryset=Kit.objects.order_by("code"), required=False)
    oil = forms.ModelChoiceField(
        label=_("Oil"), queryset=Item.objects.filter(unit=Item.Unit.TENTH_ML).order_by("code"), required=False
    )
    oil_quantity = MeasuredField(
        label=_("Oil, to draw for one"), kind="volume", default_unit="mL", required=False
    )

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        names = ("model", "variant", "basis", "source", "sheet_date", "depth_to")
        found: dict[str, Any] = {name: getattr(row, name) for name in names}
        for line in row.kits.all():
            if line.kit_id:
                found["kit"] = line.kit_id
            else:
                found["oil"], found["oil_quantity"] = line.item_id, f"{line.quantity / 10:g} ml"
        return found

    def prepare(self) -> None:
        filled: dict[str, list[dict[str, Any]]] = {
            "figures": [{} for _ in FIXED_FIGURES],
            "fasteners": [],
            "tools": [],
        }
        if self.row is not None:
            places = {name: number for number, (name, _label) in enumerate(FIXED_FIGURES)}
            for figure in self.row.figures.all():
                row = _filled_figure(figure)
                if figure.name in places:
                    filled["figures"][places[figure.name]] = row
                elif figure.name == "fastener torque":
                    filled["fasteners"].append({**row, "position": figure.position})
            filled["tools"] = [
                {"kind": tool.kind_id, "narrowing": tool.narrowing} for tool in self.row.tools.all()
            ]
            self.fields["model"].disabled = self.fields["variant"].disabled = True
        self.add_rows(filled)
        if self.row is not None and self.row.released_at:
            for field in self.fields.values():
                field.disabled = True

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        data["figures"] = self.clean_rows("figures", ignore=("absolute",))
        data["fasteners"] = self.clean_rows("fasteners")
        data["tools"] = self.clean_rows("tools")
        if data.get("oil") and not data.get("oil_quantity"):
            self.add_error("oil_quantity", _("Say how much oil one damper takes, like 1120 ml."))
        return data


def _filled_figure(figure: Any) -> dict[str, Any]:
    row: dict[str, Any] = {"absolute": figure.absolute, "words": figure.words}
    for column in ("low", "target", "high"):
        text, unit = getattr(figure, f"{column}_text"), getattr(figure, f"{column}_unit")
        if text:
            row[column] = _with_unit(text, unit, figure.kind)
    return row


def _with_unit(text: str, unit: str, kind: str) -> str:
    from types import SimpleNamespace

    return text_of(SimpleNamespace(text=text, unit=unit, kind=kind))

"""The owner's forms of models, items and kits: forms with rows of their own."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shopapp.dampers.models import Construction, DamperModel
from shopapp.stock.models import Item
from shopapp.web.owner.forms import MOST_MONEY, TAX_CATEGORIES, ThingForm
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

"""Forms of the stores: receiving a lot, counting it, blocking it and freeing it again."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shopapp.shop.forms import ActForm
from shopapp.stock.models import Item, Lot
from shopapp.stock.quantities import read_quantity

DATE = {"type": "date"}


class ReceiveForm(ActForm):
    """A lot as it comes: item, batch, how much with its unit, and the dates on the label."""

    item = forms.ModelChoiceField(
        label=_("Item"), queryset=Item.objects.filter(retired_at__isnull=True).order_by("code")
    )
    batch = forms.CharField(label=_("Batch"), max_length=60, help_text=_("As it stands on the label."))
    quantity = forms.CharField(
        label=_("How much"),
        max_length=60,
        help_text=_("With its unit, such as 12, 5 L or 850 mL."),
        widget=forms.TextInput({"inputmode": "text", "autocomplete": "off"}),
    )
    received = forms.DateField(label=_("Received on"), widget=forms.DateInput(DATE))
    cured = forms.DateField(label=_("Cured on"), required=False, widget=forms.DateInput(DATE))
    expires = forms.DateField(
        label=_("Use by"),
        required=False,
        widget=forms.DateInput(DATE),
        help_text=_("After this day nothing of the lot is issued."),
    )

    def __init__(self, *args: Any, decimal_comma: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.decimal_comma = decimal_comma

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("item") and data.get("quantity"):
            try:
                data["quantity"] = read_quantity(
                    data["item"], data["quantity"], decimal_comma=self.decimal_comma
                )
            except ValueError as problem:
                self.add_error("quantity", str(problem))
        return data


class CountForm(ActForm):
    """What was counted of a lot on the shelf, nothing included, and how; with what the books said meanwhile."""

    booked = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=10**12)
    counted = forms.CharField(
        label=_("Counted on the shelf"),
        max_length=60,
        help_text=_("With its unit, such as 12, 5 L or 850 mL; 0 where nothing is left."),
        widget=forms.TextInput({"inputmode": "text", "autocomplete": "off"}),
    )
    reason = forms.CharField(
        label=_("How it was counted, or why it differs"), max_length=200, widget=forms.TextInput
    )

    def __init__(self, *args: Any, lot: Lot, decimal_comma: bool = False, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", "id_count_%s")
        super().__init__(*args, **kwargs)
        self.lot, self.decimal_comma = lot, decimal_comma

    def clean_counted(self) -> int:
        try:
            return read_quantity(
                self.lot.item, self.cleaned_data["counted"], decimal_comma=self.decimal_comma, least=0
            )
        except ValueError as problem:
            raise forms.ValidationError(str(problem)) from problem


class BlockForm(ActForm):
    """Why nothing more of a lot is issued."""

    why = forms.CharField(
        label=_("Why it is blocked"),
        max_length=200,
        help_text=_("It is no longer offered or issued; what is on the shelf stays in the books."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", "id_block_%s")
        super().__init__(*args, **kwargs)


class UnblockForm(ActForm):
    """Why a blocked lot is good after all."""

    why = forms.CharField(
        label=_("Why it is good after all"),
        max_length=200,
        help_text=_("It is offered and issued again. The reason stays with the lot."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", "id_unblock_%s")
        super().__init__(*args, **kwargs)

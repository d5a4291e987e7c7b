"""The owner's form of a shelf."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shopapp.web.owner.forms import ThingForm


class ShelfForm(ThingForm):
    """A shelf of a rack."""

    code = forms.CharField(
        label=_("Code"),
        max_length=10,
        help_text=_("It stands on the label and never changes, for example R2-4."),
    )
    rack = forms.CharField(label=_("Rack"), max_length=20)
    shelf = forms.CharField(label=_("Shelf"), max_length=20)
    retired = forms.BooleanField(label=_("No longer used"), required=False)

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        names = ("code", "rack", "shelf")
        return {**{name: getattr(row, name) for name in names}, "retired": row.retired_at is not None}

    def prepare(self) -> None:
        if self.row is None:
            del self.fields["retired"]
        else:
            self.fields["code"].disabled = True

"""Form pieces that every subject uses: the act's key, the measurement field, the row's revision."""

from __future__ import annotations

import uuid
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.calc import units
from shopapp.shop.both_versions import BothVersions

LONGEST_KEY = 64


def new_key() -> str:
    """Make the key of a form as the server renders it; a refused form keeps its key, a repeat is recognised by it."""
    return uuid.uuid4().hex


class ActForm(forms.Form):
    """A form that changes something: it carries the key by which a second sending is recognised."""

    act_key = forms.CharField(
        widget=forms.HiddenInput,
        initial=new_key,
        max_length=LONGEST_KEY,
        error_messages={
            "required": _lazy(
                "This page was not complete when it was sent. Load it again and enter it once more."
            )
        },
    )


class RevisionForm(BothVersions, ActForm):
    """A form that changes a row which others may change too: it carries the revision that was read."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2_000_000_000)


class MeasuredField(forms.CharField):
    """A measurement as technicians write it; gives a `units.Measurement` or None, or says what is wrong."""

    def __init__(
        self, *, kind: str, default_unit: str | None = None, signed: bool = False, **kwargs: Any
    ) -> None:
        self.kind = kind
        self.default_unit = default_unit
        self.signed = signed
        self.decimal_comma = False
        kwargs.setdefault("max_length", 60)
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("inputmode", "text" if kind == "length" else "decimal")
        self.widget.attrs.setdefault("autocomplete", "off")

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            return units.parse(
                text, self.kind, self.default_unit, decimal_comma=self.decimal_comma, signed=self.signed
            )
        except units.UnitError as problem:
            raise forms.ValidationError(str(problem)) from problem


def too_old() -> str:
    """Say that a form was stored already with other figures."""
    return _("This form was stored already with other figures. Nothing was changed now. Load the page again.")

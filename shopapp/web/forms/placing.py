"""Laying a part on a shelf by two scans: the part's label, then the shelf's; or a place in words."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from shopapp.dampers.services import tags
from shopapp.orders.models import Placing
from shopapp.shop.forms import ActForm

_OFF = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}


class ScanForm(ActForm):
    """What the scanner, or somebody's fingers, typed."""

    scan = forms.CharField(
        label=_lazy("Scan"),
        max_length=200,
        widget=forms.TextInput(attrs={**_OFF, "autofocus": True}),
        error_messages={"required": _lazy("Scan a part's label, or a shelf's, or type what stands on it.")},
    )
    held = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)

    def __init__(self, *args: Any, wants_shelf: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["scan"]
        if wants_shelf:
            field.label = _lazy("Now the shelf")
            field.help_text = _lazy("Scan the shelf's label, or type its code, such as R2-4.")
        else:
            field.label = _lazy("The part")
            field.help_text = _lazy(
                "Scan the label of body, springs or tray, or type its tag, such as 4082 217-1."
            )


class WordsForm(ActForm):
    """A place that has no label."""

    words = forms.CharField(
        label=_lazy("Or where it lies, in words"), max_length=40, help_text=_lazy("Such as: on the bench."),
        error_messages={"required": _lazy("Say where it lies, such as: on the bench.")},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip
    held = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)


def held_of(text: str) -> tuple[str, str]:
    """Read what is in hand: a tag and a part, written `40822171.body`; nothing where it is not so."""
    tag, _point, part = text.partition(".")
    return (tag, part) if tags.looks_like(tag) and part in Placing.Part.values else ("", "")

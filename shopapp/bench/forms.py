"""Forms of the bench: the tag that opens a sheet, the owner's release."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.dampers.services import tags
from shopapp.shop.forms import ActForm
from shopapp.shop.services.acts import Refused


class OpenForm(forms.Form):
    """The tag as scanned or typed. It changes nothing, so it carries no key."""

    tag = forms.CharField(
        label=_lazy("Tag"),
        max_length=200,
        help_text=_lazy("Scan it, or type its eight digits, such as 4082 217-1."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "inputmode": "numeric"}),
    )

    def clean_tag(self) -> str:
        try:
            return tags.read(self.cleaned_data["tag"])
        except Refused as no:
            raise forms.ValidationError(no.sentence) from no


class TakeForm(ActForm):
    """Taking one note to the next shift."""

    note = forms.UUIDField(widget=forms.HiddenInput)


class ReleaseForm(ActForm):
    """The owner's release of one stopped job."""

    job = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**62)
    words = forms.CharField(
        label=_lazy("Who made it safe, and how"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _lazy("Say who made it safe and how.")},
    )

    def clean_words(self) -> Any:
        words = self.cleaned_data["words"].strip()
        if not words:
            raise forms.ValidationError(_("Say who made it safe and how."))
        return words

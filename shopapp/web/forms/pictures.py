"""The form by which the tablet hands in one picture."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _lazy

_NOT_WHOLE = {
    "required": _lazy("This picture did not arrive whole. It is sent again by itself."),
    "invalid": _lazy("This picture did not arrive whole. Load the sheet again and take it once more."),
    "empty": _lazy("This file is empty. Take the picture again."),
    "missing": _lazy("This picture did not arrive whole. It is sent again by itself."),
}


class PictureForm(forms.Form):
    """The id that the page made, the job, the file."""

    id = forms.UUIDField(error_messages=_NOT_WHOLE)
    job = forms.IntegerField(min_value=1, max_value=2**62, error_messages=_NOT_WHOLE)
    file = forms.FileField(max_length=500, error_messages=_NOT_WHOLE)

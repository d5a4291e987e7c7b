"""Forms of dampers: what is written about one, corrected."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from shopapp.dampers.models import Damper
from shopapp.shop.forms import RevisionForm

WHY = [
    ("", _lazy("choose")),
    ("misread", _lazy("misread at the counter")),
    ("typed wrong", _lazy("typed wrong")),
    ("read after the wash", _lazy("it could be read after the wash")),
    ("part replaced", _lazy("the part that carries it was replaced")),
]


class DamperForm(RevisionForm):
    """The serial, and the maker where no model says it; with why it is corrected."""

    serial = forms.CharField(
        label=_lazy("Serial"),
        max_length=60,
        required=False,
        help_text=_lazy("As it stands on the damper. Empty where it has none or nobody can read it."),
        widget=forms.TextInput({"autocomplete": "off"}),
    )
    maker = forms.CharField(label=_lazy("Maker"), max_length=60, required=False)
    note = forms.CharField(
        label=_lazy("Note"), max_length=2000, required=False, widget=forms.Textarea({"rows": 3})
    )
    why = forms.ChoiceField(
        label=_lazy("Why it is corrected"),
        choices=WHY,
        error_messages={"required": _lazy("Say why it is corrected: it stands in the damper's history.")},
    )

    def __init__(self, *args: Any, damper: Damper, **kwargs: Any) -> None:
        names = ("serial", "maker", "note", "revision")
        kwargs.setdefault("initial", {name: getattr(damper, name) for name in names})
        super().__init__(*args, **kwargs)
        if damper.model_id is not None:
            del self.fields["maker"]

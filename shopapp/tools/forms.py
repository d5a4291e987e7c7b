"""Forms of the tool crib: recording a check."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from shopapp.shop.forms import ActForm
from shopapp.tools.services import LONGEST_READING

DATE = {"type": "date"}
MOST_READINGS = 60


class CheckForm(ActForm):
    """One check of a tool: what kind, when, how it ended, until when the tool is good."""

    kind = forms.ChoiceField(
        label=_("Kind of check"),
        choices=[("calibration", _("calibration")), ("inspection", _("inspection"))],
        widget=forms.RadioSelect,
        initial="calibration",
    )
    on = forms.DateField(label=_("Checked on"), widget=forms.DateInput(DATE))
    passed = forms.ChoiceField(
        label=_("How it ended"),
        choices=[("yes", _("passed")), ("no", _("failed: not to be used"))],
        widget=forms.RadioSelect,
    )
    until = forms.DateField(
        label=_("Good until"),
        required=False,
        widget=forms.DateInput(DATE),
        help_text=_("Needed where it passed."),
    )
    operations = forms.IntegerField(
        label=_("Operations counted"), required=False, min_value=0, max_value=2_000_000_000
    )
    readings = forms.CharField(
        label=_("Readings"),
        required=False,
        max_length=6000,
        widget=forms.Textarea({"rows": 5}),
        help_text=_("One on a line, such as: set 30 ft-lb, reads 30.4 ft-lb."),
    )

    def clean_readings(self) -> list[str]:
        lines: list[str] = [
            line.strip() for line in self.cleaned_data["readings"].splitlines() if line.strip()
        ]
        if len(lines) > MOST_READINGS:
            raise forms.ValidationError(_now("At most %d readings to one check.") % MOST_READINGS)
        if any(len(line) > LONGEST_READING for line in lines):
            raise forms.ValidationError(_now("A reading is at most %d characters long.") % LONGEST_READING)
        return lines

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        data["has_passed"] = data.get("passed") == "yes"
        return data

"""Which acts the owner's list shows."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from shopapp.shop.queries import verbs
from shopapp.web.templatetags.acts import act_words


def _verbs() -> list[tuple[str, str]]:
    """List what can be asked for in the acts: each verb that was ever done, in words."""
    return [("", gettext("everything")), *((verb, act_words(verb)) for verb in verbs())]


class ActsFilter(forms.Form):
    """Which acts are shown; a filter that cannot be read is left out and said so."""

    verb = forms.ChoiceField(
        label=_("Only"),
        required=False,
        error_messages={"invalid_choice": _("Nothing like this was done. Everything is shown.")},
    )
    until = forms.DateField(
        label=_("Up to the day"), required=False, widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Read once: as a callable it would be read for the check, and again for the page.
        self.fields["verb"].choices = _verbs()  # type: ignore[attr-defined]

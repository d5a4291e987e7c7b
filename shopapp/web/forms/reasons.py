"""The part of a form that asks who wanted a change, and why."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy


class Reason(forms.Form):
    """Who asked for a change, and why: asked once work on the order has started."""

    who = forms.CharField(label=_lazy("Who asked for it"), max_length=80)
    why = forms.CharField(label=_lazy("Why it changes"), max_length=200)

    def ask(self, *, begun: bool) -> None:
        """Ask for both where work has started; before that only the reason is offered."""
        if not begun:
            del self.fields["who"]
            self.fields["why"].required = False
            self.fields["why"].help_text = _(
                "It stands in the order's history. Once work starts it is asked for."
            )

    @property
    def reason(self) -> dict[str, Any]:
        """Give who and why as the services take them."""
        return {"who": self.cleaned_data.get("who", ""), "why": self.cleaned_data["why"]}

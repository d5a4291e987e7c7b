"""To which address a paper is sent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from shopapp.customers.models import Contact
from shopapp.shop.forms import ActForm


class SendForm(ActForm):
    """One of the customer's e-mail addresses."""

    contact = forms.ModelChoiceField(
        label=_lazy("Send it to"),
        queryset=Contact.objects.none(),
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages={
            "required": _lazy("Choose the address that it goes to."),
            "invalid_choice": _lazy("Choose one of the customer's e-mail addresses."),
        },
    )

    def __init__(self, *args: Any, addresses: Sequence[Contact], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.addresses = list(addresses)
        field: Any = self.fields["contact"]
        field.queryset = Contact.objects.filter(pk__in=[row.pk for row in self.addresses])
        named = [" · ".join(filter(None, [row.value, row.label])) for row in self.addresses]
        field.choices = [(str(row.pk), words) for row, words in zip(self.addresses, named, strict=True)]
        if len(self.addresses) == 1:
            self.initial["contact"] = self.addresses[0].pk

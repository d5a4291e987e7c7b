"""Which labels are to be printed: all of some things or one of them, on which stock."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _lazy

from shopapp.orders.labels import STOCKS, Stock

EVERY = "all"
FIRST = next(iter(STOCKS))


class LabelsForm(forms.Form):
    """It is sent by GET: it changes nothing, and the address of what it asks for can be kept.

    A form of some things has a second field, named `which`, to choose all of them or one.
    """

    which: str
    stock = forms.ChoiceField(
        label=_lazy("Labels and printer"),
        error_messages={"invalid_choice": _lazy("There are no such labels. Choose some from the list.")},
    )

    def __init__(
        self, asked: QueryDict, things: Mapping[str, Any], *, every: str | Promise, named: Mapping[str, str]
    ) -> None:
        super().__init__(
            {name: asked.get(name, first) for name, first in (("stock", FIRST), (self.which, EVERY))}
        )
        self.things = things
        stock, which = self.fields["stock"], self.fields[self.which]
        assert isinstance(stock, forms.ChoiceField) and isinstance(which, forms.ChoiceField)
        stock.choices = [(code, one.words) for code, one in STOCKS.items()]
        which.choices = [(EVERY, every), *named.items()]

    def chosen(self) -> list[Any]:
        """Give the things that were asked for, after `is_valid`."""
        name = self.cleaned_data[self.which]
        return list(self.things.values()) if name == EVERY else [self.things[name]]

    @property
    def on(self) -> Stock:
        """Give the stock that was asked for, after `is_valid`."""
        return STOCKS[self.cleaned_data["stock"]]

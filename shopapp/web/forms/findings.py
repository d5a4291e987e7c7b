"""Forms of a finding on its order's page: the price, the customer's answer, an answer taken back."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.bench.models import Finding
from shopapp.money.forms import AmountField
from shopapp.shop.forms import ActForm, RevisionForm
from shopapp.shop.models import Shop
from shopapp.web.forms.moments import DayField, HourField
from shopapp.web.forms.order_page import MOST, LimitField, amount_text, with_comma

HOW = [
    ("phone", _lazy("by phone")),
    ("counter", _lazy("at the counter")),
    ("letter", _lazy("by letter")),
    ("e-mail", _lazy("by e-mail")),
]


class PriceForm(RevisionForm):
    """What putting a finding right costs, in the desk's own words."""

    what = forms.CharField(label=_lazy("What is done"), max_length=200)
    price = AmountField(label=_lazy("Price, without tax"))
    tax_category = forms.ChoiceField(label=_lazy("Tax"))

    def __init__(
        self,
        *args: Any,
        finding: Finding,
        categories: list[tuple[str, str]],
        shop: Shop | None,
        **kwargs: Any,
    ) -> None:
        kwargs.setdefault("initial", {
            "what": finding.what, "price": amount_text(finding.price, shop), "revision": finding.revision,
            "tax_category": finding.tax_category,
        })  # fmt: skip
        kwargs.setdefault("auto_id", f"id_price{finding.pk}_%s")
        super().__init__(*args, **kwargs)
        self.finding = finding
        self.fields["tax_category"].choices = categories  # type: ignore[attr-defined]
        with_comma(self, shop)

    def clean_price(self) -> Decimal:
        price: Decimal = self.cleaned_data["price"]
        if price > MOST:
            raise forms.ValidationError(_("Write a price up to 99,999,999."))
        return price


class AnswerForm(ActForm):
    """The customer's yes or no: who, how, when, up to what the whole order may come."""

    yes = forms.ChoiceField(
        label=_lazy("The answer"), choices=[("yes", _lazy("yes")), ("no", _lazy("no"))], widget=forms.RadioSelect,
        error_messages={"required": _lazy("Say whether it was yes or no.")},
    )  # fmt: skip
    amount = LimitField(
        label=_lazy("Up to, with tax"), required=False,
        help_text=_lazy("What the whole order may come to with it."),
    )  # fmt: skip
    who = forms.CharField(label=_lazy("Who answered"), max_length=120)
    how = forms.ChoiceField(label=_lazy("How"), choices=HOW)
    day = DayField(label=_lazy("Day"), required=False, help_text=_lazy("Empty: now."))
    hour = HourField(label=_lazy("Hour"), required=False)

    def __init__(
        self, *args: Any, finding: Finding, shop: Shop | None, amount: Decimal | None = None, **kwargs: Any
    ) -> None:
        kwargs.setdefault("initial", {"amount": amount_text(amount, shop)})
        kwargs.setdefault("auto_id", f"id_answer{finding.pk}_%s")
        super().__init__(*args, **kwargs)
        self.finding = finding
        with_comma(self, shop)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        day, hour = data.get("day"), data.get("hour")
        if hour is not None and day is None and "day" in data:
            self.add_error("day", _("Say on which day, too."))
        if day is not None and hour is None and "hour" in data:
            self.add_error("hour", _("Say at which hour, too."))
        data["when"] = timezone.make_aware(dt.datetime.combine(day, hour)) if day and hour else None
        return data


class AnswerBackForm(ActForm):
    """Why an answer is taken back."""

    why = forms.CharField(label=_lazy("Why it is taken back"), max_length=300)

    def __init__(self, *args: Any, finding: Finding, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", f"id_back{finding.pk}_%s")
        super().__init__(*args, **kwargs)
        self.finding = finding

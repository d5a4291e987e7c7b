"""Forms of money: an invoice over an order's done jobs, a payment, the filters of the list."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.money.models import Invoice, Payment
from shopapp.money.queries import CHARGE, LATER, NO_CHARGE, open_of
from shopapp.orders.models import Job, WorkOrder
from shopapp.shop.forms import ActForm
from shopapp.shop.queries import this_shop

_POINT = re.compile(r"(?:[0-9]{1,9}|[0-9]{1,3}(?:,[0-9]{3}){1,2})(?:\.[0-9]{1,4})?")
_COMMA = re.compile(r"(?:[0-9]{1,9}|[0-9]{1,3}(?:\.[0-9]{3}){1,2})(?:,[0-9]{1,4})?")


class AmountField(forms.CharField):
    """An amount as people write it: 120, 120.50, 1,250.00; with a decimal comma where the shop writes so."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 20)
        super().__init__(**kwargs)
        self.decimal_comma = False
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off"})

    def clean(self, value: Any) -> Any:
        text = super().clean(value).replace("\u00a0", "").replace(" ", "")
        if not text:
            return None
        if not (_COMMA if self.decimal_comma else _POINT).fullmatch(text):
            example = "120,50" if self.decimal_comma else "120.50"
            raise forms.ValidationError(
                _("“%(text)s” is not an amount. Write figures alone, such as %(example)s."),
                params={"text": text[:20], "example": example},
            )
        if self.decimal_comma:
            text = text.replace(".", "").replace(",", ".")
        return Decimal(text.replace(",", ""))


class JobsField(forms.ModelMultipleChoiceField):
    """Jobs of one order, each worded by its damper and corner, and how it ended where that is not simply done."""

    def clean(self, value: Any) -> Any:
        for sent in value or ():
            if not (str(sent).isascii() and str(sent).isdigit() and len(str(sent)) < 19):
                raise forms.ValidationError(self.error_messages["invalid_choice"], code="invalid_choice")
        return super().clean(value)

    def label_from_instance(self, obj: Any) -> str:
        place = obj.get_place_display() if obj.place else ""
        ended = obj.get_outcome_display() if obj.outcome != Job.Outcome.DONE else ""
        return " · ".join(filter(None, [str(obj.number), str(obj.damper), place, ended]))


def done_jobs(order: WorkOrder) -> QuerySet[Job]:
    """List the done jobs of an order with lines that are not invoiced."""
    return (
        Job.objects.filter(order=order, state=Job.State.DONE, lines__invoiced=False)
        .select_related("damper")
        .distinct()
        .order_by("number")
    )


class InvoiceForm(ActForm):
    """Which done jobs go on the invoice, with lines of the order itself; of what was not done, whether it is charged.

    A job that ended otherwise than done has a choice of its own (`ended_<id>`), and none is made for the desk.
    """

    jobs = JobsField(
        label=_lazy("Jobs on this invoice"),
        queryset=Job.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_lazy("Only done jobs stand here. Lines of the order itself go on it as well."),
        error_messages={
            "invalid_choice": _lazy("One of these jobs is invoiced already, or not done. Look again.")
        },
    )

    def __init__(self, *args: Any, order: WorkOrder, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        closed = list(done_jobs(order))
        done = [job.pk for job in closed if job.outcome == Job.Outcome.DONE]
        jobs = self.fields["jobs"]
        jobs.queryset = done_jobs(order).filter(outcome=Job.Outcome.DONE)  # type: ignore[attr-defined]
        jobs.initial = done
        self.undone = [job for job in closed if job.pk not in done]
        for job in self.undone:
            self.fields[f"ended_{job.pk}"] = self._ended(job)

    def _ended(self, job: Job) -> forms.ChoiceField:
        told = {"number": job.number, "damper": job.damper, "ended": job.get_outcome_display()}
        missing = _("Job %(number)s ended as “%(ended)s”. Say whether it is charged.") % told
        return forms.ChoiceField(
            label=_("Job %(number)s, %(damper)s: %(ended)s") % told,
            choices=[
                (CHARGE, _("charge its lines")),
                (NO_CHARGE, _("do not charge them")),
                (LATER, _("not on this invoice")),
            ],
            widget=forms.RadioSelect,
            error_messages={"required": missing, "invalid_choice": missing},
        )

    @property
    def endings(self) -> dict[int, str]:
        """Give what was decided of each job that was not done, by its id."""
        return {job.pk: self.cleaned_data[f"ended_{job.pk}"] for job in self.undone}


class PaymentForm(ActForm):
    """Money taken for an order: for an invoice of it, or as a deposit."""

    amount = AmountField(label=_lazy("Amount"))
    how = forms.ChoiceField(
        label=_lazy("Paid by"),
        choices=Payment.How.choices,
        error_messages={"invalid_choice": _lazy("Say how it was paid: cash, card or transfer.")},
    )
    invoice = forms.ModelChoiceField(
        label=_lazy("For invoice"),
        queryset=Invoice.objects.none(),
        required=False,
        empty_label=_lazy("none yet: a deposit"),
        error_messages={"invalid_choice": _lazy("This invoice is not one of this order. Look again.")},
    )
    reference = forms.CharField(label=_lazy("Reference"), max_length=80, required=False)

    def __init__(self, *args: Any, order: WorkOrder, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        shop = this_shop()
        self.fields["amount"].decimal_comma = bool(shop and shop.decimal_comma)  # type: ignore[attr-defined]
        invoices = Invoice.objects.filter(order=order).order_by("number")
        self.fields["invoice"].queryset = invoices  # type: ignore[attr-defined]
        asked = [pk for pk, left in open_of([order.pk]).items() if left > 0]
        if asked:
            self.fields["invoice"].initial = asked[0]


class TakeBackForm(ActForm):
    """Why a payment is taken back."""

    why = forms.CharField(
        label=_lazy("Why it is taken back"),
        max_length=80,
        help_text=_lazy("It stands beside the payment; both stay in the books."),
    )


class InvoicesFilter(forms.Form):
    """The filters of the list of invoices; a filter that cannot be read is left out and said so."""

    q = forms.CharField(label=_lazy("Number, order or buyer"), max_length=80, required=False)
    since = forms.DateField(label=_lazy("Issued from"), required=False)
    until = forms.DateField(label=_lazy("Issued until"), required=False)
    unpaid = forms.BooleanField(label=_lazy("Not wholly paid"), required=False)

"""The form of handing over, and the filter of what is due."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from shopapp.bench.models import Finding
from shopapp.bench.queries.findings import short_words
from shopapp.due import packing, strokes
from shopapp.due.models import Parcel
from shopapp.due.queries import unsafe_to_use
from shopapp.due.services import SignedAtTheDoor
from shopapp.money.forms import JobsField
from shopapp.orders.models import Job, Stay, WorkOrder
from shopapp.shop.forms import ActForm
from shopapp.shop.services.acts import Refused


def ready_jobs(order: WorkOrder) -> QuerySet[Job]:
    """List what may be handed over: closed, and here still (what was stopped unsafe is closed after its release)."""
    return (
        Job.objects.filter(order=order, state=Job.State.DONE, handed_over_at__isnull=True, is_open=True)
        .select_related("damper")
        .order_by("number")
    )


def unsafe_words(finding: Finding) -> str:
    """Say which damper is unsafe to use, and why, to whoever hands it over."""
    words = _now("Job %(job)s, finding %(found)s: unsafe to use, not charged by the shop.")
    return words % {"job": finding.job.number, "found": short_words(finding)}


class WrittenLine(forms.CharField):
    """A line to sign on beside a typed name (static/js/signature.js): strokes as JSON; without JavaScript it is empty.

    `beside` is the field whose name it goes with. The words stand in the hidden input's data, for the page to lay.
    """

    def __init__(self, *, beside: str) -> None:
        super().__init__(required=False, widget=forms.HiddenInput, max_length=strokes.LONGEST_TEXT)
        self.beside = beside

    def clean(self, value: Any) -> strokes.Strokes:  # type: ignore[override]
        try:
            return strokes.read(str(value or ""))
        except Refused as no:
            raise forms.ValidationError(no.sentence) from no

    def lay(self, form: forms.Form) -> None:
        """Tell the page beside which field it goes, in the reader's words."""
        self.widget.attrs |= {
            "data-beside": form[self.beside].id_for_label,
            "data-words": _now("Signature, beside the typed name"),
            "data-clear": _now("Clear the line"),
            "data-hint": _now("Signed on the glass, with a finger or a pen. The typed name does alone."),
        }


class HandOverForm(ActForm):
    """Which done jobs go to whom."""

    jobs = JobsField(
        label=_("Handed over"),
        queryset=Job.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": _("Choose at least one job to hand over."),
            "invalid_choice": _("One of these jobs is handed over already, or may not be. Look again."),
        },
    )
    to_whom = forms.CharField(
        label=_("To whom"), max_length=120, help_text=_("A name, or the carrier with its number.")
    )

    signed = forms.CharField(
        label=_("Signed for as unsafe to use, by"), max_length=120, required=False, strip=True
    )

    written = WrittenLine(beside="to_whom")
    signed_written = WrittenLine(beside="signed")

    def __init__(self, *args: Any, order: WorkOrder, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        jobs = ready_jobs(order)
        staying = set(Stay.objects.filter(job__in=jobs, ended_at__isnull=True).values_list("job", flat=True))
        self.fields["jobs"].queryset = jobs  # type: ignore[attr-defined]
        self.fields["jobs"].initial = [
            job.pk for job in jobs if job.outcome != Job.Outcome.UNSAFE and job.pk not in staying
        ]
        unsafe = unsafe_to_use([job.pk for job in jobs]).values()
        found = [words for rows in unsafe for words in map(unsafe_words, rows)]
        if not found:
            del self.fields["signed"], self.fields["signed_written"]
        else:
            self.fields["signed"].help_text = " ".join([*found, _now("The statement stands on the report.")])
        for field in self.fields.values():
            if isinstance(field, WrittenLine):
                field.lay(self)

    @property
    def signatures(self) -> SignedAtTheDoor:
        """Give what was signed, once the form is valid."""
        data = self.cleaned_data
        written = {"fetched": data.get("written", []), "unsafe": data.get("signed_written", [])}
        return SignedAtTheDoor(unsafe=data.get("signed", ""), strokes=written)


class ParcelForm(HandOverForm):
    """What goes in one parcel, with whom, how it is packed, and how the gas in it goes."""

    field_order = (
        "jobs", "carrier", "consignment", "packed", "gas", "rule", "confirmed", "signed", "signed_written",
    )  # fmt: skip
    to_whom = None  # type: ignore[assignment]
    written = None  # type: ignore[assignment]
    carrier = forms.CharField(label=_("Carrier"), max_length=60)
    consignment = forms.CharField(label=_("Consignment number"), max_length=60)
    packed = forms.MultipleChoiceField(
        label=_("Looked at before it is closed"),
        choices=list(packing.POINTS.items()),
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": _("Look at each point, then tick it."),
            "invalid_choice": _("There is no such point. Look at the list again."),
        },
    )
    gas = forms.ChoiceField(
        label=_("How the gas goes"),
        choices=Parcel.Gas.choices,
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Say how the gas goes: charged, let out, or none in it."),
            "invalid_choice": _("There is no such answer. Choose one of the list."),
        },
    )
    rule = forms.CharField(
        label=_("By which rule, or who let it out"),
        max_length=200,
        required=False,
        help_text=_("Charged: the carrier's rule or number. Let out: who did it, and when."),
    )
    confirmed = forms.CharField(label=_("Answered for by"), max_length=120, help_text=_("The name, in full."))

    def __init__(self, *args: Any, order: WorkOrder, **kwargs: Any) -> None:
        kwargs["initial"] = {"carrier": order.leaves_carrier, **kwargs.get("initial", {})}
        super().__init__(*args, order=order, **kwargs)


class DueFilter(forms.Form):
    """How far ahead the list looks: three months, unless somebody asks for more or less."""

    DAYS = {"": 90, "30": 30, "0": -1, "all": None}
    WAYS = (
        ("0", _("Overdue")), ("30", _("Within 30 days")), ("", _("Within 90 days")), ("all", _("At any time")),
    )  # fmt: skip

    ahead = forms.ChoiceField(
        label=_("Due"),
        required=False,
        choices=WAYS,
        error_messages={"invalid_choice": _("There is no such choice. What is due in 90 days is shown.")},
    )

    def until(self, today: date) -> date | None:
        """Give the last day that the list looks to; None for all days."""
        days = self.DAYS[self.cleaned_data.get("ahead", "")]
        return None if days is None else today + timedelta(days=days)

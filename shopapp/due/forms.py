"""The form of handing over, and the filter of what is due."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from shopapp.bench.models import Finding
from shopapp.bench.queries.findings import held, short_words
from shopapp.money.forms import JobsField
from shopapp.orders.models import Job, WorkOrder
from shopapp.shop.forms import ActForm


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

    def __init__(self, *args: Any, order: WorkOrder, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        jobs = ready_jobs(order)
        self.fields["jobs"].queryset = jobs  # type: ignore[attr-defined]
        self.fields["jobs"].initial = [job.pk for job in jobs if job.outcome != Job.Outcome.UNSAFE]
        found = [words for rows in held(jobs).values() for words in map(unsafe_words, rows)]
        if not found:
            del self.fields["signed"]
        else:
            self.fields["signed"].help_text = " ".join([*found, _now("The statement stands on the report.")])


class DueFilter(forms.Form):
    """How far ahead the list looks."""

    ahead = forms.ChoiceField(
        label=_("Due"),
        required=False,
        choices=[
            ("", _("all")),
            ("0", _("overdue")),
            ("30", _("within 30 days")),
            ("90", _("within 90 days")),
        ],
        error_messages={"invalid_choice": _("There is no such choice. All dampers are shown.")},
    )

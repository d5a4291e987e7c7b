"""Forms on an order's page that end something: a job or the order is void, a damper is scrapped."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.orders.models import Job, Stay
from shopapp.orders.queries import SCRAPPABLE, stays
from shopapp.shop.forms import ActForm
from shopapp.web.forms.moments import ComingDayField


def may_void(job: Job) -> bool:
    """Say whether a job may still be void: nobody has begun it."""
    return job.state == Job.State.PLANNED and job.is_open


def may_scrap(job: Job) -> bool:
    """Say whether the damper of a job may be scrapped on the customer's word: closed, and not made good."""
    return job.state == Job.State.DONE and job.is_open and job.outcome in SCRAPPABLE


def may_stay(job: Job) -> bool:
    """Say whether it may be said of a damper that it stays: its job is closed, and it is here to be fetched."""
    return job.state == Job.State.DONE and job.is_open and not stays(job)


class WhyForm(ActForm):
    """Why the whole order is void."""

    why = forms.CharField(label=_lazy("Why it is void"), max_length=300)


class _OfJobs(ActForm):
    """A form about one of some jobs."""

    job = forms.ChoiceField(
        label=_lazy("Job"),
        error_messages={
            "invalid_choice": _lazy("This job is not among them any more. Look at the list again.")
        },
    )

    def __init__(self, *args: Any, jobs: Iterable[Job], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.jobs = {str(job.pk): job for job in jobs}
        named = [(pk, f"{job.number} · {job.damper}") for pk, job in self.jobs.items()]
        self.fields["job"].choices = named if len(named) == 1 else [("", _("choose")), *named]  # type: ignore[attr-defined]


class VoidJobForm(_OfJobs, WhyForm):
    """Which job is void, and why."""

    field_order = ("job", "why")


class ScrapForm(_OfJobs):
    """Which damper is scrapped, and who of the customer's side said so."""

    who = forms.CharField(label=_lazy("Who said so"), max_length=120)
    how = forms.CharField(
        label=_lazy("How"), max_length=80, help_text=_lazy("By phone, at the counter, by letter.")
    )


class StayForm(_OfJobs):
    """Which damper stays, why and until when, and who of the customer's side said so."""

    why = forms.ChoiceField(
        label=_lazy("Why it stays"),
        choices=Stay.Why.choices,
        error_messages={"invalid_choice": _lazy("There is no such reason. Choose one of the list.")},
    )
    until = ComingDayField(
        label=_lazy("Until"), required=False, help_text=_lazy("Left empty: until further word.")
    )
    who = forms.CharField(label=_lazy("Who said so"), max_length=120)
    how = forms.CharField(
        label=_lazy("How"), max_length=80, help_text=_lazy("By phone, at the counter, by letter.")
    )
    words = forms.CharField(label=_lazy("What was said"), max_length=300, required=False)


class StayBackForm(ActForm):
    """Taking back that a damper stays."""

    stay = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**62)

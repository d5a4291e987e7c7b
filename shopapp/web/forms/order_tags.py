"""Which labels are to be printed: all dampers of an order or one, on which stock."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.dampers.services import tags
from shopapp.orders.labels import STOCKS
from shopapp.orders.models import Job

EVERY = "all"


class TagsForm(forms.Form):
    """It is sent by GET: it changes nothing, and the address of what it asks for can be kept."""

    stock = forms.ChoiceField(
        label=_lazy("Labels and printer"),
        error_messages={"invalid_choice": _lazy("There are no such labels. Choose some from the list.")},
    )
    job = forms.ChoiceField(
        label=_lazy("Dampers"),
        error_messages={
            "invalid_choice": _lazy("This damper is not here any more. Choose one from the list.")
        },
    )

    def __init__(self, *args: Any, jobs: Sequence[Job], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.jobs = {str(job.number): job for job in jobs}
        stock, job = self.fields["stock"], self.fields["job"]
        assert isinstance(stock, forms.ChoiceField) and isinstance(job, forms.ChoiceField)
        stock.choices = [(code, one.words) for code, one in STOCKS.items()]
        job.choices = [
            (EVERY, _("all that are here")),
            *((number, _named(one)) for number, one in self.jobs.items()),
        ]

    def chosen(self) -> list[Job]:
        """Give the jobs that were asked for, after `is_valid`."""
        number = self.cleaned_data["job"]
        return list(self.jobs.values()) if number == EVERY else [self.jobs[number]]


def _named(job: Job) -> str:
    place = str(job.get_place_display()) if job.place else _("loose")
    return f"{job.number}, {place}, {tags.show(job.damper.tag)}"

"""Which labels of an order are to be printed: of all its dampers or one."""

from __future__ import annotations

from collections.abc import Sequence

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.dampers.services import tags
from shopapp.orders.models import Job
from shopapp.web.forms.labels import LabelsForm


class TagsForm(LabelsForm):
    """The dampers of an order that are still here."""

    which = "job"
    job = forms.ChoiceField(
        label=_lazy("Dampers"),
        error_messages={
            "invalid_choice": _lazy("This damper is not here any more. Choose one from the list.")
        },
    )

    def __init__(self, asked: QueryDict, jobs: Sequence[Job]) -> None:
        things = {str(job.number): job for job in jobs}
        named = {number: _named(job) for number, job in things.items()}
        super().__init__(asked, things, every=_("all that are here"), named=named)


def _named(job: Job) -> str:
    place = str(job.get_place_display()) if job.place else _("loose")
    return f"{job.number}, {place}, {tags.show(job.damper.tag)}"

"""Forms of one damper of a running order: what is asked of it, and one more that comes to it."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.dampers.models import PLACES
from shopapp.dampers.queries import models
from shopapp.orders.models import Job
from shopapp.orders.queries import work_types
from shopapp.orders.services import DamperRow, JobAsked
from shopapp.shop.forms import ActForm, RevisionForm
from shopapp.web.forms.damper_rows import Known, Row, back_choices, read_rows
from shopapp.web.forms.reasons import Reason

MOST_AT_ONE_PLACE = 9


class JobChangeForm(RevisionForm, Reason):
    """What is asked of one damper."""

    work_type = forms.ChoiceField(label=_lazy("Work"))
    place = forms.ChoiceField(label=_lazy("Place"), choices=[("", _lazy("loose")), *PLACES], required=False)
    place_number = forms.IntegerField(
        label=_lazy("Which one there"),
        min_value=1,
        max_value=MOST_AT_ONE_PLACE,
        help_text=_lazy("1, or 2 for the second damper of one corner."),
    )
    condition = forms.CharField(label=_lazy("Leaks, damage"), max_length=200, required=False)
    wish = forms.CharField(label=_lazy("Asked of this one"), max_length=300, required=False)
    field_order = ("work_type", "place", "place_number", "condition", "wish", "who", "why")

    def __init__(self, *args: Any, job: Job, begun: bool, **kwargs: Any) -> None:
        names = ("place", "place_number", "condition", "wish", "revision")
        kwargs["initial"] = {name: getattr(job, name) for name in names} | {"work_type": job.work_type_id}
        super().__init__(*args, **kwargs)
        self.kinds = {str(kind.pk): kind for kind in [*work_types(), job.work_type]}
        self.fields["work_type"].choices = [(pk, kind.name) for pk, kind in self.kinds.items()]  # type: ignore[attr-defined]
        if job.state != Job.State.PLANNED:
            self.fields["work_type"].disabled = True
            self.fields["work_type"].help_text = _("Work on this damper has started: the kind of work stays.")
        self.ask(begun=begun)

    def asked(self) -> JobAsked:
        """Give what the service takes, once the form is valid."""
        data = self.cleaned_data
        names = ("place", "place_number", "condition", "wish")
        return JobAsked(work_type=self.kinds[str(data["work_type"])], **{name: data[name] for name in names})


class DamperAddForm(ActForm, Reason):
    """One more damper of a running order: known by its tag or serial, or a new one of a model."""

    r1_tag = forms.CharField(label=_lazy("Tag or serial"), max_length=60, required=False)
    r1_model = forms.ChoiceField(label=_lazy("Model of a new one"), required=False)
    r1_work = forms.ChoiceField(label=_lazy("Work"))
    r1_place = forms.ChoiceField(
        label=_lazy("Place"), choices=[("", _lazy("loose")), *PLACES], required=False
    )
    r1_condition = forms.CharField(label=_lazy("Leaks, damage"), max_length=200, required=False)
    r1_wish = forms.CharField(label=_lazy("Asked of this one"), max_length=300, required=False)
    r1_shelf = forms.CharField(label=_lazy("Shelf"), max_length=200, required=False)
    r1_back = forms.ChoiceField(label=_lazy("Comes back"), required=False)
    changed_hands = forms.BooleanField(
        label=_lazy("It was somebody else's and has changed hands"), required=False
    )
    field_order = (
        "r1_tag", "r1_model", "r1_work", "r1_place", "r1_condition", "r1_wish", "r1_shelf", "r1_back",
        "changed_hands", "who", "why",
    )  # fmt: skip

    def __init__(self, *args: Any, begun: bool, on: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.known = Known(models=list(models()), work_types=list(work_types()), on=on)
        offered = [(str(model.pk), str(model)) for model in self.known.models]
        self.fields["r1_model"].choices = [("", _("not new")), *offered]  # type: ignore[attr-defined]
        kinds = [(str(kind.pk), kind.name) for kind in self.known.work_types]
        self.fields["r1_work"].choices = kinds if len(kinds) == 1 else [("", _("choose")), *kinds]  # type: ignore[attr-defined]
        covered = self.known.warranty(self._typed("r1_tag"))
        if covered is None:
            del self.fields["r1_back"]
        else:
            self.fields["r1_back"].choices = back_choices(covered)  # type: ignore[attr-defined]
        note = self.known.note(self._typed("r1_tag"), self._typed("r1_model"))
        self.fields["r1_tag"].help_text = note or _(
            "A known one is recognised; a new one needs its model too."
        )
        self.ask(begun=begun)

    def _typed(self, name: str) -> str:
        source = self.data if self.is_bound else self.initial
        return str(source.get(name) or "")[:60].replace("\0", " ")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        entries: dict[str, Any] = {name: str(data.get(f"r1_{name}") or "") for name in Row.ENTRIES}
        row = Row(number=1, **entries)
        found, problems = read_rows([row], self.known)
        for name, sentence in problems:
            if name in self.fields and name not in self.errors:
                self.add_error(name, sentence)
            elif name not in self.fields:
                self.add_error(None, sentence)
        data["row"] = found[0] if found and not problems else None
        return data

    @property
    def row(self) -> DamperRow:
        """Give the damper as the service takes it, once the form is valid."""
        row: DamperRow = self.cleaned_data["row"]
        return row

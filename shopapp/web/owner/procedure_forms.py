"""Forms of a draft procedure: what it is called, one step, and the plain acts on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from shopapp.dampers.models import Construction
from shopapp.shop.forms import ActForm, RevisionForm
from shopapp.specs import cautions, figures
from shopapp.specs.models import STAGES, Procedure, Step
from shopapp.specs.services.procedure_docs import BLANK
from shopapp.tools.models import ToolKind

NOBODYS = [("", "–")]
ANSWERS, MOST_ANSWERS = 6, 12
SKILLS = [("charging", _("charging")), ("bladders", _("bladders")), ("releasing", _("releasing the gas"))]
COMPUTED = [
    ("charge", _("the gauge reading to set at the body's temperature")),
    ("ifp", _("whether the IFP clears cap and floor")),
    ("preload turns", _("the turns of the preload adjuster")),
    ("coil bind", _("the travel left before the coils close")),
]
DOES = [("fails", _("does not pass")), ("passes", _("passes")), ("stops", _("stops the job"))]
"""First what opens nothing: an answer whose second field was overlooked must not pass."""

OF_KIND: Mapping[str, tuple[str, ...]] = {
    "reading": ("figure", "phase", "position", "computed", "tool_kind", "second_tap"),
    "proof": ("second_tap", "options"),
    "choice": ("options",),
    "wait": ("minutes",),
    "part": ("purpose",),
    "tool": ("tool_kind",),
}
"""What only some kinds of step have; the page shows it with them, and what belongs to another kind is not kept."""
OWN_TO_KINDS = frozenset(name for names in OF_KIND.values() for name in names)


def constructions() -> list[tuple[str, Any]]:
    """List the constructions a procedure may be for."""
    return [("", _("any: no gas, nothing opened")), *Construction.choices]


class HeadForm(RevisionForm):
    """What a draft is called and what it is for."""

    name = forms.CharField(label=_("Name"), max_length=80)
    work = forms.CharField(
        label=_("Kind of work"),
        max_length=40,
        help_text=_("Alike for all constructions: Rebuild, Inspection …"),
    )
    construction = forms.ChoiceField(label=_("Construction"), required=False, choices=constructions)


class BeginForm(ActForm):
    """A procedure of another name: from nothing, or with the steps of one that is there."""

    name = HeadForm.base_fields["name"]
    work = HeadForm.base_fields["work"]
    construction = forms.ChoiceField(label=_("Construction"), required=False, choices=constructions)
    like = forms.ModelChoiceField(
        label=_("With the steps of"),
        required=False,
        empty_label=_("none: the least it must hold"),
        queryset=Procedure.objects.filter(released_at__isnull=False).order_by("name", "-version"),
    )


class SeenForm(ActForm):
    """An act on a step as it was seen."""

    was = forms.CharField(widget=forms.HiddenInput, max_length=64)


def _figures() -> list[Any]:
    groups = [
        (
            name,
            [(key, figure.label) for key, figure in figures.NAMES.items() if figure.group == group],
        )
        for group, name in figures.GROUPS.items()
    ]
    return [("", "–"), *groups]


def _tool_kinds() -> list[tuple[str, str]]:
    return [("", "–"), *ToolKind.objects.order_by("name").values_list("code", "name")]


class StepForm(SeenForm):
    """One step; `step` None for a new one, which has not been seen by anybody."""

    stage = forms.ChoiceField(label=_("Sheet"), choices=STAGES)
    kind = forms.ChoiceField(label=_("Kind"), choices=Step.Kind.choices)
    name = forms.CharField(label=_("Words"), max_length=120, help_text=_("What stands large on the sheet."))
    text = forms.CharField(
        label=_("How it is done"), max_length=600, required=False, widget=forms.Textarea(attrs={"rows": 4})
    )
    required = forms.BooleanField(label=_("Asked for: the job cannot be done without it"), required=False)
    repeat = forms.ChoiceField(label=_("Repeated over"), required=False, choices=Step.Repeat.choices)
    locks = forms.ChoiceField(
        label=_("Holds locked"), required=False, choices=[*NOBODYS, *STAGES],
        help_text=_("That sheet stays shut until this step stands."),
    )  # fmt: skip
    skill = forms.ChoiceField(
        label=_("Only for who is trained for"), required=False, choices=[*NOBODYS, *SKILLS]
    )
    caution = forms.ChoiceField(
        label=_("Caution"), required=False, choices=[*NOBODYS, *cautions.KINDS.items()]
    )
    own_caution = forms.CharField(
        label=_("Words of your own after the caution"), max_length=300, required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )  # fmt: skip
    figure = forms.ChoiceField(label=_("Figure"), required=False, choices=_figures)
    phase = forms.ChoiceField(label=_("Read"), required=False, choices=[*NOBODYS, *Step.Phase.choices])
    position = forms.CharField(
        label=_("Place"),
        max_length=40,
        required=False,
        help_text=_("Where one figure is read at several places."),
    )
    computed = forms.ChoiceField(
        label=_("Worked out beside it"), required=False, choices=[*NOBODYS, *COMPUTED]
    )
    tool_kind = forms.ChoiceField(label=_("Kind of tool"), required=False, choices=_tool_kinds)
    second_tap = forms.BooleanField(label=_("A second tap is asked for"), required=False)
    minutes = forms.IntegerField(label=_("Minutes"), required=False, min_value=0, max_value=10_080)
    purpose = forms.CharField(
        label=_("Part for"),
        max_length=20,
        required=False,
        help_text=_("kit, oil, or a purpose that sheets name"),
    )

    def __init__(self, data: Any = None, *, step: Step | None = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.step = step
        if step is None:
            self.fields["was"].required = False
        self.count = self._rows()
        for number in range(self.count):
            self._add_answer(number)
        if step is not None:
            self.initial = {**self.initial, **entries_of(step)}

    def _rows(self) -> int:
        """Give how many answers are shown: what there is and two more, and never fewer than were sent."""
        sent = sum(f"answer-{number}-words" in self.data for number in range(MOST_ANSWERS))
        there = len(self.step.options) if self.step is not None else 0
        return min(MOST_ANSWERS, max(ANSWERS, there + 2, sent))

    def _add_answer(self, number: int) -> None:
        label = {"n": number + 1}
        self.fields[f"answer-{number}-value"] = forms.CharField(
            required=False, max_length=40, widget=forms.HiddenInput
        )
        self.fields[f"answer-{number}-words"] = forms.CharField(
            label=_now("Answer %(n)d") % label, required=False, max_length=120
        )
        self.fields[f"answer-{number}-does"] = forms.ChoiceField(
            label=_now("What answer %(n)d does") % label, required=False, choices=DOES
        )

    @property
    def answers(self) -> Iterator[tuple[BoundField, BoundField, BoundField]]:
        """Give the rows of answers: value, words, what it does."""
        for number in range(self.count):
            yield tuple(self[f"answer-{number}-{name}"] for name in ("value", "words", "does"))  # type: ignore[misc]

    def fields_in(self) -> dict[str, Any]:
        """Give what the step is to be: everything of a step but its short name."""
        data = self.cleaned_data
        names = [name for name in BLANK if name in self.fields and name not in OWN_TO_KINDS]
        kept = {name: data[name] for name in ("stage", "kind", "name", *names)}
        own = {name: self._own(name) for name in OF_KIND.get(data["kind"], ())}
        blank = {name: value() if callable(value) else value for name, value in BLANK.items()}
        return {**blank, "code": "", **kept, **own}

    def _own(self, name: str) -> Any:
        if name == "options":
            return self._options()
        return (self.cleaned_data[name] or 0) if name == "minutes" else self.cleaned_data[name]

    def _options(self) -> list[dict[str, Any]]:
        rows = [
            {
                name: self.cleaned_data.get(f"answer-{number}-{name}") or ""
                for name in ("value", "words", "does")
            }
            for number in range(self.count)
        ]
        rows = [row for row in rows if row["words"]]
        taken = {row["value"] for row in rows}
        free = (value for number in range(1, 3 * MOST_ANSWERS) if (value := f"answer {number}") not in taken)
        return [
            {
                "value": row["value"] or next(free), "words": row["words"],
                "passes": row["does"] == "passes", "stops": row["does"] == "stops",
            }
            for row in rows
        ]  # fmt: skip


def entries_of(step: Step) -> dict[str, Any]:
    """Give a step as its form shows it."""
    found = {name: getattr(step, name) for name in StepForm.base_fields if hasattr(step, name)}
    found["minutes"] = step.minutes or None
    for number, option in enumerate(step.options[:MOST_ANSWERS]):
        does = "stops" if option.get("stops") else "passes" if option.get("passes") else "fails"
        for name, value in (("value", option["value"]), ("words", option["words"]), ("does", does)):
            found[f"answer-{number}-{name}"] = value
    return found


__all__ = ["BeginForm", "HeadForm", "RevisionForm", "SeenForm", "StepForm", "entries_of"]

"""What the page of specimens shows: invented figures, one form with refused entries, one damper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.utils.translation import gettext_lazy as _

from shopapp.drawings import STATES
from shopapp.web.specimen_dampers import ARRIVED, every_construction
from shopapp.web.specimen_stacks import stack_samples

BENCH_SHEETS = ("reading", "proof", "stop", "reason")

STAGES = (
    "Receive", "Wash", "Record settings", "Take the spring off", "Release the gas", "Strip", "Inspect", "Reseal",
    "Build the rod", "Fill and purge", "Close the body", "Set the IFP", "Charge", "Prove on the bench", "Restore",
    "Final check", "Hand over",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading as a cell of the bench sheet shows it."""

    name: str
    shown: str
    unit: str = ""
    built: str = ""
    value: float | None = None
    low: float | None = None
    high: float | None = None
    say: str = ""

    @property
    def out(self) -> bool:
        return self.value is not None and self.high is not None and self.value > self.high


READINGS = (
    Reading(
        "Preload adjuster, cap face to ring", "2 3/16", "in", "", 2.1875, 1.75, 2.75, "limits 1 3/4 to 2 3/4"
    ),
    Reading("Retainer gap, three readings", "0 of 3", "", "", None, 0, 0.06, "no reading yet"),
    Reading("Rebound, clicks from closed", "17", "clicks", "", 17, 0, 16, "1 above 16, recorded"),
    Reading("Compression low, from closed", "11", "clicks", "13", 11, 0, 20, "inside 0 to 20"),
    Reading("Eye centres, rod out", "28 1/16", "in", "", 28.0625, 28, 28.125, "inside 28 to 28 1/8"),
    Reading("Springs, from the cap", "Tender 200 × 4, divider lip to cap, main 350 × 18"),
)


class SpecimenForm(forms.Form):
    """One field of each kind; what is filled in below is refused on purpose."""

    customer = forms.CharField(
        label=_("Customer"), help_text=_("Name, phone or order: a few letters find it.")
    )
    meter = forms.IntegerField(
        label=_("Meter"),
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        error_messages={
            "invalid": _("“598 mi” is not a whole number. Write 5980; the unit stands beside it.")
        },
    )
    promised = forms.DateField(
        label=_("Promised"), required=False, help_text=_("As 27.11.2026 or 2026-11-27.")
    )
    work = forms.ChoiceField(
        label=_("Work"), choices=[("rebuild", _("Rebuild")), ("inspect", _("Inspection"))]
    )
    comes = forms.ChoiceField(
        label=_("Comes by"),
        choices=[("counter", _("counter")), ("parcel", _("parcel"))],
        widget=forms.RadioSelect,
        error_messages={"required": _("Say whether it came over the counter or as a parcel.")},
    )
    letters = forms.BooleanField(label=_("The customer may be written to"), required=False)
    words = forms.CharField(
        label=_("Complaint and wish"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )


def samples() -> dict[str, Any]:
    """Give the page its specimens: states, strips, drawings, a refused form and an untouched one."""
    refused = SpecimenForm(
        {
            "customer": "Cobble Hollow Racing",
            "meter": "598 mi",
            "work": "rebuild",
            "words": "Knocks after long whoops",
        }
    )
    return {
        "states": STATES,
        "form": refused,
        "untouched": SpecimenForm(prefix="new"),
        "drawn": every_construction(),
        "stacks": stack_samples(),
        "links": {"preload": "#preload", "eye_centres": "#eyes"},
        "page_obj": Paginator(range(120), 50).page(2),
        "sheets": BENCH_SHEETS,
    }


def bench_samples(sheet: str) -> dict[str, Any]:
    """Give one bench sheet its specimens; `sheet` is one of BENCH_SHEETS."""
    now = 3 if sheet in ("reading", "reason") else 5
    states = ["done"] * (now - 1) + ["in_work"] + ["planned"] * (len(STAGES) - now)
    if sheet == "stop":
        states[now] = "stopped"
    return {
        "sheet": sheet,
        "now": now,
        "zones": [
            (number, name, state) for number, (name, state) in enumerate(zip(STAGES, states, strict=True), 1)
        ],
        "readings": READINGS,
        "numbers": ARRIVED,
        "links": {"preload": "#reading"},
    }


def page(sheet: str | None) -> tuple[str, dict[str, Any]]:
    """Choose the template and its context for what the address asks for."""
    if sheet in BENCH_SHEETS:
        return "web/specimens_bench.html", bench_samples(sheet)
    return "web/specimens.html", samples()

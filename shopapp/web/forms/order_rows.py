"""The dampers of the new-order sheet: what is asked of them, and a row for each, offered or typed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.dampers.models import PLACES, Damper
from shopapp.dampers.queries import fitted_on, models
from shopapp.orders.models import WorkType
from shopapp.orders.queries import open_jobs_of, work_types
from shopapp.web.forms.damper_rows import FREE, Known, Row, back_choices
from shopapp.web.forms.intake_pictures import PicturesField, words_of
from shopapp.web.forms.whose_order import WhoseOrderForm, text_field

ROWS, MOST_ROWS = 6, 16
AREA = forms.Textarea(attrs={"rows": 3})
ROW_OF = re.compile(r"r(\d{1,2})_(?:tag|model)")
OFFERED = ("place", "tag", "model")
"""What an offered row brings along, shown in words: it is the damper's own."""


class OrderRowsForm(WhoseOrderForm):
    """What is asked of all dampers, and a row for each; a vehicle's own are offered, and count once they are ticked."""

    all_brought = forms.BooleanField(label=_lazy("All that are fitted on it"), required=False)
    work = forms.ChoiceField(label=_lazy("Work, for all"), required=False)
    complaint = text_field(
        _lazy("Complaint and wish"), 2000, widget=AREA,
        help_text=_lazy("For all of them. What is asked of one alone stands in its row."),
    )  # fmt: skip
    changed_hands = forms.BooleanField(
        label=_lazy("Dampers of somebody else have changed hands"), required=False
    )

    def __init__(self, *args: Any, picture_problems: dict[int, str] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        on = timezone.localdate(self.now)
        self.picture_problems = picture_problems or {}
        self.known = Known(models=list(models()), work_types=list(work_types()), on=on)
        named = [(str(kind.pk), kind.name) for kind in self.known.work_types]
        self.fields["work"].choices = named if len(named) == 1 else [("", _("choose")), *named]  # type: ignore[attr-defined]
        numbers = [int(found[1]) for name in self._names() if (found := ROW_OF.fullmatch(name))]
        self.count = max(ROWS, min(max(numbers, default=0), MOST_ROWS))
        self.elsewhere: list[str] = []
        if not self.is_bound:
            self._offer()
        for number in range(1, self.count + 1):
            self._add_row(number)

    def _names(self) -> list[str]:
        return list(self.data if self.is_bound else self.initial)

    def entry(self, number: int, name: str) -> str:
        """Give what stands in an entry of a row now."""
        return self.typed(f"r{number}_{name}").strip()

    def _offer(self) -> None:
        """Offer what is fitted on the chosen vehicle, a row each; take away what another vehicle left unticked."""
        fitted = {row.damper.tag: row for row in fitted_on(self.off_known)} if self.off_known else {}
        for number in range(1, self.count + 1):
            left = self.entry(number, "offered") and not self.entry(number, "brought")
            if left and self.entry(number, "tag") not in fitted:
                for name in (*Row.ENTRIES, "offered"):
                    self.initial[f"r{number}_{name}"] = ""
        taken = open_jobs_of(row.damper for row in fitted.values())
        there = {damper.pk for n in range(1, self.count + 1) for damper in self._dampers(n)}
        for tag, row in fitted.items():
            if row.damper_id in taken:
                self.elsewhere.append(self.known.note(tag))
            elif row.damper_id not in there:
                self._fill(tag, row.place)

    def _dampers(self, number: int) -> list[Damper]:
        tag = self.entry(number, "tag")
        return self.known.dampers(tag) if tag else []

    def _fill(self, tag: str, place: str) -> None:
        """Fill the first blank row, or one more, with a damper that is fitted."""
        numbers = range(1, min(self.count + 1, MOST_ROWS) + 1)
        blank = next(
            (n for n in numbers if not any(self.entry(n, e) for e in ("tag", "model", "place"))), None
        )
        if blank is None:
            return
        self.count = max(self.count, blank)
        self.initial.update({f"r{blank}_offered": "1", f"r{blank}_tag": tag, f"r{blank}_place": place})

    def _add_row(self, number: int) -> None:
        """Add the entries of one damper; their labels name the row, since a screen reader hears them alone."""
        at = {"n": number}
        models_offered = [("", _("not new")), *((str(m.pk), str(m)) for m in self.known.models)]
        work_offered = [
            ("", _("as above") if number > 1 else _("as for all")),
            *((str(w.pk), w.name) for w in self.known.work_types),
        ]
        covered = back_choices(self.known.warranty(self.entry(number, "tag")))
        rows: dict[str, forms.Field] = {
            "offered": forms.CharField(max_length=1, required=False, widget=forms.HiddenInput),
            "brought": forms.BooleanField(label=_("Brought, row %(n)s") % at, required=False),
            "place": forms.ChoiceField(
                label=_("Place, row %(n)s") % at, choices=[("", _("loose")), *PLACES], required=False
            ),
            "tag": text_field(_("Tag or serial, row %(n)s") % at, 60),
            "model": forms.ChoiceField(
                label=_("Model of a new one, row %(n)s") % at, choices=models_offered, required=False
            ),
            "work": forms.ChoiceField(label=_("Work, row %(n)s") % at, choices=work_offered, required=False),
            "wish": text_field(_("Asked of this one, row %(n)s") % at, 300),
            "condition": text_field(_("Leaks, damage, row %(n)s") % at, 200),
            "pictures": PicturesField(label=_("Pictures, row %(n)s") % at),
            "kept": forms.CharField(max_length=20_000, required=False, widget=forms.HiddenInput),
            "drop": forms.BooleanField(label=_("Leave these pictures out, row %(n)s") % at, required=False),
            "shelf": text_field(_("Shelf, row %(n)s") % at, 200),
            "back": forms.ChoiceField(
                label=_("Comes back, row %(n)s") % at, choices=covered, required=False
            ),
        }  # fmt: skip
        if self.entry(number, "offered"):
            for name in OFFERED:
                rows[name].widget = forms.HiddenInput()
        self.fields.update({f"r{number}_{name}": field for name, field in rows.items()})

    @property
    def offers(self) -> int:
        """Say how many rows are offered from the vehicle."""
        return sum(1 for number in range(1, self.count + 1) if self.entry(number, "offered"))

    def rows(self) -> Iterator[dict[str, Any]]:
        """Give each row's entries and what is known of its damper, for the page."""
        places = dict(PLACES)
        for number in range(1, self.count + 1):
            typed = self.entry(number, "tag")
            entries = {
                name: self[f"r{number}_{name}"] for name in (*Row.ENTRIES, "brought", "pictures", "drop")
            }
            hidden = [self[f"r{number}_{name}"] for name in ("offered", "kept")]
            offered = bool(self.entry(number, "offered"))
            yield {
                "number": number, "note": self.known.note(typed, self.entry(number, "model")),
                "covered": self.known.warranty(typed), "hidden": hidden, "offered": offered,
                "where": places.get(self.entry(number, "place"), ""),
                "shots": words_of(self[f"r{number}_kept"].value()),
                "problem": self.picture_problems.get(number, ""), **entries,
            }  # fmt: skip

    def row(self, number: int, data: Mapping[str, Any]) -> Row:
        """Give one row as it was sent; an offered one counts where it, or all of them, are ticked."""
        get = {name: str(data.get(f"r{number}_{name}") or "") for name in Row.ENTRIES}
        offered = bool(data.get(f"r{number}_offered"))
        here = bool(data.get(f"r{number}_brought") or data.get("all_brought"))
        return Row(
            number=number, left_out=offered and not here, kept=bool(data.get(f"r{number}_kept")), **get
        )

    def work_for_all(self, data: Mapping[str, Any]) -> WorkType | None:
        """Give the work that holds for every row without one of its own."""
        return self.known.work_type(str(data.get("work") or ""))

    def is_free(self, row: Row) -> bool:
        """Say whether a row costs nothing: under warranty, and nobody said otherwise."""
        return self.known.warranty(row.tag) is not None and row.back in ("", FREE)

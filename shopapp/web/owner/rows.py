"""Forms with rows of their own: the adjusters of a model, the lines of a kit, the figures of a sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.functional import Promise
from django.utils.translation import gettext as _

FieldMaker = Callable[[], forms.Field]


@dataclass(frozen=True)
class Group:
    """A group of like rows: its name, its heading, its columns, how many rows are shown.

    With `fixed` there is one row for each (key, caption) and the fields come from `make_fixed(key, column)`.
    """

    name: str
    heading: str | Promise
    columns: Mapping[str, tuple[str | Promise, FieldMaker]]
    count: int = 0
    needs: str = ""
    fixed: Sequence[tuple[str, str | Promise]] = ()
    make_fixed: Callable[[str, str], forms.Field] | None = None
    row_caption: str | Promise = ""

    def rows(self, filled: int) -> int:
        """Give how many rows are shown: one more than there are, but never fewer than `count`."""
        return len(self.fixed) or max(self.count, filled + 1)

    def caption(self, number: int) -> str:
        """Give what a row is called."""
        return str(self.fixed[number][1]) if self.fixed else f"{_('row')} {number + 1}"


@dataclass(frozen=True)
class DrawnGroup:
    """A group as the page draws it."""

    heading: str | Promise
    captions: list[str | Promise]
    rows: list[tuple[str, list[BoundField]]]
    row_caption: str | Promise = ""


class RowsForm(forms.Form):
    """A form with groups of rows; an empty row counts as none, a half one says what it lacks."""

    groups: tuple[Group, ...] = ()

    def add_rows(self, filled: Mapping[str, Iterable[Mapping[str, Any]]]) -> None:
        """Make the fields of each row, filled from the rows that exist (call it at the end of __init__)."""
        for group in self.groups:
            values = list(filled.get(group.name, ()))
            for number in range(group.rows(len(values))):
                self._add_row(group, number, values[number] if number < len(values) else {})

    def _add_row(self, group: Group, number: int, values: Mapping[str, Any]) -> None:
        for column, (caption, make) in group.columns.items():
            name = f"{group.name}-{number}-{column}"
            if group.make_fixed is not None:
                field = group.make_fixed(group.fixed[number][0], column)
            else:
                field = make()
            field.required = False
            field.label = f"{caption}, {group.caption(number)}"
            self.fields[name] = field
            if column in values:
                self.initial[name] = values[column]

    def _numbers(self, group: Group) -> list[int]:
        prefix = f"{group.name}-"
        return sorted({int(name.split("-")[-2]) for name in self.fields if name.startswith(prefix)})

    @property
    def plain_fields(self) -> list[BoundField]:
        """List the visible fields that stand in no row."""
        starts = tuple(f"{group.name}-" for group in self.groups)
        return [field for field in self.visible_fields() if not (starts and field.name.startswith(starts))]

    @property
    def drawn_groups(self) -> list[DrawnGroup]:
        """Give the groups as the page draws them."""
        return [
            DrawnGroup(
                heading=group.heading,
                captions=[caption for caption, _make in group.columns.values()],
                rows=[
                    (
                        group.caption(number) if group.fixed else "",
                        [self[f"{group.name}-{number}-{column}"] for column in group.columns],
                    )
                    for number in self._numbers(group)
                ],
                row_caption=group.row_caption,
            )
            for group in self.groups
        ]

    def clean_rows(self, name: str, *, ignore: tuple[str, ...] = ()) -> list[dict[str, Any]]:
        """Give the rows of a group that say something; `ignore` columns alone do not make a row."""
        group = next(group for group in self.groups if group.name == name)
        found = []
        for number in self._numbers(group):
            row = {
                column: self.cleaned_data.get(f"{name}-{number}-{column}", None) for column in group.columns
            }
            if all(value in (None, "", []) for column, value in row.items() if column not in ignore):
                continue
            if group.needs and row[group.needs] in (None, ""):
                field = f"{name}-{number}-{group.needs}"
                if field not in self.errors:
                    self.add_error(
                        field,
                        _("Row %(n)s lacks %(what)s.")
                        % {"n": number + 1, "what": str(group.columns[group.needs][0]).lower()},
                    )
                continue
            row["_number"] = number
            row["_key"] = group.fixed[number][0] if group.fixed else ""
            found.append(row)
        return found

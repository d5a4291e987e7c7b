"""The words of a choice, for rows that a list shows by the dozen."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from django.db.models import Model
    from django.utils.functional import _StrOrPromise


def words_of(field: str, choices: Iterable[tuple[str, _StrOrPromise]]) -> Callable[[Model], str]:
    """Give a model's `get_…_display`. The framework's own translates every choice to name the one that is asked for."""
    table = dict(choices)

    def words(row: Model) -> str:
        value = getattr(row, field)
        return str(table.get(value, value))

    return words

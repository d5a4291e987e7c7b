"""Long lists, a sheet at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.core.paginator import Page, Paginator

if TYPE_CHECKING:
    from collections.abc import Sequence

    from django.db.models import QuerySet
    from django.http import HttpRequest

LINES = 20
"""Lines on one sheet of a list: what fits beside a thumb on a tablet, and what a page has read and drawn at once."""


def paged(
    request: HttpRequest, rows: QuerySet[Any] | Sequence[Any], *, count: int | None = None
) -> Page[Any]:
    """Give the sheet that `?page=` asks for: the first where it is no number, the last where it is too high.

    `count` is how many rows there are where the caller knows: they are not counted again.
    """
    pages = Paginator(rows, LINES)
    if count is not None:
        pages.count = count
    return pages.get_page(request.GET.get("page"))

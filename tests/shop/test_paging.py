"""A long list's sheets: twenty lines, the first for what is no number, the last for what is too high.

Seen red with 25 lines a sheet, with a refusal where `?page=` is no number, and with rows counted though their number
was said.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from django.test import RequestFactory

from shopapp.shop.paging import LINES, paged

LAST = 3
ROWS = list(range(2 * LINES + 5))


class Uncounted(Sequence[int]):
    """Rows that give slices but must not be counted."""

    def __len__(self) -> int:
        raise AssertionError("counted though their number was said")

    def __getitem__(self, wanted: Any) -> Any:
        return ROWS[wanted]


def test_twenty_lines_fit_on_a_sheet() -> None:
    assert LINES == 20


@pytest.mark.parametrize(
    ("asked", "number"),
    [
        ("", 1), ("?page=2", 2), ("?page=3", LAST), ("?page=4", LAST), ("?page=10000000000000000000000", LAST),
        ("?page=0", LAST), ("?page=-1", LAST), ("?page=two", 1), ("?page=", 1), ("?page=%00", 1), ("?page=2.5", 1),
        ("?page=1&page=2", 2),
    ],
)  # fmt: skip
def test_each_sheet(asked: str, number: int) -> None:
    page = paged(RequestFactory().get(f"/{asked}"), ROWS)
    assert (page.number, page.paginator.num_pages) == (number, LAST)
    assert list(page) == ROWS[(number - 1) * LINES : number * LINES]


def test_an_empty_list_has_one_sheet() -> None:
    page = paged(RequestFactory().get("/?page=7"), [])
    assert (page.number, page.paginator.num_pages, list(page)) == (1, 1, [])


def test_what_is_counted_already_is_not_counted_again() -> None:
    page = paged(RequestFactory().get("/?page=99"), Uncounted(), count=len(ROWS))
    assert (page.number, page.paginator.count, list(page.object_list)) == (LAST, len(ROWS), ROWS[2 * LINES :])
